"""Conductivity of a quarter's milk against its own past and against the cow's other quarters."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from sentinel.flow.measures.base.facts import BASELINE, BOX, CONDUCTIVITY
from sentinel.flow.measures.base.ordered import Ordered, arranged, texts
from sentinel.flow.measures.base.shape import FactColumn, Measure, Options, Readings
from sentinel.flow.measures.milking.outcomes import gave_milk, not_broken_off
from sentinel.flow.model import DAY_S, QUARTERS
from sentinel.flow.tables import Tables, wide

MILKINGS = 14
FEWEST = 7
PAST_S = 30 * DAY_S

KICKED_OFF = "the cup came off early, so the reading is of part of the quarter's milk"
PERHAPS_OFF = "the milking was broken off, perhaps for this quarter too; wait for the next milking"
IMPOSSIBLE = "milk cannot have the conductivity that was read, so the sensor may be at fault"


@dataclass(frozen=True, slots=True)
class QuarterReadings:
    """Every conductivity reading of a quarter at a milking, by quarter, then time.

    `usable`: neither of a quarter whose cup came off, or may have, nor impossible; `why` says it where not. `milking`
    is the reading's row in `all_quarters`, which holds the usable readings (else NaN) of the four quarters of a
    milking.
    """

    rows: Ordered
    conductivity: np.ndarray
    usable: np.ndarray
    why: np.ndarray
    milking: np.ndarray
    all_quarters: np.ndarray
    box: pd.Series


def quarter_readings(tables: Tables) -> QuarterReadings:
    """The readings at visits that gave milk, in mS/cm; a quarter not read has none."""
    visits = tables.visits
    milking = np.flatnonzero(gave_milk(visits))
    conductivity = visits[wide("conductivity_mS_cm")].to_numpy(float)[milking]
    kicked_off, perhaps = cups_off(visits, milking)
    possible = (conductivity > 0) & np.isfinite(conductivity)
    usable = possible & ~kicked_off & ~perhaps
    read = np.flatnonzero(~np.isnan(conductivity))
    cow, names = pd.factorize(visits["cow"].to_numpy(object)[milking])
    of_milking, quarter = np.divmod(read, len(QUARTERS))
    rows = arranged(
        [f"quarter:{name}/{one}" for name in names for one in QUARTERS],
        cow[of_milking] * len(QUARTERS) + quarter,
        visits["start"].to_numpy(np.int64)[milking][of_milking],
        read,
    )
    fault = np.where(possible, np.where(kicked_off, 1, np.where(perhaps, 3, 0)), 2)
    return QuarterReadings(
        rows=rows,
        conductivity=conductivity.ravel()[rows.row],
        usable=usable.ravel()[rows.row],
        why=np.array(["", KICKED_OFF, IMPOSSIBLE, PERHAPS_OFF], dtype=object)[fault.ravel()[rows.row]],
        milking=rows.row // len(QUARTERS),
        all_quarters=np.where(usable, conductivity, np.nan),
        box=texts(visits["box"].to_numpy(object)[milking][rows.row // len(QUARTERS)]),
    )


def cups_off(visits: pd.DataFrame, row: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """For some visits, quarter by quarter: whether the cup came off early, and whether it may have.

    It may have where nothing is said of the cup and the milking was not whole, or it could not be read whether it was;
    and where it was not whole although every cup is said to have stayed on: then it was broken off for every quarter.
    """
    kicked_off = visits[wide("kicked_off")].to_numpy(float)[row]
    none_off = (kicked_off == 0).all(axis=1)
    cut_short = np.isnan(kicked_off) | none_off[:, None]
    return kicked_off == 1, cut_short & ~not_broken_off(visits["outcome"].to_numpy(object)[row])[:, None]


def _rise_as_usual_was(rows: pd.DataFrame, usual: np.ndarray) -> pd.DataFrame:
    """The rises of some readings over what was usual once, in mS/cm."""
    rise = 100.0 * (rows["conductivity"].to_numpy(float) - usual) / usual
    return rows.assign(value=np.where(rows["value"].isna(), np.nan, rise), baseline=usual)


def conductivity_rise_pct(tables: Tables, per: str, options: Options) -> Readings:
    """Rise of a quarter's conductivity over the mean of its previous 14 milkings, per quarter, in %.

    rise = 100 x (reading - mean) / mean. Biggadike et al. 2002, Vet Record 150:655 (authors and DOI from memory).
    The mean is over the 14 milkings before this one that have a usable reading, none of them 30 days or more
    before it; with fewer than 7 the value is missing. Readings at `milked` and `incomplete` visits are used alike:
    an incomplete milking is often short of one quarter only. A quarter whose cup came off is neither judged nor
    kept for the mean; nor is one of a milking that was not whole where nothing is said of the cup, or none is said to
    have come off, for it may have been cut short; nor an impossible reading (zero, negative or infinite). A quarter
    that was not read has no reading.
    """
    readings = quarter_readings(tables)
    usable = readings.rows.only(readings.usable)
    mean, number = _mean_before(usable, readings.conductivity[readings.usable])
    baseline = np.full(len(readings.rows), np.nan)
    baseline[readings.usable] = np.where(number >= FEWEST, mean, np.nan)
    milkings = np.zeros(len(readings.rows), np.int64)
    milkings[readings.usable] = number
    too_few = np.array([_too_few(n) for n in range(FEWEST)] + [""] * (MILKINGS + 1 - FEWEST), dtype=object)
    why = np.where(readings.usable, too_few[milkings], readings.why)
    rise = 100.0 * (readings.conductivity - baseline) / baseline
    return Readings(
        readings.rows.frame(
            value=rise,
            why=texts(why),
            conductivity=readings.conductivity,
            baseline=baseline,
            milkings=milkings,
            box=readings.box,
        )
    )


def _mean_before(rows: Ordered, value: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The mean of the up to 14 values before each row, less than 30 days old, and how many they are.

    One lag after another is added, the newest first, so that every mean is the same sum of the same numbers in the
    same order wherever the data begins; a running sum would carry the rounding of all that went before.
    """
    total = np.zeros(len(rows))
    number = np.zeros(len(rows), np.int64)
    for lag in range(1, min(MILKINGS, len(rows) - 1) + 1):
        counts = (rows.code[lag:] == rows.code[:-lag]) & (rows.at[:-lag] > rows.at[lag:] - PAST_S)
        total[lag:] += np.where(counts, value[:-lag], 0.0)
        number[lag:] += counts
    mean = np.full(len(rows), np.nan)
    np.divide(total, number, out=mean, where=number > 0)
    return mean, number


def _too_few(number: int) -> str:
    earlier = (
        f"only {number} earlier milkings"
        if number > 1
        else ("only 1 earlier milking" if number else "no earlier milking")
    )
    return f"{earlier} with a reading in 30 days, and the mean needs {FEWEST}"


def conductivity_ratio(tables: Tables, per: str, options: Options) -> Readings:
    """A quarter's conductivity over the mean of the two lowest quarters of the same milking, per quarter, as a ratio.

    ratio = reading / ((lowest + second lowest) / 2). Mollenhorst et al. 2010, J Dairy Sci 93:3358. It works with
    four or three quarters; with two or fewer usable readings the value is missing, for the two lowest would then
    be all there is. A quarter whose cup came off or may have, or an impossible reading, is neither judged nor among
    the lowest.
    """
    readings = quarter_readings(tables)
    upward = np.sort(readings.all_quarters, axis=1)  # a missing quarter goes last
    lowest_two = (upward[:, 0] + upward[:, 1]) / 2.0
    number = np.count_nonzero(~np.isnan(readings.all_quarters), axis=1)
    lowest = np.where(number >= 3, lowest_two, np.nan)[readings.milking]
    has_ratio = readings.usable & (number[readings.milking] >= 3)
    quarters = np.array(
        [f"only {n} quarter{'s' * (n != 1)} with a reading, and the ratio needs 3" for n in range(3)] + ["", ""]
    )
    why = np.where(readings.usable, quarters.astype(object)[number[readings.milking]], readings.why)
    return Readings(
        readings.rows.frame(
            value=np.where(has_ratio, readings.conductivity / lowest, np.nan),
            why=texts(why),
            conductivity=readings.conductivity,
            lowest_two=lowest,
            box=readings.box,
        )
    )


CONDUCTIVITY_RISE_PCT = Measure(
    name="conductivity_rise_pct",
    unit="%",
    per=("quarter",),
    doc="% rise of the reading over the mean of the quarter's previous 14 milkings with a reading "
    "(less than 30 days old, at least 7): 100 × (reading − mean) / mean",
    source="Biggadike et al. 2002, Vet Record 150:655 (authors and DOI from memory)",
    check="worked by hand and against plain words: test_conductivity",
    compute=conductivity_rise_pct,
    charts=("quarter",),
    needs=("visits",),
    lookback_s=PAST_S,
    usual=BASELINE.name,
    as_usual_was=_rise_as_usual_was,
    facts=(CONDUCTIVITY, BASELINE, FactColumn("milkings", "milkings that its usual is based on", "milkings"), BOX),
)

CONDUCTIVITY_RATIO = Measure(
    name="conductivity_ratio",
    unit="ratio",
    per=("quarter",),
    doc="ratio of the reading to the mean of the two lowest quarters of the same milking (at least 3 quarters read)",
    source="Mollenhorst et al. 2010, J Dairy Sci 93:3358",
    check="worked by hand and against plain words: test_conductivity",
    compute=conductivity_ratio,
    charts=("quarter",),
    needs=("visits",),
    lookback_s=DAY_S,
    facts=(CONDUCTIVITY, FactColumn("lowest_two", "mean of her two best quarters", "mS/cm"), BOX),
)

MEASURES = (CONDUCTIVITY_RISE_PCT, CONDUCTIVITY_RATIO)
