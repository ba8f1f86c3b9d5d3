"""Fields whose figures hardly are what the map takes them for, with the unit that would make them so."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from sentinel.flow.feeds.field_map import FieldMap
from sentinel.flow.feeds.trial.tried import Figures, Tried
from sentinel.flow.feeds.units import conversion, span_named
from sentinel.flow.model import Problem, Source
from sentinel.flow.tables.expected import ANY, Expected

FEWEST, FEW = 5, 0.02
"""Of fewer figures nothing is told; a share below this is single readings, which no map is blamed for."""

MANY = 0.15
"""Of such a share of figures that are not usual the map is asked about (our choice, no source)."""

OTHER_UNITS = {
    "s": ("min", "ms"),
    "kg": ("lb", "g"),
    "kg/min": ("g/min", "lb/min"),
    "mS/cm": ("uS/cm", "mS/m", "S/m"),
    "mm": ("cm", "m"),
    "degC": ("degF",),
    "1000/ml": ("1/ml",),
}
"""In which units exports also write what a column holds."""


def odd_figures(of: Tried, but: Collection[tuple[str, str]] = ()) -> Iterator[Problem]:
    """Every field of a feed whose figures are not what its column expects, the first thing that is odd with it.

    `but`: fields by table and column of which another question is asked.
    """
    for one in of.fields:
        expected = one.column.expected
        if expected is None or one.number < FEWEST or (one.table, one.column.name) in but:
            continue
        what = _odd(one, expected)
        if what:
            mapped = of.map.mapped(one.table, one.column.name)
            at = of.map.place(*of.map.steps(one.table, one.column.name)) if mapped else Source(of.map.name)
            yield Problem(at, f"{one.column.name}: {what}; {_suggested(one, expected, mapped)}")


def shown(value: float) -> str:
    """A figure as it is told."""
    return f"{value:.4g}" if abs(value) < 10_000 else f"{value:,.0f}"


def range_of(low_high: tuple[float, float], unit: str) -> str:
    """A range in words; "" for none.

    >>> range_of((1, 25), "mS/cm")
    '1–25 mS/cm'
    """
    return "" if low_high == ANY else f"{low_high[0]:g}–{low_high[1]:g} {unit}".strip()


def _odd(one: Figures, expected: Expected) -> str:
    """What is odd with a field, "" if nothing."""
    unit, number, middle = one.column.unit, one.number, one.median
    if one.impossible > max(1, FEW * number):
        possible = range_of(expected.possible, unit)
        left_out = f"{one.impossible} of {number} figures cannot be right and would be left out"
        half = "all are 0" if middle is None else f"half are over {shown(middle)}"
        return f"{left_out} ({half}; possible is {possible})"
    if middle is None or one.judged < FEWEST:
        return ""
    low, high = expected.middle
    if not low <= middle <= high:
        side = f"half of the figures are over {shown(middle)} {unit}" if middle > high else ""
        side = side or f"half of the figures are under {shown(middle)} {unit}"
        return f"{side.strip()}, where a herd's lie at {range_of(expected.middle, unit)}"
    if one.unusual > max(FEWEST, MANY * one.judged):
        return f"{one.unusual} of {number} figures are outside {range_of(expected.usual, unit)}"
    return ""


def _suggested(one: Figures, expected: Expected, mapped: FieldMap | None) -> str:
    """What to do: the unit that would make it right, if there is one."""
    units = _fitting(one, expected, mapped)
    if units:
        return f"is it in {' or '.join(units)}? Then write unit: {units[0]}"
    return "is it the right column, and its unit?"


def _fitting(one: Figures, expected: Expected, mapped: FieldMap | None) -> list[str]:
    """Units of the export by which the middle of the figures would be what is expected."""
    if mapped is None or one.median is None or expected.middle[0] <= one.median <= expected.middle[1]:
        return []
    given = span_named(mapped.unit or "")
    if given == "h:min":  # as likely min:sec, written alike
        return ["min:sec"] if expected.middle[0] <= one.median / 60 <= expected.middle[1] else []
    if given or mapped.density_kg_per_l:
        return []
    units = (one.column.unit, *OTHER_UNITS.get(one.column.unit, ()))
    now = conversion(mapped.unit, one.column.unit) if mapped.unit else conversion(one.column.unit, one.column.unit)
    raw = (one.median - now.offset) * (now.divisor or 1 / now.factor)
    fitting = []
    for unit in units:
        other = conversion(unit, one.column.unit)
        if other != now and expected.middle[0] <= other(raw) <= expected.middle[1]:
            fitting.append(unit)
    return fitting
