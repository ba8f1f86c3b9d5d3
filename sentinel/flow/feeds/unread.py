"""What could not be read in an export: what it may have been, which cow or box it concerns, and when it happened."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from sentinel.flow.bounds import cut
from sentinel.flow.feeds.values import Between, why_of
from sentinel.flow.model import Rows, SetAside
from sentinel.flow.reasons import Reason, several
from sentinel.flow.tables import table_named

MOST_REASONS = 6
"""So many reasons are told of one row; a row of thirty cells may have as many."""


@dataclass(slots=True)
class Lost:
    """What could not be read of one row of a file, over all the tables it fills."""

    reasons: list[Reason] = field(default_factory=list)
    tab: str = ""
    kept: bool = True
    who: str = ""
    box: str = ""
    begin: int | None = None
    end: int | None = None

    def row(self, table: str, reason: Reason | Between, known: Mapping[str, Any]) -> None:
        """A row whose key could not be read, so its table does not have it; with what is known of its columns."""
        self._add([why_of(reason)])
        if self.kept:
            self.kept = False
            self._know(table, known)
            if isinstance(reason, Between):
                self.begin, self.end = reason.begin, reason.end

    def cells(self, table: str, reasons: Iterable[Reason], known: Mapping[str, Any]) -> None:
        """The table has its row, without some cells."""
        self._add(reasons)
        if not self.tab:
            self._know(table, known)

    @property
    def reason(self) -> Reason:
        """Why: each reason once."""
        more = len(self.reasons) - MOST_REASONS
        return several(self.reasons[:MOST_REASONS] + ([Reason("and-more", n=more)] if more > 0 else []))

    def fill_in(self, aside: SetAside) -> SetAside:
        """The same with what is known of it."""
        known = {"tab": self.tab, "who": cut(self.who), "box": cut(self.box), "begin": self.begin, "end": self.end}
        return replace(aside, kept=self.kept, **known)  # type: ignore[arg-type]

    def _add(self, reasons: Iterable[Reason]) -> None:
        self.reasons += [reason for reason in dict.fromkeys(reasons) if reason not in self.reasons]

    def _know(self, table: str, known: Mapping[str, Any]) -> None:
        declared = table_named(table)
        self.tab, self.begin = table, known.get(declared.happened)
        self.end = self.begin
        self.who, self.box = known.get(declared.key[0]) or "", known.get("box") or ""


def placed_in_time(aside: Sequence[SetAside], rows: Iterable[Rows]) -> list[SetAside]:
    """What was set aside, each with the moments between which it happened by the rows that stand around it.

    A row whose own time could be read has that. The others lie between the nearest readable rows before and after
    theirs in the file, in whichever order it is; at an end of the file one of the two stays None.
    """
    moments: dict[int, int] = {}
    for part in rows:
        place = part.columns.index(table_named(part.table).happened)
        moments |= zip(part.lines, (values[place] for values in part.values), strict=True)
    lines = sorted(moments)
    falling = bool(lines) and moments[lines[0]] > moments[lines[-1]]

    def placed(unplaced: SetAside) -> SetAside:
        if unplaced.begin is not None or not unplaced.line or not lines:
            return unplaced
        place = bisect_left(lines, unplaced.line)
        before = moments[lines[place - 1]] if place else None
        after = moments[lines[place]] if place < len(lines) else None
        begin, end = (after, before) if falling else (before, after)
        if begin is not None and end is not None:
            begin, end = min(begin, end), max(begin, end)
        return replace(unplaced, begin=begin, end=end)

    return [placed(one) for one in aside]
