"""Rolling geometric means of the tank's tests, what the next test may read, and when the mean passes its limit.

Regulation (EC) 853/2004, Annex III, Section IX, Chapter I, Part III(3): for cells the "rolling geometric average over
a three-month period, with at least one sample per month, unless the competent authority specifies another methodology
to take account of seasonal variations"; for bacteria over two months with at least two samples a month (English
wording from memory, the figures checked). It does not say what a month is. Here it is a calendar month in the farm's
zone, and a period of three months ends with the test and begins at the same day and hour three months before, which
itself is out. Each calendar month that lies between, whole, must have its number of tests, and all months together
must have theirs: so a month that is still running makes nothing unknown, and three tests in one week are no quarter
of a year. Two methods of averaging are in use (Fenlon et al. 2017, Irish Vet J 70:9, doi 10.1186/s13620-017-0083-z):
of all tests alike, or of the geometric means of calendar months.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from sentinel.flow.language import Said
from sentinel.flow.measures.base.ordered import sentences, texts
from sentinel.flow.measures.base.shape import FactColumn, Measure, Option, Options, Readings
from sentinel.flow.measures.tank.periods import (
    PAST_S,
    Past,
    Period,
    enough,
    inside_period,
    log_mean,
    month_of,
    past_of,
    quotient,
    rounded,
    sums,
    too_few,
)
from sentinel.flow.measures.tank.results import NO_RESULT, spread, tank_results
from sentinel.flow.model import DAY_S
from sentinel.flow.tables import Tables

USUAL_GAP_S = 30 * DAY_S
"""After a first test the next one is expected so much later."""

MOST = 1e6
"""No headroom is told beyond this, in thousands per ml: no milk reads so much."""

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")

ALREADY, NOT_FORESEEN = Said("already past it"), Said("not foreseen")


def tank_cells_mean_k_ml(tables: Tables, per: str, options: Options) -> Readings:
    """Geometric mean of all tests of the last three months, at each test, per tank, in k/ml (thousands per ml).

    mean = exp(sum of log(count x month's factor) / tests): method 2 of Fenlon et al. 2017. Missing with fewer than
    `tests_a_month` in a whole month of the period, or fewer than three times as many in all. Rounded to a thousandth
    of a cell, so that a mean that is exactly the limit is not over it. `headroom_k_ml`: what the next test may read
    at most with the mean still within `limit`; the next test is expected after the usual time between the tests of
    the period (`next_in_d` days). `passes_on`: the day on which the mean passes the limit if every further test reads
    like the last, or "not foreseen", or "already past it". `tests` are in the mean.
    """
    return _means(tables, "cells_k_ml", Period(3, round(options["tests_a_month"]), False), options)


def tank_cells_monthly_mean_k_ml(tables: Tables, per: str, options: Options) -> Readings:
    """Geometric mean of three calendar months' geometric means, at each test, per tank, in k/ml (thousands per ml).

    Method 1 of Fenlon et al. 2017: this month so far and the two before, each counted alike, however many tests it
    has. Everything else as in `tank_cells_mean_k_ml`.
    """
    return _means(tables, "cells_k_ml", Period(3, round(options["tests_a_month"]), True), options)


def tank_bacteria_mean_k_ml(tables: Tables, per: str, options: Options) -> Readings:
    """Geometric mean of all bacteria tests of the last two months, at each test, per tank, in k/ml (thousands per ml).

    As `tank_cells_mean_k_ml`, but over two months, with at least two tests a month, and without a season's factors.
    """
    return _means(tables, "bacteria_k_ml", Period(2, round(options["tests_a_month"]), False), options)


def _means(tables: Tables, column: str, period: Period, options: Options) -> Readings:
    """The mean at each test, and what is ahead of it."""
    every, result, usable = tank_results(tables, column)
    rows, usable_result = every.only(usable), result[usable]
    factor = np.log([options.get(month, 1.0) for month in MONTHS])
    past, month = past_of(rows, np.log(usable_result), factor, tables.farm.zone)
    mean, number = log_mean(past, past.local[:, 0], month, period)
    why = too_few(past, month, number, period)
    value = np.where(why == "", rounded(mean), np.nan)
    ahead = _ahead(past, month, period, value, options["limit"], factor)
    reasons = np.full(len(usable), NO_RESULT, dtype=object)
    reasons[usable] = why
    return Readings(
        every.frame(
            value=spread(value, usable, np.nan),
            why=texts(reasons),
            tests=spread(number, usable, 0),
            last_k_ml=np.where(usable, result, np.nan),
            headroom_k_ml=spread(ahead.headroom, usable, np.nan),
            next_in_d=spread(ahead.gap_s / DAY_S, usable, np.nan),
            passes_on=sentences(spread(ahead.passes_on, usable, "")),
        )
    )


@dataclass(frozen=True, slots=True)
class Ahead:
    """Per test: what the next one may read at most, when it is expected, and the day on which the mean passes."""

    headroom: np.ndarray
    gap_s: np.ndarray
    passes_on: np.ndarray


def _ahead(past: Past, month: np.ndarray, period: Period, value: np.ndarray, limit: float, factor: np.ndarray) -> Ahead:
    """What is ahead of each test, as far as it can be told.

    It is looked ahead until no test of today is left in the period.
    """
    local = past.local[:, 0]
    gap = _usual_gap(past, month, period)
    steps = 1 + int(-(-PAST_S // gap.min(initial=PAST_S)))
    to_come = local[:, None] + gap[:, None] * np.arange(steps, 0, -1)[None, :]  # newest first, as the past is
    months = month_of(to_come)
    repeated = past.log[:, :1] - factor[month % 12][:, None] + factor[months % 12]
    coming = Past(repeated, to_come, months, np.zeros(to_come.shape, bool))
    passes = np.empty(len(value), dtype=object)
    passes[:] = NOT_FORESEEN
    passes[value > limit] = ALREADY
    for step in range(steps - 1, -1, -1):
        coming.there[:, step] = True
        moment, of, all_tests = to_come[:, step], months[:, step], past.before(coming)
        mean, number = log_mean(all_tests, moment, of, period)
        passing = enough(all_tests, of, number, period) & (rounded(mean) > limit)
        passing &= (passes == NOT_FORESEEN) & (moment - local <= PAST_S + gap)
        for row in np.flatnonzero(passing):
            passes[row] = _day(moment[row])
    most = _most(past, to_come[:, -1], months[:, -1], period, np.log(limit)) - factor[months[:, -1] % 12]
    headroom = np.floor(np.exp(np.minimum(most, np.log(MOST))) * 1e6 + 1e-3) / 1e6  # never rounded up past the limit
    return Ahead(headroom, gap, passes)


def _usual_gap(past: Past, month: np.ndarray, period: Period) -> np.ndarray:
    """The mean time between the tests of the period in seconds; at least a day, and a month after a first test."""
    local = past.local[:, 0]
    number = np.count_nonzero(inside_period(past, local, month, Period(period.months, 0, False)), axis=1)
    first = np.take_along_axis(past.local, np.maximum(number - 1, 0)[:, None], axis=1)[:, 0]
    gap = np.where(number > 1, (local - first) // np.maximum(number - 1, 1), USUAL_GAP_S)
    return np.asarray(np.maximum(gap, DAY_S))


def _most(past: Past, local: np.ndarray, month: np.ndarray, period: Period, limit: float) -> np.ndarray:
    """The log of the highest test at each moment with which the mean is the limit; NaN where a month is empty."""
    inside = inside_period(past, local, month, period)
    total, number = sums(past, inside)
    if not period.by_month:
        return np.asarray((number + 1) * limit - total)
    wanted = np.full(len(month), period.months * limit)
    for back in range(1, period.months):
        wanted = wanted - quotient(*sums(past, inside & (past.month == (month - back)[:, None])))
    total, number = sums(past, inside & (past.month == month[:, None]))
    return np.asarray((number + 1) * wanted - total)


def _day(local: int) -> Said:
    """A day as a person writes it: 12 May 2026."""
    return Said("{day}", day=pd.Timestamp(int(local), unit="s").date())


def _limit(value: float) -> Option:
    return Option(
        "limit", "k/ml", value, "for the headroom and the day the limit is passed; keep it the same as the bound"
    )


def _at_least(tests: float) -> Option:
    return Option("tests_a_month", "tests", tests, "with fewer in a month, the mean is not known")


_SEASON = (
    Option("jan", "ratio", 1.0, "January's seasonal factor, where the authority has one"),
    *(Option(month, "ratio", 1.0, "the same") for month in MONTHS[1:]),
)
_LAW = "Regulation (EC) 853/2004, Annex III, Section IX, Chapter I, Part III(3)"
_FENLON = "Fenlon et al. 2017, Irish Vet J 70:9"

_FACTS = (
    FactColumn("tests", "tests in the mean", "tests"),
    FactColumn("last_k_ml", "the last test", "k/ml"),
    FactColumn("headroom_k_ml", "the next test may read at most", "k/ml"),
    FactColumn("next_in_d", "next test in about", "d"),
    FactColumn("passes_on", "passes the limit about"),
)

TANK_CELLS_MEAN_K_ML = Measure(
    name="tank_cells_mean_k_ml",
    unit="k/ml",
    per=("tank",),
    doc="geometric mean of all cell counts of the tank in the last three months in thousands per ml, at least one a "
    "month: exp(sum of log counts / tests)",
    source=f"{_LAW}; method 2 of {_FENLON}",
    check="Fenlon et al. 2017, Table 2: 278.51: test_results",
    compute=tank_cells_mean_k_ml,
    charts=("tank-cells",),
    needs=("tank.cells_k_ml",),
    uses=("tank",),
    options=(_at_least(1.0), _limit(400.0), *_SEASON),
    lookback_s=PAST_S,
    facts=_FACTS,
)

TANK_CELLS_MONTHLY_MEAN_K_ML = Measure(
    name="tank_cells_monthly_mean_k_ml",
    unit="k/ml",
    per=("tank",),
    doc="geometric mean of the geometric means of this calendar month's cell counts and of the two months' before, in "
    "thousands per ml",
    source=f"{_LAW}; method 1 of {_FENLON}",
    check="Fenlon et al. 2017, Table 2: 270.79: test_results",
    compute=tank_cells_monthly_mean_k_ml,
    charts=("tank-cells",),
    needs=("tank.cells_k_ml",),
    uses=("tank",),
    options=(_at_least(1.0), _limit(400.0), *_SEASON),
    lookback_s=PAST_S,
    facts=_FACTS,
)

TANK_BACTERIA_MEAN_K_ML = Measure(
    name="tank_bacteria_mean_k_ml",
    unit="k/ml",
    per=("tank",),
    doc="geometric mean of all bacteria counts of the tank in the last two months in thousands per ml, at least two a "
    "month",
    source=_LAW,
    check="worked by hand: test_results",
    compute=tank_bacteria_mean_k_ml,
    charts=("tank-bacteria",),
    needs=("tank.bacteria_k_ml",),
    uses=("tank",),
    options=(_at_least(2.0), _limit(100.0)),
    lookback_s=PAST_S,
    facts=_FACTS,
)

MEASURES = (TANK_CELLS_MEAN_K_ML, TANK_CELLS_MONTHLY_MEAN_K_ML, TANK_BACTERIA_MEAN_K_ML)
