"""Fields whose figures at one box are not what they are at the others: a box may write them in a unit of its own."""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from sentinel.flow.bounds import legible
from sentinel.flow.feeds.field_map import FieldMap
from sentinel.flow.feeds.trial.figures import OTHER_UNITS, shown
from sentinel.flow.feeds.trial.tried import NEWEST, Tried
from sentinel.flow.feeds.units import conversion, span_named
from sentinel.flow.model import Batch, Problem, Source
from sentinel.flow.tables import Column, table_named
from sentinel.flow.tables.expected import ANY

FEWEST = 20
"""Of a box with fewer figures nothing is told (our choice, no source)."""

APART, NEAR = math.log(1.65), math.log(1.5)
"""Boxes of one herd hardly differ by the first factor in what is usual at them, a pound and a kilogram do by 2.2; with
the right unit they are within the second (our choice, no source)."""

Place = tuple[str, str]
"""A table and a column of it."""


@dataclass(slots=True)
class _AtBox:
    """The figures of a field at one box, as one feed's map reads them."""

    of: Tried
    figures: list[float] = field(default_factory=list)

    def usual(self, column: Column) -> float:
        """What they usually are: the middle one, or of positions, which each box counts from elsewhere, how far apart
        they lie; 0 if there are too few."""
        if len(self.figures) < FEWEST:
            return 0.0
        if column.unit == "mm":
            low, _, high = statistics.quantiles(self.figures, n=4)
            return high - low
        return statistics.median(self.figures)


def unlike_at_one_box(feeds: Sequence[Tried]) -> dict[Place, list[Problem]]:
    """Per field what is to be asked of a box whose figures are apart from the others'; by the newest files, or by all.

    A box may have changed its unit with its newest files, and hourly files hold too few visits to tell by a few.
    """
    found: dict[Place, list[Problem]] = {}
    for newest in (True, False):
        for place, at_boxes in _by_field(feeds, newest=newest).items():
            if place not in found and (told := list(_apart(place, at_boxes))):
                found[place] = told
    return found


def _by_field(feeds: Sequence[Tried], *, newest: bool) -> dict[Place, dict[str, _AtBox]]:
    """The figures that are not 0 of each field in which exports have other units, by box."""
    fields: dict[Place, dict[str, _AtBox]] = {}
    for of in feeds:
        for batch in of.batches[:NEWEST] if newest else of.batches:
            for place, box, figures in _figures(batch):
                at_box = fields.setdefault(place, {}).setdefault(box, _AtBox(of))
                if at_box.of is of:  # what two feeds tell of one box is held against each other elsewhere
                    at_box.figures += figures
    return fields


def _figures(batch: Batch) -> Iterator[tuple[Place, str, list[float]]]:
    for part in batch.rows:
        if "box" not in part.columns:
            continue
        at = part.columns.index("box")
        declared = table_named(part.table)
        for n, name in enumerate(part.columns):
            if name not in declared.names or declared.column(name).unit not in OTHER_UNITS:
                continue
            by_box: dict[str, list[float]] = {}
            for row in part.values:
                if row[at] and row[n]:
                    by_box.setdefault(str(row[at]), []).append(float(row[n]))
            yield from (((part.table, name), box, figures) for box, figures in by_box.items())


def _apart(place: Place, at_boxes: Mapping[str, _AtBox]) -> Iterator[Problem]:
    """The boxes at which a field is not what it is at the others."""
    column = table_named(place[0]).column(place[1])
    usual = {box: one.usual(column) for box, one in at_boxes.items()}
    usual = {box: value for box, value in usual.items() if value > 0}
    for box, mine in usual.items():
        others = [value for other, value in usual.items() if other != box]
        if not others:
            return
        theirs = statistics.median(others)
        if abs(math.log(mine / theirs)) < APART:
            continue
        of = at_boxes[box].of
        mapped = of.map.mapped(*place)
        unit = _unit(column, mapped, mine, theirs)
        if not unit and not _is_odd(column, mine, theirs):
            continue
        at = of.map.place(*of.map.steps(*place)) if mapped else Source(of.map.name)
        what = "the middle half of the figures lies within" if column.unit == "mm" else "half of the figures are over"
        said = (
            f"{column.name}: at box {legible(box)} {what} {shown(mine)} {column.unit}, "
            f"at the other boxes {what.rpartition(' ')[2]} {shown(theirs)} {column.unit}"
        )
        yield Problem(at, f"{said}; {_todo(box, unit)}")


def _unit(column: Column, mapped: FieldMap | None, mine: float, theirs: float) -> str:
    """In which unit a box would write what the others say in the map's; "" if in none."""
    given = (mapped.unit if mapped else None) or column.unit
    if span_named(given) or (mapped is not None and mapped.density_kg_per_l):
        return ""
    now = conversion(given, column.unit)
    fitting: list[tuple[float, str]] = []
    for unit in (column.unit, *OTHER_UNITS[column.unit]):
        other = conversion(unit, column.unit)
        if other == now:
            continue
        raw = (mine - now.offset) * (now.divisor or 1 / now.factor)
        right = other(raw) if column.unit != "mm" else mine * other.factor / now.factor
        off = abs(math.log(right / theirs)) if right > 0 else math.inf
        if off < NEAR and 2 * off < abs(math.log(mine / theirs)):
            fitting.append((off, unit))
    return min(fitting)[1] if fitting else ""


def _is_odd(column: Column, mine: float, theirs: float) -> bool:
    """Whether a box's figures are none that a herd's usually are, while the others' are."""
    middle = column.expected.middle if column.expected is not None else ANY
    return middle != ANY and not middle[0] <= mine <= middle[1] and middle[0] <= theirs <= middle[1]


def _todo(box: str, unit: str) -> str:
    """What to do about a box."""
    if not unit:
        return f"is it another column or unit at box {legible(box)}?"
    return (
        f"does box {legible(box)} write {unit}? Then have it write as the others do, "
        f"or give what it writes a map of its own with unit: {unit}"
    )
