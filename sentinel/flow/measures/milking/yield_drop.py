"""How far a cow's milk is below her own expected curve, beside how much her days differ anyway."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from sentinel.flow.measures.base.facts import BOX
from sentinel.flow.measures.base.medians import median_known
from sentinel.flow.measures.base.shape import NO_CHART, FactColumn, Measure, Option, Options, Readings
from sentinel.flow.measures.milking.outcomes import not_broken_off
from sentinel.flow.measures.milking.unrecorded import USUAL_OVER_S, recorded
from sentinel.flow.measures.milking.yield_day import at_milkings, first_whole, whole_intervals
from sentinel.flow.measures.milking.yield_share import LONGEST_S, TOLD_BACK_S, Milk, first_after, milk_of
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import Tables

WEEK_D = 7
WEEK_S = WEEK_D * DAY_S
CURVE_FEWEST_S = 3 * DAY_S
"""A week's level needs intervals of three days together (our choice, no source)."""

STEEPEST_FALL, STEEPEST_RISE = -0.005, 0.015
"""How steep her curve may be, as a share a day: a lactation falls by some 0.3 % a day after its peak and rises by up to
1 to 2 % a day in its first weeks (from memory). It keeps a week of illness from being drawn on."""

LONGEST_WITHIN_S = 4 * DAY_S

DAY_FEWEST_S = 12 * HOUR_S
"""A day tells how much her days differ if the intervals that end in it take half a day together (our choice)."""

MAD_TO_SPREAD = 1.4826
"""The median distance of a normal distribution times this is its standard deviation: 1 / 0.6745."""

BORNE_BY_OTHERS = 0.5
"""A drop does not rest on one milking: without the one that lacks most, half of it is still there (our choice, no
source). A milking that was broken off unsaid, or a meter that read too little, is one."""

AS_LOW = 0.8
"""Intervals in which a milking may be missing count after all where the others show so much of the drop: a cow that is
ill and comes seldom has such intervals too (chosen on simulated herds, seeds 1 to 3)."""

USUAL_SPREAD, USUAL_DAYS = 0.06, 7
"""Her own spread is drawn toward 6 % of her milk, as if that had been seen on seven days more: the median of a few days
is a poor witness (the spread of a day of healthy simulated cows is some 6 %; seven is our choice, no source)."""


def yield_drop_pct(tables: Tables, per: str, options: Options) -> Readings:
    """Drop of a cow's milk below her own expected curve, per cow, in % of what was expected.

    100 x (1 - rate / expected). The rate is milk over time of the whole intervals in the last 48 h (`within`), so an
    incomplete milking that is made up at the next one is no drop. Expected is the straight line through her levels of
    the week before and the week before that, drawn on to the middle of those 48 h, at most 0.5 % a day down and 1.5 %
    up; without the earlier week it is the later one's level. A drop of no more than `spreads` of her own spreads
    counts as 0: `spread_pct` is how much her days of those weeks differ from that line (their median distance, drawn
    toward 6 %), as it is of the mean of so many hours. Nor does one count of which without its worst milking less than
    half is left. Intervals in which a milking may be missing from the record are left out of all of it (`unrecorded`),
    but for those of the last 48 h where her others show nearly the same drop. Missing with less than 20 h in the last
    48 h or less than three days in the week before; and at a milking that was not whole, or of which that could not be
    read: what it left is in the next one. Our own definition, no source.
    """
    every, within = milk_of(tables.visits), int(min(options["within"], LONGEST_WITHIN_S))
    milk = recorded(every)
    found, without_least = borne_out(every, milk, compared(milk, within))
    whole = not_broken_off(milk.rows.take(tables.visits["outcome"]))
    enough = whole & found.is_known
    drop = 100.0 * (1.0 - found.rate / np.where(enough, found.expected, 1.0))
    spread = 100.0 * day_spread(milk, found) * np.sqrt(DAY_S / np.maximum(found.seconds, 1))
    without = 100.0 * (1.0 - without_least / np.where(enough, found.expected, 1.0))
    usual = (drop > 0) & ((drop <= options["spreads"] * spread) | (without < BORNE_BY_OTHERS * drop))
    return at_milkings(
        tables,
        milk,
        np.where(enough, np.where(usual, 0.0, drop), np.nan),
        np.where(whole, np.where(enough, "", WHY), LATER),
        kg_a_day=np.where(found.lately, found.rate, np.nan),
        expected_kg_a_day=np.where(found.has_level, found.expected, np.nan),
        spread_pct=np.where(enough, spread, np.nan),
    )


@dataclass(frozen=True, slots=True)
class Compared:
    """Her milk of the last `within_s` before each visit, and what was expected of it, in kg a day.

    `grams` in `seconds` are those of its whole intervals, `number` how many. `level` is hers of the week before, in the
    middle of it, `has_level` whether it is known, and `slope` its change by a day.
    """

    within_s: int
    grams: np.ndarray
    seconds: np.ndarray
    number: np.ndarray
    level: np.ndarray
    has_level: np.ndarray
    slope: np.ndarray

    @property
    def lately(self) -> np.ndarray:
        """Whether enough is known of the time that is compared."""
        return np.asarray(self.seconds >= 20 * self.within_s // 48)

    @property
    def rate(self) -> np.ndarray:
        """What she gave."""
        return np.asarray(DAY_S * self.grams / np.maximum(self.seconds, 1) / 1000.0)

    @property
    def expected(self) -> np.ndarray:
        """Her line, drawn on to the middle of the time that is compared."""
        return np.asarray(self.level + self.slope * (WEEK_S / 2 + self.within_s / 2) / DAY_S)

    @property
    def is_known(self) -> np.ndarray:
        """Whether both can be told."""
        return np.asarray(self.lately & self.has_level & (self.expected > 0))


def compared(milk: Milk, within_s: int) -> Compared:
    """Her milk lately and her line through the two weeks before."""
    grams, seconds, number = whole_intervals(milk, within_s)
    level, has_level = _level(milk, within_s, within_s + WEEK_S)
    earlier, had = _level(milk, within_s + WEEK_S, within_s + 2 * WEEK_S)
    slope = np.where(had, (level - earlier) / WEEK_D, 0.0)
    slope = np.clip(slope, STEEPEST_FALL * level, STEEPEST_RISE * level)
    return Compared(within_s, grams, seconds, number, level, has_level, slope)


def borne_out(every: Milk, milk: Milk, found: Compared) -> tuple[Compared, np.ndarray]:
    """What she gave lately, with the intervals in which a milking may be missing where the others bear them out, and
    the same without its least interval.

    A cow that is ill and comes seldom has such intervals too; then her other ones show nearly as deep a drop.
    """
    grams, seconds, number = whole_intervals(every, found.within_s)
    of_all = replace(found, grams=grams, seconds=seconds, number=number)
    expected = np.where(found.expected > 0, found.expected, 1.0)
    is_borne = (found.seconds > 0) & (1.0 - found.rate / expected >= AS_LOW * (1.0 - of_all.rate / expected))
    names = ("grams", "seconds", "number")
    both = {name: np.where(is_borne, getattr(of_all, name), getattr(found, name)) for name in names}
    without = np.where(is_borne, _rate_without_least(every, of_all), _rate_without_least(milk, found))
    return replace(found, **both), without


def _drop_as_usual_was(rows: pd.DataFrame, usual: np.ndarray) -> pd.DataFrame:
    """The drops of some readings below what was expected once, in kg a day, whatever her spread: it has begun."""
    drop = 100.0 * (1.0 - rows["kg_a_day"].to_numpy(float) / usual)
    return rows.assign(value=np.where(rows["value"].isna(), np.nan, drop), expected_kg_a_day=usual)


def _level(milk: Milk, until_s: int, since_s: int) -> tuple[np.ndarray, np.ndarray]:
    """Her kg a day over whole intervals between so long and so long before each visit, and whether they suffice."""
    at = milk.rows.at
    grams, seconds, _ = milk.sums(first_whole(milk, at - since_s), first_after(milk.rows, at - until_s))
    return DAY_S * grams / np.maximum(seconds, 1) / 1000.0, seconds >= CURVE_FEWEST_S


def _rate_without_least(milk: Milk, found: Compared) -> np.ndarray:
    """What she gave without the one interval of those compared that is furthest below what was expected of it."""
    row = np.flatnonzero(milk.counts)
    grams, seconds = (milk.grams + milk.taken)[row], milk.since[row]
    last = np.searchsorted(row, np.arange(len(milk.rows)), side="right") - 1
    short, least_g, least_s = np.zeros(len(last)), np.zeros(len(last), np.int64), np.zeros(len(last), np.int64)
    for back in range(int(found.number.max(initial=0))):
        there = np.maximum(last - back, 0)
        lacks = found.expected * 1000.0 * seconds[there] / DAY_S - grams[there]
        worse = (back < found.number) & (lacks > short)
        short = np.where(worse, lacks, short)
        least_g, least_s = np.where(worse, grams[there], least_g), np.where(worse, seconds[there], least_s)
    rest = found.seconds - least_s
    return np.where(rest > 0, DAY_S * (found.grams - least_g) / np.maximum(rest, 1) / 1000.0, np.nan)


def day_spread(milk: Milk, found: Compared) -> np.ndarray:
    """How much her days of the two weeks differ from her line, as a share of it. A day is what intervals end in it."""
    running = milk.running
    edges = [first_after(milk.rows, milk.rows.at - found.within_s - n * DAY_S) for n in range(2 * WEEK_D + 1)]
    away = np.zeros((len(milk.rows), 2 * WEEK_D))
    is_known = np.zeros(away.shape, bool)
    for day in range(2 * WEEK_D):
        grams, seconds, _ = (part[edges[day]] - part[edges[day + 1]] for part in running)
        line = found.level + found.slope * (WEEK_D / 2 - day - 0.5)
        is_known[:, day] = (seconds >= DAY_FEWEST_S) & (line > 0)
        rate = DAY_S * grams / np.maximum(seconds, 1) / 1000.0
        away[:, day] = np.abs(rate / np.where(line > 0, line, 1.0) - 1.0)
    days = is_known.sum(axis=1)
    own = MAD_TO_SPREAD * np.where(days > 0, median_known(np.where(is_known, away, np.nan))[0], 0.0)
    return np.asarray(np.sqrt((days * own**2 + USUAL_DAYS * USUAL_SPREAD**2) / (days + USUAL_DAYS)))


WHY = "too few of her milkings lately have a milk weight, or some may be missing from the record"
LATER = "the milking was not whole; her milk is compared at the next whole one"

YIELD_DROP_PCT = Measure(
    name="yield_drop_pct",
    unit="%",
    per=("cow",),
    doc="% by which her milk of the last 48 h is below her own expected curve, the line through her two weeks before: "
    "100 × (1 − rate / expected), at each complete milking; 0 within so many of her own spreads, or where it rests on "
    "one milking. Intervals in which a milking may be missing from the record are left out",
    source="definition of our own; bounds of the slope from memory; spread from the median distance (Hampel 1974, J Am "
    "Stat Assoc 69:383, from memory)",
    check="a drop, a rise and a fall of known size, missing milkings: test_yield_drop, test_unrecorded",
    compute=yield_drop_pct,
    charts=NO_CHART,
    needs=("visits",),
    of_all_visits=True,
    options=(
        Option("within", "s", 48 * HOUR_S, "how many of the last hours of her milk are compared"),
        Option("spreads", "x", 4.0, "a drop of no more than so many of her own spreads counts as none"),
    ),
    lookback_s=LONGEST_WITHIN_S + 2 * WEEK_S + LONGEST_S + USUAL_OVER_S + TOLD_BACK_S,
    usual="expected_kg_a_day",
    as_usual_was=_drop_as_usual_was,
    facts=(
        FactColumn("kg_a_day", "milk per day over two days", "kg"),
        FactColumn("expected_kg_a_day", "milk per day expected", "kg"),
        FactColumn("spread_pct", "her milk of two days usually differs by", "%"),
        BOX,
    ),
)

MEASURES = (YIELD_DROP_PCT,)
