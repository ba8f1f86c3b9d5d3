"""What a cow should have given at a visit at her own rate, and how much of it she gave."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from sentinel.flow.language import Said
from sentinel.flow.measures.base.facts import BOX
from sentinel.flow.measures.base.ordered import Ordered, ordered, sentences, texts
from sentinel.flow.measures.base.shape import NO_CHART, FactColumn, Measure, Option, Options, Readings
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import NOT_WHOLE, UNKNOWN, Tables

INTERRUPTED_PCT = 80.0
"""ICAR Guidelines, Section 2: a milking is interrupted below 80 % of the expected secretion rate."""

FAILED_PCT = 20.0
"""Davis et al. 2005, Proc NZ Soc Anim Prod 65:271: whole over 80 %, carried over 20 to 80 %, failed below 20 %."""

LONGEST_S = 24 * HOUR_S
"""Longer intervals tell nothing of her rate (a data-quality rule of a study of 27 German herds and 43,229
test days, hswt.de)."""

FEWEST = 2
"""So many earlier milkings at least make a rate (our choice, no source)."""

LONGEST_OVER_S = 14 * DAY_S
RATE_OVER_S = 7 * DAY_S
LATE_RATE_OVER_S = 48 * HOUR_S
"""Whether a visit that was not whole had failed is told by her rate of two days: whole, carried over and failed lie far
apart, and whoever asks how a visit ended need not look far back for it (our choice, no source)."""

TOLD_BACK_S = LATE_RATE_OVER_S + LONGEST_S
"""So far before a visit the rows reach that tell whether it had failed."""


@dataclass(frozen=True, slots=True)
class Milk:
    """Visits that gave milk, or were meant to, by cow, then time.

    `grams`: milk, 0 at a failed visit without a figure, -1 where unknown. `ends`: the visit ended an interval: it was
    said to be milked or incomplete, or gave milk while nothing is said. `since`: seconds since the visit before that
    ended one; 0 if there is none. `taken`: grams of the visits since then that ended none but may have left less to
    give, -1 where unknown.
    """

    rows: Ordered
    grams: np.ndarray
    ends: np.ndarray
    since: np.ndarray
    taken: np.ndarray

    @property
    def counts(self) -> np.ndarray:
        """Which visits show her rate: milk and interval are known, and the interval is not over 24 h."""
        known = (self.grams >= 0) & (self.taken >= 0)
        return np.asarray(self.ends & known & (self.since > 0) & (self.since <= LONGEST_S))

    @property
    def running(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Grams, seconds and number of the visits that count before each row, and before the end: whole numbers."""
        counts = self.counts
        parts = (np.where(counts, self.grams + self.taken, 0), np.where(counts, self.since, 0), counts.astype(np.int64))
        grams, seconds, number = (np.append(0, np.cumsum(part)).astype(np.int64) for part in parts)
        return grams, seconds, number

    def sums(self, begin: np.ndarray, end: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Grams, seconds and number of the visits that count from row `begin` to before row `end`: whole numbers."""
        grams, seconds, number = (one[end] - one[np.minimum(begin, end)] for one in self.running)
        return grams, seconds, number


def silent(visits: pd.DataFrame) -> np.ndarray:
    """Which visits have no known end: the export does not say how they ended, or it could not be read."""
    outcome = visits["outcome"]
    return np.asarray(outcome.isna().to_numpy(bool) | (outcome == UNKNOWN).to_numpy(bool))


def milk_of(visits: pd.DataFrame) -> Milk:
    """The visits that were not refused, with their milk and the time since the last one that ended an interval.

    One that was not whole ended an interval if its milk does not say that it had failed.
    """
    sure, not_whole = _sure(visits)
    if not not_whole.any():
        return sure
    return _milk(sure.rows, sure.grams, sure.ends | (not_whole & ~_failed(sure)), np.zeros(len(not_whole), bool))


def sure_milk_of(visits: pd.DataFrame) -> Milk:
    """The same, where no visit that was not whole ended an interval; its milk counts with that of the next that did.

    What it tells rests on no telling of how the visits before ended, so it reaches no further back than it says.
    """
    return _sure(visits)[0]


def _sure(visits: pd.DataFrame) -> tuple[Milk, np.ndarray]:
    outcome = visits["outcome"]
    tried = ~(outcome == "refused").to_numpy(bool)
    rows = ordered("cow", visits["cow"], visits["start"], tried)
    outcome_of_row, kg = rows.take(outcome), rows.take(visits["milk_kg"]).astype(float)
    known = np.isfinite(kg) & (kg >= 0)
    missing = np.where(outcome_of_row == "failed", 0, -1)
    grams = np.where(known, np.rint(np.where(known, kg, 0.0) * 1000.0), missing).astype(np.int64)
    ends = (outcome_of_row == "milked") | (outcome_of_row == "incomplete") | (silent(visits)[rows.row] & (grams > 0))
    not_whole = np.asarray(outcome_of_row == NOT_WHOLE, dtype=bool)
    return _milk(rows, grams, ends, not_whole), not_whole


def _milk(rows: Ordered, grams: np.ndarray, ends: np.ndarray, between: np.ndarray) -> Milk:
    """The milk of visits that ended intervals, and of some that gave part of an interval's milk `between`."""
    place = np.arange(len(rows))
    last = np.maximum.accumulate(np.where(ends, place, -1)) if len(rows) else place
    before = np.append(-1, last[:-1])[: len(rows)]
    hers = before >= 0
    hers[hers] = rows.code[before[hers]] == rows.code[hers]
    since = np.zeros(len(rows), np.int64)
    since[hers] = rows.at[hers] - rows.at[before[hers]]
    taken = np.zeros(len(rows), np.int64)
    if between.any():
        begin = np.maximum(before + 1, np.searchsorted(rows.code, rows.code))
        gave, unknown = (
            np.append(0, np.cumsum(np.where(between, part, 0))).astype(np.int64)
            for part in (np.maximum(grams, 0), (grams < 0).astype(np.int64))
        )
        taken = np.where(unknown[place] > unknown[begin], -1, gave[place] - gave[begin])
    return Milk(rows, grams, ends, since, taken)


def _failed(milk: Milk) -> np.ndarray:
    """Whether a visit that was not whole had failed: no milk, or less than 20 % of what she should have given."""
    expected, _ = shares(milk, LATE_RATE_OVER_S)
    share = 100.0 * milk.grams / np.where(np.isnan(expected), 1.0, expected)
    return np.asarray((milk.grams == 0) | ((milk.grams > 0) & ~np.isnan(expected) & (share < FAILED_PCT)))


def first_after(rows: Ordered, at: np.ndarray) -> np.ndarray:
    """Per row the first row of the same subject later than the given moment."""
    return rows.up_to(rows.code, at)


def shares(milk: Milk, over_s: int) -> tuple[np.ndarray, np.ndarray]:
    """The expected milk at each visit in g (NaN if it cannot be told), and how many milkings it rests on.

    It is her rate x the time since an interval ended, less what she has given since.
    """
    place = np.arange(len(milk.rows))
    grams, seconds, number = milk.sums(first_after(milk.rows, milk.rows.at - over_s), place)
    known = (number >= FEWEST) & (milk.since > 0) & (milk.since <= LONGEST_S) & (milk.taken >= 0)
    left = grams / np.maximum(seconds, 1) * milk.since - milk.taken
    return np.where(known & (grams > 0) & (left > 0), left, np.nan), number


def yield_share_pct(tables: Tables, per: str, options: Options) -> Readings:
    """Milk obtained at a visit of what she should have given, per cow, in %.

    100 x milk / (rate x time since the last milking). The rate is hers: the milk over the time of her milkings less
    than `over` (7 days) before this one, each with its whole interval (at most 24 h), at least 2 of them. An
    incomplete milking ends an interval, a failed visit does not; where the export does not say how a visit ended, one
    that gave milk does. One of which it only says that it was not whole ends none: what it gave is taken off what she
    should have given after it, and counts with the milk of the next that ends one. `kind` is `whole` from 80 % on,
    `interrupted` below (ICAR Guidelines, Section 2), `failed` below 20 % (Davis et al. 2005). Missing without a milk
    weight, without a rate, or more than 24 h after the last milking.
    """
    milk = sure_milk_of(tables.visits)
    expected, number = shares(milk, int(min(options["over"], LONGEST_OVER_S)))
    known = milk.grams >= 0
    value = np.where(known, 100.0 * milk.grams / expected, np.nan)
    lately = (milk.since > 0) & (milk.since <= LONGEST_S)
    spent = np.where(milk.taken < 0, 5, np.where(milk.taken > 0, 6, 4))
    unknown = np.where(lately, np.where(number < FEWEST, 3, spent), 2)
    reason = np.where(np.isnan(value), np.where(known, unknown, 1), 0)
    kinds = np.array(["", Said("failed"), Said("interrupted"), Said("whole")], dtype=object)
    kind = np.where(np.isnan(value), 0, 1 + (value >= FAILED_PCT) + (value >= INTERRUPTED_PCT))
    return Readings(
        milk.rows.frame(
            value=value,
            why=texts(np.array(WHY, dtype=object)[reason]),
            kind=sentences(kinds[kind]),
            milk_kg=np.where(known, milk.grams / 1000.0, np.nan),
            expected_kg=expected / 1000.0,
            box=texts(milk.rows.take(tables.visits["box"])),
        )
    )


WHY = (
    "",
    "the export has no milk weight for the visit",
    "she was not milked in the 24 h before",
    f"fewer than {FEWEST} earlier milkings to tell her rate from",
    "she gave no milk at her milkings before",
    "a visit since her last milking that was not whole has no milk weight",
    "she gave no milk at her milkings before, or all she had at visits since that were not whole",
)

YIELD_SHARE_PCT = Measure(
    name="yield_share_pct",
    unit="%",
    per=("cow",),
    doc="% of her expected milk obtained at a visit: 100 × milk / (her own rate over the last days × time since the "
    "last milking); interrupted below 80 %, failed below 20 %",
    source="ICAR Guidelines, Section 2 (interrupted); Davis et al. 2005, Proc NZ Soc Anim Prod 65:271 (classes)",
    check="classes of ICAR Section 2 and Davis et al. 2005, against plain words: test_yield_share",
    compute=yield_share_pct,
    charts=NO_CHART,
    needs=("visits",),
    options=(Option("over", "s", RATE_OVER_S, "over how many days her rate is taken"),),
    lookback_s=LONGEST_OVER_S + LONGEST_S + 1,
    facts=(
        FactColumn("kind", "how the milking ended"),
        FactColumn("milk_kg", "milk obtained", "kg"),
        FactColumn("expected_kg", "milk expected", "kg"),
        BOX,
    ),
)

MEASURES = (YIELD_SHARE_PCT,)
