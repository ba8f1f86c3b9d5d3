"""What could not be read of the exports, per feed and cause: a wrong unit is one trouble, in however many files."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from sentinel.flow.bounds import cut, legible
from sentinel.flow.feeds.possible import IMPOSSIBLE
from sentinel.flow.language import Said, joined
from sentinel.flow.measures.base.ordered import arranged, said, sentences, texts
from sentinel.flow.measures.base.shape import NO_CHART, SAID_ELSEWHERE, FactColumn, Measure, Options, Readings
from sentinel.flow.model import DAY_S
from sentinel.flow.reasons import AS_SAID, JOINED, Reason
from sentinel.flow.tables import Tables

WHOLE_FOR_S, WHOLE_FEWEST = DAY_S, 2
"""A cause has passed once its feed's later files, at least two of them, have been whole for a day (our choice, no
source): the person who looks after the computer has had a day to see it."""

COUNTS_FOR_S = 7 * DAY_S
"""So long a file counts that nobody has had read again (our choice, no source): what came since says more."""

_LONGEST_CAUSE = 60


def rows_set_aside(tables: Tables, per: str, options: Options) -> Readings:
    """Rows that could not be read, or not wholly, of that file of a feed that lost most, per feed and cause, in rows.

    The cause is what is wrong with the first such row of a file: the column, or where no column is to blame the kind of
    reason. Of each feed and cause there is a reading when a file loses rows, when one that lost some is read again, and
    when all of them have passed: then it is 0. What is said (`file`, `what`, `reason`) is of the newest file that still
    counts; `more` are the others.
    """
    files = tables.files
    aside, in_part, read = (files[name].to_numpy(float) for name in ("rows_set_aside", "rows_in_part", "rows_read"))
    lost = aside + np.nan_to_num(in_part)
    found = [one for row in _rows_by_feed(files["feed"], lost) for one in _of_feed(files, lost, row)]
    names = list(dict.fromkeys(one.subject for one in found))
    codes = {name: code for code, name in enumerate(names)}
    order = arranged(
        [f"unread:{name}" for name in names],
        np.array([codes[one.subject] for one in found], np.int64),
        np.array([one.at for one in found], np.int64),
        np.arange(len(found)),
    )
    ranked = [found[place] for place in order.row]
    rows = [one.newest for one in ranked]
    value = np.array([one.value for one in ranked], float)
    what = [_what(aside[n], float(np.nan_to_num(in_part[n])), read[n]) if n >= 0 else "" for n in rows]
    rows_read = np.array([read[n] if n >= 0 and read[n] > 0 else np.nan for n in rows], float)
    more = np.array([one.open - 1 for one in ranked], float)
    return Readings(
        order.frame(
            value=value,
            why=texts(np.where(np.isnan(value), "the rows of this file were not counted", "").astype(object)),
            file=texts(_taken(files["file"], rows)),
            more=np.where(more > 0, more, np.nan),
            what=sentences(np.fromiter(what, object, len(what))),
            reason=said(_taken(files["reason"], rows)),
            rows_read=rows_read,
        )
    )


def _taken(column: pd.Series, rows: Sequence[int]) -> np.ndarray:
    """What a column says at some rows; nothing at -1."""
    values = column.to_numpy(object)
    return np.fromiter((values[n] if n >= 0 else None for n in rows), object, len(rows))


@dataclass(frozen=True, slots=True)
class _Reading:
    """How a feed stands with one cause from a moment on: the newest row of `files` that counts (-1: none), how many
    do, and the rows lost in the worst."""

    subject: str
    at: int
    newest: int
    open: int
    value: float


def _rows_by_feed(feeds: pd.Series, lost: np.ndarray) -> Iterator[np.ndarray]:
    """The rows of each feed of which any file lost rows or was not counted."""
    code, _ = pd.factorize(feeds.to_numpy(object))
    worth = np.unique(code[~(lost == 0)])
    for one in worth[worth >= 0]:
        yield np.flatnonzero(code == one)


@dataclass(slots=True)
class _Open:
    """The files of a feed that still count: by name their row and cause, the newest last."""

    files: dict[str, tuple[int, str]] = field(default_factory=dict)
    bad_at: int | None = None
    whole: int = 0

    def let_go(self, names: list[str]) -> set[str]:
        """Files that count no more; their causes."""
        return {self.files.pop(name)[1] for name in names}


def _of_feed(files: pd.DataFrame, lost: np.ndarray, rows: np.ndarray) -> list[_Reading]:
    """The readings of one feed, moment by moment."""
    at = files["at"].to_numpy(np.int64)
    names, reasons = files["file"].to_numpy(object), files["reason"].to_numpy(object)
    feed = str(files["feed"].iloc[rows[0]])
    now = _Open()
    found: dict[tuple[str, int], _Reading] = {}
    # Of files that were read at one moment the order is that of their names, in whatever order the rows stand.
    for row in sorted(rows.tolist(), key=lambda r: (at[r], str(names[r]), lost[r], str(reasons[r]))):
        moment, name = int(at[row]), str(names[row])
        changed = now.let_go([n for n, (r, _) in now.files.items() if at[r] <= moment - COUNTS_FOR_S])
        changed |= now.let_go([name] if name in now.files else [])
        if lost[row] == 0:
            now.whole += 1
            if now.bad_at is not None and now.whole >= WHOLE_FEWEST and moment >= now.bad_at + WHOLE_FOR_S:
                changed |= now.let_go(list(now.files))
        else:
            now.files[name] = row, cause_of(reasons[row])
            changed.add(now.files[name][1])
            if lost[row] > 0:
                now.bad_at, now.whole = moment, 0
        for cause in changed:
            counting = [r for r, of in now.files.values() if of == cause]
            known = [float(lost[r]) for r in counting if not math.isnan(lost[r])]
            value = max(known) if known else math.nan if counting else 0.0
            newest = max(counting, key=lambda r: (at[r], str(names[r])), default=-1)
            found[cause, moment] = _Reading(f"{feed}/{cause}", moment, newest, len(counting), value)
    return list(found.values())


def cause_of(reason: Reason | None) -> str:
    """What a reason blames: the column it names, else its kind in short words.

    >>> cause_of(Reason("at-place", place='"Milk"', why=Reason("not-a-number", what='"5,9x"')))
    'Milk'
    >>> cause_of(Reason("cells-missing", n=3, width=9)), cause_of(None)
    ('cells missing', 'unknown')
    """
    if reason is None:
        return "unknown"
    values = dict(reason.values)
    named = values.get("place") if reason.code == "at-place" else values.get("what") if _names(reason) else None
    if isinstance(named, str) and named.strip('" '):
        return legible(cut(named.strip('" '), _LONGEST_CAUSE))
    if reason.code in (*JOINED, "item", "with-hint") and (inner := next(reason.parts(), None)) is not None:
        return cause_of(inner)
    return "as said" if reason.code == AS_SAID else reason.code.replace("-", " ")


def _names(reason: Reason) -> bool:
    return reason.code in IMPOSSIBLE or reason.code == "key-empty"


def _what(aside: float, in_part: float, read: float) -> str:
    """How many rows of a file could not be read, and how many not wholly."""
    if np.isnan(aside) or not aside + in_part:
        return ""
    if read == 0 and not in_part:
        return Said("none of it could be read")
    left_out, kept = Said("{n|row|rows} left out", n=int(aside)), Said("{n|row|rows} read only in part", n=int(in_part))
    return joined(", ", [text for text, n in ((left_out, aside), (kept, in_part)) if n])


ROWS_SET_ASIDE = Measure(
    name="rows_set_aside",
    unit="rows",
    per=("unread",),
    doc="rows of a feed's exports that could not be read, or not completely, for one cause: of the file that lost most",
    source="definition",
    check="worked by hand: test_unread",
    compute=rows_set_aside,
    charts=NO_CHART,
    uses=("files",),
    lookback_s=30 * DAY_S,
    facts=(
        FactColumn("reason", "first reason"),
        FactColumn("rows_read", "rows read", "rows"),
        FactColumn("file", SAID_ELSEWHERE),
        FactColumn("more", SAID_ELSEWHERE),
        FactColumn("what", SAID_ELSEWHERE),
    ),
    about_arrival=True,
)

MEASURES = (ROWS_SET_ASIDE,)
