"""What a cow gives in a day, how often she is milked, and how far she is below her own expected curve."""

from __future__ import annotations

import numpy as np
import pandas as pd

from sentinel.flow.measures.base.facts import BOX, HOURS
from sentinel.flow.measures.base.ordered import texts
from sentinel.flow.measures.base.shape import NO_CHART, FactColumn, Measure, Option, Options, Readings
from sentinel.flow.measures.milking.outcomes import not_broken_off
from sentinel.flow.measures.milking.yield_share import LONGEST_S, TOLD_BACK_S, Milk, first_after, milk_of
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import Tables

DAY_OVER_S = 96 * HOUR_S
"""24-hour yields are told over 96 h (Lazenby et al. 2002 for the ICAR guidelines; from memory)."""

DAY_FEWEST_S = 24 * HOUR_S
"""Intervals of at least a day together, so that every time of day is in it (our choice, no source)."""

WEEK_S = 7 * DAY_S
CURVE_FEWEST_S = 3 * DAY_S
"""A week's level needs intervals of three days together (our choice, no source)."""

STEEPEST_FALL, STEEPEST_RISE = -0.005, 0.015
"""How steep her curve may be, as a share a day: a lactation falls by some 0.3 % a day after its peak and rises by up to
1 to 2 % a day in its first weeks (from memory). It keeps a week of illness from being drawn on."""

LONGEST_WITHIN_S = 4 * DAY_S


def yield_24h_kg(tables: Tables, per: str, options: Options) -> Readings:
    """Milk in 24 hours over the last 96 h of whole intervals, per cow, in kg.

    24 h x milk / time, over the milkings whose whole interval (at most 24 h) lies in the last 96 h; at each milking.
    Missing with intervals of less than 24 h together. Lazenby et al. 2002 for the ICAR guidelines (from memory).
    """
    milk = milk_of(tables.visits)
    grams, seconds, _ = _whole_intervals(milk, DAY_OVER_S)
    enough = seconds >= DAY_FEWEST_S
    value = np.where(enough, DAY_S * grams / np.maximum(seconds, 1) / 1000.0, np.nan)
    return _at_milkings(tables, milk, value, np.where(enough, "", WHY), hours=seconds / HOUR_S)


def milkings_a_day(tables: Tables, per: str, options: Options) -> Readings:
    """Milkings in 24 hours over the last 96 h of whole intervals, per cow, as a number of milkings.

    24 h x number / time, over the milkings whose whole interval (at most 24 h) lies in the last 96 h; at each
    milking, incomplete ones included. Missing with intervals of less than 24 h together.
    """
    milk = milk_of(tables.visits)
    _, seconds, number = _whole_intervals(milk, DAY_OVER_S)
    enough = seconds >= DAY_FEWEST_S
    value = np.where(enough, DAY_S * number / np.maximum(seconds, 1), np.nan)
    return _at_milkings(tables, milk, value, np.where(enough, "", WHY), hours=seconds / HOUR_S)


def yield_drop_pct(tables: Tables, per: str, options: Options) -> Readings:
    """Drop of a cow's milk below her own expected curve, per cow, in % of what was expected.

    100 x (1 - rate / expected). The rate is milk over time of the whole intervals in the last 48 h (`within`), so an
    incomplete milking that is made up at the next one is no drop. Expected is the straight line through her levels of
    the week before and the week before that, drawn on to the middle of those 48 h, at most 0.5 % a day down and 1.5 %
    up; without the earlier week it is the later one's level. Missing with less than 20 h in the last 48 h or less
    than three days in the week before; and at a milking that was not whole, or of which that could not be read: what
    it left is in the next one. Our own definition, no source.
    """
    milk = milk_of(tables.visits)
    within = int(min(options["within"], LONGEST_WITHIN_S))
    grams, seconds, _ = _whole_intervals(milk, within)
    lately = seconds >= 20 * within // 48
    level, has = _level(milk, within, within + WEEK_S)
    earlier, had = _level(milk, within + WEEK_S, within + 2 * WEEK_S)
    slope = np.where(had, (level - earlier) / (WEEK_S / DAY_S), 0.0)
    slope = np.clip(slope, STEEPEST_FALL * level, STEEPEST_RISE * level)
    expected = level + slope * (WEEK_S / 2 + within / 2) / DAY_S
    outcome = milk.rows.take(tables.visits["outcome"])
    whole = not_broken_off(outcome)
    enough = whole & lately & has & (expected > 0)
    rate = DAY_S * grams / np.maximum(seconds, 1) / 1000.0
    value = np.where(enough, 100.0 * (1.0 - rate / np.where(enough, expected, 1.0)), np.nan)
    return _at_milkings(
        tables,
        milk,
        value,
        np.where(whole, np.where(enough, "", WHY), LATER),
        kg_a_day=np.where(lately, rate, np.nan),
        expected_kg_a_day=np.where(has, expected, np.nan),
    )


def _drop_as_usual_was(rows: pd.DataFrame, usual: np.ndarray) -> pd.DataFrame:
    """The drops of some readings below what was expected once, in kg a day."""
    drop = 100.0 * (1.0 - rows["kg_a_day"].to_numpy(float) / usual)
    return rows.assign(value=np.where(rows["value"].isna(), np.nan, drop), expected_kg_a_day=usual)


def _whole_intervals(milk: Milk, over_s: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Grams, seconds and number of the milkings whose whole interval lies in the last `over_s` before each visit."""
    begin = _first_whole(milk, milk.rows.at - over_s)
    return milk.sums(begin, np.arange(len(milk.rows)) + 1)


def _level(milk: Milk, until_s: int, since_s: int) -> tuple[np.ndarray, np.ndarray]:
    """Her kg a day over whole intervals between so long and so long before each visit, and whether they suffice."""
    at = milk.rows.at
    grams, seconds, _ = milk.sums(_first_whole(milk, at - since_s), first_after(milk.rows, at - until_s))
    return DAY_S * grams / np.maximum(seconds, 1) / 1000.0, seconds >= CURVE_FEWEST_S


def _first_whole(milk: Milk, at: np.ndarray) -> np.ndarray:
    """Per visit the row from which on intervals begin after a moment: past the first milking later than it."""
    ends = np.flatnonzero(milk.ends)
    following = np.append(ends, len(milk.rows))[np.searchsorted(ends, first_after(milk.rows, at))]
    return np.asarray(np.minimum(following + 1, np.arange(len(milk.rows)) + 1))


def _at_milkings(tables: Tables, milk: Milk, value: np.ndarray, why: np.ndarray, **facts: np.ndarray) -> Readings:
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
LATER = "the milking was not whole; her milk is compared at the next whole one"

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

YIELD_DROP_PCT = Measure(
    name="yield_drop_pct",
    unit="%",
    per=("cow",),
    doc="% by which her milk of the last 48 h is below her own expected curve, the line through her two weeks before: "
    "100 × (1 − rate / expected), at each complete milking",
    source="definition of our own; bounds of the slope from memory",
    check="a drop, a rise and a fall of known size: test_yield_day",
    compute=yield_drop_pct,
    charts=NO_CHART,
    needs=("visits",),
    of_all_visits=True,
    options=(Option("within", "s", 48 * HOUR_S, "how many of the last hours of her milk are compared"),),
    lookback_s=LONGEST_WITHIN_S + 2 * WEEK_S + LONGEST_S + TOLD_BACK_S,
    usual="expected_kg_a_day",
    as_usual_was=_drop_as_usual_was,
    facts=(
        FactColumn("kg_a_day", "milk per day over two days", "kg"),
        FactColumn("expected_kg_a_day", "milk per day expected", "kg"),
        BOX,
    ),
)

MEASURES = (YIELD_24H_KG, MILKINGS_A_DAY, YIELD_DROP_PCT)
