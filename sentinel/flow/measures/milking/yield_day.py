"""What a cow gives in a day, and how often she is milked."""

from __future__ import annotations

import numpy as np

from sentinel.flow.measures.base.facts import BOX, HOURS
from sentinel.flow.measures.base.ordered import texts
from sentinel.flow.measures.base.shape import NO_CHART, Measure, Options, Readings
from sentinel.flow.measures.milking.yield_share import TOLD_BACK_S, Milk, first_after, milk_of
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import Tables

DAY_OVER_S = 96 * HOUR_S
"""24-hour yields are told over 96 h (Lazenby et al. 2002 for the ICAR guidelines; from memory)."""

DAY_FEWEST_S = 24 * HOUR_S
"""Intervals of at least a day together, so that every time of day is in it (our choice, no source)."""


def yield_24h_kg(tables: Tables, per: str, options: Options) -> Readings:
    """Milk in 24 hours over the last 96 h of whole intervals, per cow, in kg.

    24 h x milk / time, over the milkings whose whole interval (at most 24 h) lies in the last 96 h; at each milking.
    Missing with intervals of less than 24 h together. Lazenby et al. 2002 for the ICAR guidelines (from memory).
    """
    milk = milk_of(tables.visits)
    grams, seconds, _ = whole_intervals(milk, DAY_OVER_S)
    enough = seconds >= DAY_FEWEST_S
    value = np.where(enough, DAY_S * grams / np.maximum(seconds, 1) / 1000.0, np.nan)
    return at_milkings(tables, milk, value, np.where(enough, "", WHY), hours=seconds / HOUR_S)


def milkings_a_day(tables: Tables, per: str, options: Options) -> Readings:
    """Milkings in 24 hours over the last 96 h of whole intervals, per cow, as a number of milkings.

    24 h x number / time, over the milkings whose whole interval (at most 24 h) lies in the last 96 h; at each
    milking, incomplete ones included. Missing with intervals of less than 24 h together.
    """
    milk = milk_of(tables.visits)
    _, seconds, number = whole_intervals(milk, DAY_OVER_S)
    enough = seconds >= DAY_FEWEST_S
    value = np.where(enough, DAY_S * number / np.maximum(seconds, 1), np.nan)
    return at_milkings(tables, milk, value, np.where(enough, "", WHY), hours=seconds / HOUR_S)


def whole_intervals(milk: Milk, over_s: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Grams, seconds and number of the milkings whose whole interval lies in the last `over_s` before each visit."""
    begin = first_whole(milk, milk.rows.at - over_s)
    return milk.sums(begin, np.arange(len(milk.rows)) + 1)


def first_whole(milk: Milk, at: np.ndarray) -> np.ndarray:
    """Per visit the row from which on intervals begin after a moment: past the first milking later than it."""
    ends = np.flatnonzero(milk.ends)
    following = np.append(ends, len(milk.rows))[np.searchsorted(ends, first_after(milk.rows, at))]
    return np.asarray(np.minimum(following + 1, np.arange(len(milk.rows)) + 1))


def at_milkings(tables: Tables, milk: Milk, value: np.ndarray, why: np.ndarray, **facts: np.ndarray) -> Readings:
    """The readings at the visits that ended an interval."""
    rows, ends = milk.rows.only(milk.ends), milk.ends
    return Readings(
        rows.frame(
            value=value[ends],
            why=texts(why[ends]),
            **{name: fact[ends] for name, fact in facts.items()},
            box=texts(rows.take(tables.visits["box"])),
        )
    )


WHY = "too few of her milkings lately have a milk weight"

YIELD_24H_KG = Measure(
    name="yield_24h_kg",
    unit="kg",
    per=("cow",),
    doc="kg in 24 h: 24 h × milk / time over the milkings whose whole interval lies in the last 96 h",
    source="Lazenby et al. 2002 for the ICAR guidelines (from memory); no interval over 24 h",
    check="worked by hand and against plain words: test_yield_day",
    compute=yield_24h_kg,
    charts=NO_CHART,
    needs=("visits",),
    of_all_visits=True,
    lookback_s=DAY_OVER_S + TOLD_BACK_S,
    facts=(HOURS, BOX),
)

MILKINGS_A_DAY = Measure(
    name="milkings_a_day",
    unit="milkings",
    per=("cow",),
    doc="milkings in 24 h: 24 h × number / time over the milkings whose whole interval lies in the last 96 h",
    source="definition",
    check="worked by hand: test_yield_day",
    compute=milkings_a_day,
    charts=NO_CHART,
    needs=("visits",),
    of_all_visits=True,
    lookback_s=DAY_OVER_S + TOLD_BACK_S,
    facts=(HOURS, BOX),
)

MEASURES = (YIELD_24H_KG, MILKINGS_A_DAY)
