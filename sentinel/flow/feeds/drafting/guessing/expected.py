"""What the values of each field look like, in each unit that exports use: how likely a column's figures are it.

Medians and spreads are of a dairy herd milked by boxes: common practice, no source, and wide enough for other herds.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.feeds.drafting.sample.profile import Profile
from sentinel.flow.feeds.units import Conversion, conversion


@dataclass(frozen=True, slots=True)
class Figures:
    """The figures of a field in its own unit.

    `median` is the usual one, and `factor` how far it varies; `spread` the usual spread, and `wide` by how many natural
    logs that varies; `between` are bounds that all figures keep, but for one in fifty. The spread is half the distance
    between the 16th and the 84th percentile of the logarithms.
    """

    median: float
    factor: float
    spread: float
    between: tuple[float, float]
    whole: bool = False
    wide: float = 0.45


FIGURES: dict[str, Figures] = {
    "visits.duration_s": Figures(290, 2.0, 0.65, (5, 5400)),
    "visits.milk_kg": Figures(10, 1.35, 0.45, (0, 60)),
    "visits.attach_s": Figures(75, 1.9, 0.45, (3, 900)),
    "visits.attempts": Figures(1.2, 1.4, 0.12, (0, 15), whole=True, wide=1.2),
    "visits.peak_flow_kg_min": Figures(3.7, 1.4, 0.28, (0.1, 12)),
    "quarters.conductivity_mS_cm": Figures(5.0, 1.15, 0.1, (2, 15)),
    "quarters.milk_kg": Figures(2.5, 1.4, 0.45, (0, 18)),
    "cows.lactation": Figures(2.3, 1.6, 0.6, (0, 16), whole=True, wide=0.8),
    "cows.milkings_allowed": Figures(2.7, 1.5, 0.3, (0, 8), wide=0.9),
    "tank.temperature_C": Figures(3.8, 1.25, 0.15, (0.3, 45)),
    "tank.litres": Figures(2500, 2.6, 0.9, (0, 60_000)),
    "tank.cells_k_ml": Figures(190, 1.6, 0.18, (20, 2000), wide=0.6),
    "tank.bacteria_k_ml": Figures(10, 2.0, 0.5, (0.5, 3000)),
    "cow_tests.cells_k_ml": Figures(90, 1.8, 1.15, (1, 20_000)),
    "cow_tests.milk_kg": Figures(28, 1.3, 0.33, (1, 75)),
}

POSITIONS = {"quarters.x_mm": (0.02, 0.35), "quarters.y_mm": (0.2, 3.0), "quarters.z_mm": (0.02, 0.2)}
"""Of a teat's position: between which shares of its size the spread lies; where it is counted from is the box's own."""

MILK_KG_PER_L = 1.03
"""Some 1.03 (from memory); the milk buyer uses a figure of their own."""

UNITS: dict[str, tuple[str, ...]] = {
    "s": ("s", "min"),
    "kg": ("kg", "g", "l", "lb"),
    "mS/cm": ("mS/cm", "mS/m", "uS/cm"),
    "degC": ("degC", "degF"),
    "1000/ml": ("1000/ml", "cells/ml"),
    "l": ("l", "gallon", "imperial_gallon", "hl", "kg"),
    "kg/min": ("kg/min", "g/min", "l/min", "lb/min"),
    "mm": ("mm", "cm"),
    "1/d": ("1/d",),
}
"""For the unit of a field, itself first, in which units exports have it."""

RARER = {
    "lb": 1.2,
    "l": 0.7,
    "lb/min": 1.2,
    "l/min": 0.7,
    "degF": 0.5,
    "gallon": 2.0,
    "imperial_gallon": 2.0,
    "hl": 1.0,
    "cm": 1.0,
    "min": 0.3,
}
_KG_OF_LITRES = 1.2
"""By so many log odds a unit is rarer than the column's own (our choice, no source)."""


def rarer(own: str, unit: str) -> float:
    """By how many log odds an export's unit is rarer than a column's own."""
    return _KG_OF_LITRES if (own, unit) == ("l", "kg") else 0.0 if own == unit else RARER.get(unit, 0.0)


BACKGROUND = math.log(1 / 14) + math.log(1 / 2.5)
"""Log density of the median and the spread of a column of which nothing is known."""

_FEW = 30

IMPOSSIBLE = -50.0
UNLIKELY = -3.5
"""No figures that are possible at all speak more against a field: a clear title is then still asked for."""


def figures_score(key: str, own: str, profile: Profile, unit: str = "") -> dict[str, float]:
    """Per unit that it may be in, the log odds that a column's figures are a field's; empty if it holds no figures.

    `key`: `visits.milk_kg`; `own`: the field's own unit; `unit`: the one that the title names, which leaves only that.
    """
    if profile.shape not in ("number", "span") or len(profile.known) == 0:
        return {}
    if key in POSITIONS:
        return _position_score(key, profile, unit)
    expected = FIGURES.get(key)
    if expected is None:
        return {}
    scores: dict[str, float] = {}
    for name, change in _ways(own, profile, unit):
        values = profile.known * change.factor + change.offset
        scores[name] = _score(values, expected) - (0.0 if unit else rarer(own, name))
    return {name: score for name, score in scores.items() if score > IMPOSSIBLE}


def _ways(own: str, profile: Profile, unit: str) -> list[tuple[str, Conversion]]:
    """The units that a column's figures may be in, each with how it becomes the field's own."""
    if profile.shape == "span":
        if own != "s":
            return []
        minutes = [("min:sec", Conversion()), ("h:min", Conversion(60.0))]
        return _said(minutes if profile.unit == "min:sec" else [("h:min:sec", Conversion())], unit)
    return _said([(name, conversion(name, own, MILK_KG_PER_L)) for name in UNITS.get(own, ())], unit) or [
        ("", Conversion())
    ]


def _said(ways: list[tuple[str, Conversion]], unit: str) -> list[tuple[str, Conversion]]:
    """Those that a title says, or all; one that says gallons does not say whose."""
    return [way for way in ways if way[0] == unit or (unit == "gallon" and way[0] == "imperial_gallon")] or ways


def spread_of(values: NDArray[np.float64]) -> tuple[float, float]:
    """The median, and half the distance between the 16th and 84th percentile of the logarithms, of the figures > 0."""
    above = values[values > 0]
    if len(above) == 0:
        return 0.0, 0.0
    low, middle, high = np.log(np.percentile(above, [16, 50, 84]))
    return float(middle), float(high - low) / 2


def _score(values: NDArray[np.float64], expected: Figures) -> float:
    low, high = expected.between
    outside = float(np.mean((values < low) | (values > high)))
    if outside > 0.25:
        return IMPOSSIBLE
    middle, spread = spread_of(values)
    above = values[values > 0]
    if len(above) == 0:
        return -2.0
    few = 1.5 / math.sqrt(len(above))
    score = _normal(middle, math.log(expected.median), math.log(expected.factor) + few * expected.spread)
    if len(above) < _FEW and len(set(above.tolist())) < 3:
        score += BACKGROUND - math.log(1 / 14)  # so few rows say nothing of the spread
    else:
        score += _normal(math.log(spread + 0.03), math.log(expected.spread + 0.03), expected.wide + few)
    score -= 12 * max(0.0, outside - 0.02)
    if expected.whole and not np.all(above == np.floor(above)):
        return IMPOSSIBLE
    if expected.whole:
        score += 1.0
    return max(score - BACKGROUND, UNLIKELY)


def _normal(value: float, mean: float, sd: float) -> float:
    return -0.5 * ((value - mean) / sd) ** 2 - math.log(sd * math.sqrt(2 * math.pi))


def _position_score(key: str, profile: Profile, unit: str) -> dict[str, float]:
    """A position has no usual median, only a spread in millimetres: of a herd's teats some 1 to 8 cm."""
    values = profile.known
    spread = float(np.percentile(values, 84) - np.percentile(values, 16)) / 2
    size = float(np.median(np.abs(values)))
    low, high = POSITIONS[key]
    shape_fits = low <= spread / max(size, 1e-9) <= high
    scores = {}
    for name, change in _ways("mm", profile, unit):
        distance = abs(math.log(max(spread * change.factor, 1e-6) / 32)) / math.log(2.2)
        scores[name] = max((1.0 if shape_fits else -1.0) + 0.8 - 0.5 * distance**2, UNLIKELY)
    return scores
