"""What cannot be a reading is read as unknown: the one place, after every reader, where figures are weighed.

A figure outside what its column declares as possible (`tables.expected`) costs its cell and nothing else, as one that
cannot be read does: the row stands without it, and it is told. Nothing is worked out of it, and it takes nothing back
that an earlier export said. Keys are no figures; moments are weighed as they are read (`times`), and those later than
their file's arrival by `decide`.

A sensor that is broken says nonsense at every milking. So each field of a file has one reason, with how many figures
it is about, and the other rows of that field are only counted.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from sentinel.flow.bounds import cut, legible
from sentinel.flow.feeds.feed_map import FeedMap
from sentinel.flow.feeds.formats.raw import set_aside
from sentinel.flow.feeds.parts import Parts
from sentinel.flow.feeds.plans import title_of
from sentinel.flow.feeds.unread import MOST_REASONS
from sentinel.flow.model import Batch, Rows, SetAside
from sentinel.flow.reasons import Reason, several
from sentinel.flow.tables import Column, table_named

IMPOSSIBLE = ("impossible", "impossible-at-box")
"""The codes of why figures were left out here; `n` of such a reason is how many."""

Field = tuple[str, str, str]
"""A table, a column of it, and the quarter, "" where it is not of one."""


@dataclass(slots=True)
class _Met:
    """The impossible figures of one field of a file: how many, the first with its line, and at which boxes."""

    column: Column
    first: float
    line: int
    number: int = 0
    boxes: set[str] = field(default_factory=set)


@dataclass(slots=True)
class _Weighed:
    """What was met in one file: by field, and by line the row of which a figure was left out."""

    fields: dict[Field, _Met] = field(default_factory=dict)
    rows: dict[int, SetAside] = field(default_factory=dict)


def only_possible(batch: Batch, feed: FeedMap | None = None) -> Batch:
    """A batch without the figures that cannot be readings, each field told once; `feed` is the map it was read by.

    What an export writes for nothing measured (`not_measured`) is missing, as an empty cell is, and is not told.
    """
    met = _Weighed()
    rows = tuple(kept for part in batch.rows for kept in _weigh(part, met))
    if all(one is other for one, other in zip(rows, batch.rows, strict=False)) and len(rows) == len(batch.rows):
        return batch
    return replace(batch, rows=rows, set_aside=_told(batch.set_aside, met, feed))


def left_out(part: Rows) -> Counter[str]:
    """How many figures of each column of a part cannot be readings and are told."""
    return Counter(column.name for _, _, refused in _refused(part) for column, _ in refused)


Refused = list[tuple[Column, float]]


def _refused(part: Rows) -> Iterator[tuple[int, tuple[Any, ...], Refused]]:
    """The rows of a part of which figures cannot be readings: by place, the row without what stands for nothing
    measured, and the columns of the others with their figures. The rest of the rows is as it is."""
    declared = table_named(part.table)
    suspect = []
    for place, name in enumerate(part.columns):
        column = declared.column(name) if name in declared.names else None
        if column is None or column.expected is None:
            continue
        figures = [row[place] for row in part.values if row[place] is not None]
        low, high = column.expected.possible
        if figures and not (low <= min(figures) and max(figures) <= high):
            suspect.append((place, column, column.expected))
    if not suspect:
        return
    milk = part.columns.index("milk_kg") if "milk_kg" in part.columns else -1
    for number, values in enumerate(part.values):
        row, refused = values, []
        for place, column, expected in suspect:
            value = values[place]
            if value is None or expected.is_possible(value):
                continue
            if value == expected.not_measured and (milk < 0 or not values[milk]):
                row = (*row[:place], None, *row[place + 1 :])
            else:
                refused.append((column, value))
        if refused or row is not values:
            yield number, row, refused


def _weigh(part: Rows, met: _Weighed) -> Sequence[Rows]:
    """The rows of a part without impossible figures: the part itself where it has none."""
    changed = {number: (row, refused) for number, row, refused in _refused(part)}
    if not changed:
        return (part,)
    parts = Parts(part.table, part.columns)
    for number, (values, line) in enumerate(zip(part.values, part.lines, strict=True)):
        row, refused = changed.get(number, (values, []))
        for column, value in refused:
            _note(met, part, values, line, column, value)
        parts.add(row, line, [column.name for column, _ in refused])
    return parts.rows()


def _note(met: _Weighed, part: Rows, values: Sequence[Any], line: int, column: Column, value: float) -> None:
    """Note one impossible figure."""
    known = dict(zip(part.columns, values, strict=True))
    of_field = met.fields.setdefault((part.table, column.name, known.get("quarter") or ""), _Met(column, value, line))
    of_field.number += 1
    if len(of_field.boxes) < 2:
        of_field.boxes.add(known.get("box") or "")
    if line not in met.rows:
        declared = table_named(part.table)
        who, box, moment = cut(known[declared.key[0]]), cut(known.get("box") or ""), known[declared.happened]
        met.rows[line] = SetAside(line, "", None, kept=True, tab=part.table, who=who, box=box, begin=moment, end=moment)


def _told(aside: Sequence[SetAside], met: _Weighed, feed: FeedMap | None) -> tuple[SetAside, ...]:
    """What was set aside, and the rows of which figures were left out, in order; the first of each field says why."""
    lines = {one.line: one for one in reversed(aside)}
    rows = {line: lines.get(line, row) for line, row in met.rows.items()}
    whys: dict[int, list[Reason]] = {}
    for (table, name, quarter), of_field in met.fields.items():
        whys.setdefault(of_field.line, []).append(_why(_called(feed, table, name, quarter), of_field))
    for line, why in whys.items():
        before = rows[line].reason
        reason = set_aside(line, "", _at_most([before, *why] if before else why)).reason
        rows[line] = replace(rows[line], reason=reason)
    others = [one for one in aside if lines[one.line] is not one or one.line not in rows]
    return tuple(sorted([*others, *rows.values()], key=lambda row: row.line))


def _at_most(reasons: list[Reason]) -> Reason:
    more = len(reasons) - MOST_REASONS
    return several(reasons[:MOST_REASONS] + ([Reason("and-more", n=more)] if more > 0 else []))


def _called(feed: FeedMap | None, table: str, name: str, quarter: str) -> str:
    """What the export calls a field; our name for it where no map says."""
    mapped = feed.table_maps.get(table) if feed is not None else None
    one = mapped.fields().get(name) if mapped is not None else None
    title = title_of(one, mapped, quarter) if one is not None and mapped is not None else ""
    return f'"{legible(title)}"' if title else f"{name} {quarter}".strip()


def _why(what: str, met: _Met) -> Reason:
    """Why figures of one field were left out."""
    column = met.column
    assert column.expected is not None
    low, high = column.expected.possible
    range_ = f"{low:g}–{high:g} {column.unit}".strip()
    first, n = f"{met.first:.10g}", met.number
    [box] = met.boxes if len(met.boxes) == 1 else [""]
    if box:
        return Reason("impossible-at-box", what=what, n=n, first=first, range=range_, box=legible(box))
    return Reason("impossible", what=what, n=n, first=first, range=range_)
