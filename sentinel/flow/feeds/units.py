"""Turning the units of an export into the unit of a column: an affine conversion, checked when the map is read.

Physical units go through pint; what pint has no word for (clock-like durations, cell counts) stands in the
tables below.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

SPANS = {"min:sec": (60, 1), "h:min:sec": (3600, 60, 1), "h:min": (3600, 60)}
"""Durations written like a clock: seconds of each part, left to right."""

_SPAN_NAMES = {
    "mm:ss": "min:sec",
    "min:s": "min:sec",
    "hh:mm:ss": "h:min:sec",
    "h:mm:ss": "h:min:sec",
    "hh:mm": "h:min",
}

_PER_1000_ML = {
    "1000/ml": 1.0,
    "k/ml": 1.0,
    "thousand/ml": 1.0,
    "1/ml": 0.001,
    "cells/ml": 0.001,
    "cfu/ml": 0.001,
    "1000 cells/ml": 1.0,
    "1000 cfu/ml": 1.0,
}
"""Counts per volume, in thousands per millilitre; 1/µl is the same number as 1000/ml."""


@dataclass(frozen=True, slots=True)
class Conversion:
    """`value * factor + offset`, or `value / divisor` where that keeps round numbers round (5900 µS/cm: 5.9)."""

    factor: float = 1.0
    offset: float = 0.0
    divisor: float = 0.0

    @property
    def same(self) -> bool:
        """Whether it changes nothing."""
        return self.factor == 1.0 and self.offset == 0.0 and not self.divisor

    def __call__(self, value: float) -> float:
        """The value in the column's unit.

        >>> conversion("uS/cm", "mS/cm")(5900)
        5.9
        """
        if self.divisor:
            return value / self.divisor + self.offset
        return value * self.factor + self.offset


def span_named(unit: str) -> str:
    """The key of `SPANS` that a unit means, or "" if it is no clock-like duration.

    >>> span_named("mm:ss"), span_named("kg")
    ('min:sec', '')
    """
    unit = _SPAN_NAMES.get(unit.strip(), unit.strip())
    return unit if unit in SPANS else ""


@lru_cache(maxsize=256)
def conversion(unit: str, target: str, density_kg_per_l: float = 0.0) -> Conversion:
    """How to turn `unit` into a column's unit `target`; raises ValueError with a sentence for a person.

    A volume becomes a mass, and a mass a volume, only with a density that the map states; so do amounts a minute.

    >>> round(conversion("degF", "degC")(39.2), 6)
    4.0
    >>> conversion("l", "kg")
    Traceback (most recent call last):
    ValueError: "l" is a volume and "kg" is a mass: state density_kg_per_l as well (the milk buyer uses one)
    """
    given = unit.strip()
    if given == target:
        return Conversion()
    if target == "1000/ml":
        if given.lower() not in _PER_1000_ML:
            raise ValueError(f'"{unit}" is not a count per volume; known here: {", ".join(_PER_1000_ML)}')
        return _neat(_PER_1000_ML[given.lower()], 0.0)
    return _by_pint(given, target, density_kg_per_l)


def _by_pint(unit: str, target: str, density_kg_per_l: float) -> Conversion:
    """The conversion between two physical units, from pint's definitions."""
    import pint  # noqa: PLC0415  (160 ms to load, and most maps need no unit)

    registry = _registry()
    try:
        source = registry.parse_units(unit)
    except Exception as error:  # pint raises many kinds for a text it cannot read
        raise ValueError(f'"{unit}" is not a unit that is known here') from error
    wanted, density = registry.parse_units(target), registry.parse_units("kg/l")
    scale = 1.0
    for power, given, own in ((1, "a volume", "a mass"), (-1, "a mass", "a volume")):
        if (source * density**power).dimensionality == wanted.dimensionality:
            if not density_kg_per_l:
                sentence = f'"{unit}" is {given} and "{target}" is {own}'
                raise ValueError(f"{sentence}: state density_kg_per_l as well (the milk buyer uses one)")
            scale, source = density_kg_per_l**power, source * density**power
            break
    try:
        zero = float(registry.Quantity(0.0, source).to(wanted).magnitude)
        factor = float(registry.Quantity(1.0, source).to(wanted).magnitude)
    except (pint.errors.PintError, ValueError, TypeError) as error:
        raise ValueError(f'"{unit}" cannot be turned into "{target}"') from error
    return _neat((factor - zero) * scale, zero * scale)


def _neat(factor: float, offset: float) -> Conversion:
    """Divide by a whole number instead of multiplying by its inverse, so that round numbers stay round."""
    inverse = 1.0 / factor
    whole = round(inverse)
    if whole > 1 and abs(inverse - whole) < 1e-9 * whole:
        return Conversion(factor, offset, float(whole))
    if round(factor) >= 1 and abs(factor - round(factor)) < 1e-12 * factor:
        factor = float(round(factor))
    return Conversion(factor, offset)


@lru_cache(maxsize=1)
def _registry() -> Any:
    """pint's registry of units, made once."""
    import pint  # noqa: PLC0415

    return pint.UnitRegistry()
