"""What could not be read but may have happened: a milking of some cow, a visit to some box, a chore done.

A row that cannot be attributed makes no value unknown, or one cut line would silence a whole herd; but an alert of
elapsed time that it could refute says so, and is not pushed for as long as it could.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from sentinel.flow.language import Words, told
from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.model import Subject, kind_of, name_of
from sentinel.flow.tables import BOX_LOG, VISITS, Tables

NAMED_BY: Mapping[tuple[str, str], str] = {
    ("cow", VISITS.name): "who",
    ("herd", VISITS.name): "who",
    ("box", VISITS.name): "box",
    ("box", BOX_LOG.name): "who",
    ("chore", BOX_LOG.name): "who",
}
"""For a kind of subject, which column of what could not be read of a table names it."""


@dataclass(frozen=True, slots=True)
class Doubts:
    """Rows that could not be read, as the subjects of a rule may be concerned by them.

    `name`: the cow, box or place, "" for any; `begins`, `ends`: they happened between these moments (UTC seconds);
    `number`: how many rows; `whole`: not even that is known, as a whole file could not be read; `table`: of what.
    """

    name: np.ndarray
    begins: np.ndarray
    ends: np.ndarray
    number: np.ndarray
    whole: np.ndarray
    table: np.ndarray

    def __len__(self) -> int:
        return len(self.name)

    def _concerning(self, subject: Subject, reset_at: int) -> np.ndarray:
        """Which could be a reset of a subject later than the one that is known."""
        name = name_of(subject)
        if kind_of(subject) == "chore":
            name = name.partition("/")[2]
        return np.asarray(((self.name == name) | (self.name == "")) & (self.ends > reset_at))

    def past(self, subject: Subject, reset_at: int, moment: int, bound_s: float) -> int:
        """The first moment from `moment` on at which the subject is over a bound whatever these rows were."""
        rows = self._concerning(subject, reset_at)
        begins, until = self.begins[rows], self.ends[rows] + int(np.floor(bound_s))
        while (hit := (begins <= moment) & (moment <= until)).any():
            moment = int(until[hit].max()) + 1
        return moment

    def about(self, subject: Subject, reset_at: int, moment: int, bound_s: float) -> dict[str, Any]:
        """What of these rows could still refute at a moment that a subject is over a bound; empty if nothing could."""
        rows = self._concerning(subject, reset_at) & (self.begins <= moment)
        rows &= moment <= self.ends + int(np.floor(bound_s))
        if not rows.any():
            return {}
        return {
            "number": int(self.number[rows].sum()),
            "begins": int(self.begins[rows].min()),
            "ends": int(self.ends[rows].max()),
            "whole": bool(self.whole[rows].any()),
            "table": str(self.table[rows][0]),
        }


def _names(measure: Measure, per: str) -> dict[str, str]:
    """The tables that a measure rests on of which an unread row may concern its subjects, and what names them there."""
    rests_on = {name.partition(".")[0] for name in measure.needs}
    return {table: NAMED_BY[kind, table] for kind, table in NAMED_BY if kind == per and table in rests_on}


def may_be_refuted(measure: Measure, per: str) -> bool:
    """Whether what could not be read may matter to a measure, if it is one of elapsed time."""
    return bool(_names(measure, per))


def doubts_of(measure: Measure, per: str, tables: Tables) -> Doubts | None:
    """What could not be read of the tables that a measure of elapsed time rests on; None if nothing matters."""
    unread, names = tables.unread, _names(measure, per)
    if unread.empty or not names:
        return None
    rows = unread[unread["tab"].isin(names).to_numpy(bool)]
    if rows.empty:
        return None
    table = rows["tab"].to_numpy(object)
    columns = {column: rows[column].fillna("").to_numpy(object) for column in ("who", "box")}
    name = np.array([columns[names[tab]][row] for row, tab in enumerate(table)], dtype=object)
    return Doubts(
        name,
        rows["begins"].to_numpy(np.int64),
        rows["ends"].to_numpy(np.int64),
        rows["number"].to_numpy(float),
        rows["line"].to_numpy(float) == 0,
        table,
    )


def doubt_words(doubt: Mapping[str, Any], at: int, words: Words) -> str:
    """What could not be read, in the farm's words: `2 visits of 20:00–21:00 could not be read`."""
    begins, ends, n = doubt["begins"], doubt["ends"], doubt["number"]
    when = f"{words.time(begins, at)}–{words.time(ends, at)}"
    if begins == ends:
        when = words.time(ends, at)
    elif begins <= 0:
        when = told(words, "before {moment}", moment=words.time(ends, at))
    if doubt["whole"]:
        return told(words, "an export could not be read ({when})", when=when)
    if doubt["table"] == VISITS.name:
        return told(words, "{n|visit|visits} could not be read ({when})", n=n, when=when)
    return told(
        words, "{n|line of the boxes' logs|lines of the boxes' logs} could not be read ({when})", n=n, when=when
    )
