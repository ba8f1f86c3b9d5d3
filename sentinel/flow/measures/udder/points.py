"""How much points to trouble in a quarter: the signs, what each is worth, and how they are said.

Five signs are added up in points: this milking's rise of conductivity, the rises of her milkings before it, the milk
of the quarter, the ratio to her other quarters, and the hours she was away. Nothing in it is fitted to a farm; each
weight and bound below has its reason. It is evidence that it is worth looking at the quarter, never a diagnosis.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sentinel.flow.language import Said, joined
from sentinel.flow.measures.udder.change import USUAL_FEWEST, Changes, Milkings
from sentinel.flow.measures.udder.ewma import READINGS, WEIGHT, ewma_of_last
from sentinel.flow.measures.udder.lags import before, in_parts, mean_before, reaches_from
from sentinel.flow.model import DAY_S, QUARTERS

SIGNS = ("rise", "ewma", "yield", "ratio", "interval")
"""The five, in the order in which they are told."""

LATELY_S = 5 * DAY_S
"""Milkings before count for so long: an udder is ill for days, not weeks."""

CONDUCTIVITY_MOST = 3.6
MILK_MOST = 3.0
"""No milking counts as more than so many of the quarter's own standard deviations, so that one odd reading alone cannot
raise an alert (it adds at most 0.40 x 3.6 x 1.8 = 2.6 points of the 4 that are needed), while two in a row can."""

LEFT_MOST = 1.5
"""The milking after one at which the quarter's cup came off counts as so many at most, as milk that was left may read
high (our choice, no source), times 1 and the average before it: one full reading before, and it counts in full, since
what stands on both sides of it is believed."""

POINTS = 1.8
POINTS_ALONE = 2.16
POINTS_MILK = 1.23
"""Points of one standard deviation of the moving average of conductivity (if nothing is known of the quarter's milk:
the larger one) and of milk. Milk counts 0.7 of conductivity: a quarter that is ill loses less of its usual than its
conductivity gains, in the measure of what each wavers. An average wavers by half as much as one reading (0.4 / 1.6),
so with both signs 4 points are 4 / (0.5 x sqrt(1.8^2 + 1.23^2)) = 3.7 standard deviations, 3.7 with the one alone."""

RATIO_FROM, RATIO_STEP, RATIO_MOST = 1.15, 0.10, 2.0
POINTS_RATIO = 0.2
"""From a ratio of 1.15 on 0.2 points for each 0.10, up to 0.4: it sees a quarter that has been high for so long that
it has become its own usual, but quarters of healthy cows differ as well, so it only tips a scale."""

LATE_FROM, LATE_MOST = 1.3, 1.0
POINTS_INTERVAL = 0.3
"""From 1.3 times her usual interval on, up to 0.3 points: a cow that is ill comes late (very sick cows may not visit
the box: Hogeveen et al. 2021, J Dairy Sci 104:11317, citation from memory, read in a summary of the EU DISARM project),
but so does one that is grazing, so it only tips a scale."""

WORTH_SAYING = 0.3
SPOKEN_FROM = 3.0
"""A sign is named if it adds so many points; below so many points of a score nothing is said to stand out."""

SIGN_MARKS = (WORTH_SAYING, 1.0, 2.0)
"""From so many points on a single sign is slight, clear, strong: two clear ones, or a strong one with company, make the
4 points of the rule that ships (our choice, no source)."""


@dataclass(frozen=True, slots=True)
class Signs:
    """What the score rests on, arrays of one shape; NaN where it is not known.

    `rise`: this milking's corrected rise in the quarter's own standard deviations (bounded at the milking after
    a cup came off: `LEFT_MOST`); `ewma`: the moving average of that at her milkings before; `less_milk`: the moving
    average, this milking included, of how many standard deviations the quarter gave less than its usual part;
    `ratio`: to the mean of the two lowest quarters; `interval`: hours since the last milking over her usual ones.
    """

    rise: np.ndarray
    ewma: np.ndarray
    less_milk: np.ndarray
    ratio: np.ndarray
    interval: np.ndarray


def points(signs: Signs) -> dict[str, np.ndarray]:
    """What each sign adds to the score, in points; their sum is the score. A sign that is not known adds nothing.

    Each rises, or stays, as its own sign rises and no other changes.
    """
    each = np.where(np.isnan(signs.less_milk), POINTS_ALONE, POINTS)
    rise = np.clip(signs.rise, -CONDUCTIVITY_MOST, CONDUCTIVITY_MOST)
    ratio = np.clip((signs.ratio - RATIO_FROM) / RATIO_STEP, 0.0, RATIO_MOST)
    late = np.clip(signs.interval - LATE_FROM, 0.0, LATE_MOST)
    parts = (
        each * WEIGHT * rise,
        each * (1.0 - WEIGHT) * signs.ewma,
        POINTS_MILK * signs.less_milk,
        POINTS_RATIO * ratio,
        POINTS_INTERVAL * late,
    )
    return {name: np.where(np.isnan(part), 0.0, part) for name, part in zip(SIGNS, parts, strict=True)}


def signs_of(herd_milkings: Milkings, changes: Changes) -> Signs:
    """The signs at all milkings of a herd."""
    rise = changes.change / changes.spread
    less = -changes.milk / changes.milk_spread
    earlier, milk, usual_hours = in_parts(
        _averages,
        herd_milkings.code,
        herd_milkings.at,
        rise,
        less,
        np.repeat(herd_milkings.hours[:, None], len(QUARTERS), axis=1),
    )
    most = np.where(herd_milkings.left, LEFT_MOST * (1.0 + np.maximum(earlier, 0.0)), np.inf)
    usable = herd_milkings.usable
    upward = np.sort(usable, axis=1)
    number = np.count_nonzero(~np.isnan(usable), axis=1)[:, None]
    ratio = np.where(number >= 3, usable / ((upward[:, :1] + upward[:, 1:2]) / 2.0), np.nan)
    return Signs(np.minimum(rise, most), earlier, milk, ratio, herd_milkings.hours[:, None] / usual_hours)


def _averages(
    code: np.ndarray, at: np.ndarray, rise: np.ndarray, less: np.ndarray, hours: np.ndarray
) -> tuple[np.ndarray, ...]:
    """The moving averages of the rises before and of the missing milk, and the usual hours, for some whole cows."""
    begin = reaches_from(code, at, READINGS - 1, LATELY_S)
    rises = before(np.clip(rise, -CONDUCTIVITY_MOST, CONDUCTIVITY_MOST), begin, 1, READINGS - 1)
    earlier, _ = ewma_of_last(np.moveaxis(rises, -1, 0), WEIGHT)
    bounded = np.clip(less, -MILK_MOST, MILK_MOST)
    milks = before(bounded, begin, 1, READINGS - 1)
    milk, known = ewma_of_last([*np.moveaxis(milks, -1, 0), bounded], WEIGHT)
    usual, number = mean_before(hours, begin)
    return earlier, np.where(known > 0, milk, np.nan), np.where(number >= USUAL_FEWEST, usual, np.nan)


def in_words(points_of: dict[str, float], rise_pct: float, less_milk_pct: float, ratio: float, hours: float) -> Said:
    """The signs that add most to a score, the strongest first, and always how the conductivity stands.

    >>> in_words({"rise": 2.5, "ewma": 1.9, "yield": 0.1, "ratio": 0.0, "interval": 0.0}, 18.2, 2.0, 1.1, 9.0)
    'conductivity 18 % above its usual; high at the milkings before'
    """
    strongest = sorted(SIGNS, key=lambda name: -points_of[name])
    signs = [name for name in strongest if name == "rise" or points_of[name] >= WORTH_SAYING]
    return joined("; ", [_sign_in_words(name, rise_pct, less_milk_pct, ratio, hours) for name in signs])


HIGH_BEFORE = Said("high at the milkings before")
LESS_MILK = Said("gave less than this quarter usually does")
AS_USUAL = Said("conductivity as usual")


def _sign_in_words(name: str, rise_pct: float, less_milk_pct: float, ratio: float, hours: float) -> Said:
    """One sign with its figure."""
    match name:
        case "rise" if abs(rise_pct) < 1:
            return AS_USUAL
        case "rise" if rise_pct > 0:
            return Said("conductivity {pct} % above its usual", pct=f"{rise_pct:.0f}")
        case "rise":
            return Said("conductivity {pct} % below its usual", pct=f"{-rise_pct:.0f}")
        case "ewma":
            return HIGH_BEFORE
        case "yield" if less_milk_pct >= 5:
            return Said("gave {pct} % less than this quarter usually does", pct=f"{less_milk_pct:.0f}")
        case "yield":
            return LESS_MILK
        case "ratio":
            return Said("{pct} % above her two best quarters", pct=f"{100 * (ratio - 1):.0f}")
        case _:
            return Said("{hours} h since the last milking", hours=f"{hours:.0f}")
