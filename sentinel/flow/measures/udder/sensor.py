"""The conductivity sensors themselves: one that sticks or is dead, and one that reads higher than the others.

A sensor belongs to one place of one box: the quarter it is put under names it. Many cows use it, so what it shows of
all of them together is about the sensor and not about a cow.
"""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
import pandas as pd

from sentinel.flow.language import Said
from sentinel.flow.measures.base.ordered import Ordered, ordered, sentences, texts
from sentinel.flow.measures.base.shape import NO_CHART, FactColumn, Measure, Options, Readings
from sentinel.flow.measures.milking.outcomes import gave_milk
from sentinel.flow.measures.udder.lags import MILLION, reaches_from
from sentinel.flow.model import DAY_S, QUARTERS
from sentinel.flow.tables import Tables, wide

STUCK_AT = 5
"""So many equal readings in a row at one place of a box, of whatever cows, are no longer taken for readings of milk.

If readings of cows spread by about 0.25 mS/cm (an assumption), two neighbours written with one decimal agree by chance
once in nine times, five do once in 3,500 and eight once in 1.1 million; with two decimals five once in 34 million."""

LONGEST = 60
"""A run of equal readings is counted up to this many."""

STUCK_PAST_S = 2 * DAY_S
"""And no further back than this."""

COMPARED = 31
COMPARED_PAST_S = DAY_S
COMPARED_FEWEST = 10
COMPARED_MOST = 0.10
"""The last so many readings of a sensor (within a day, and at least so many) tell how far off it is; none of them
counts as more than 0.10 (logarithm), so that no single cow carries them away."""

BY_CHANCE = 0.015
"""What the mean of so many readings may be off by chance: three to four standard errors, 4 x 0.02 / sqrt(31) = 0.0144
(logarithm). Only what is beyond it is taken off."""

SPREAD_READINGS, SPREAD_USUAL, SPREAD_MOST = 120, 30, 0.10
"""The last so many readings of a sensor tell how much it scatters; what is usual weighs as so many of them; and none
counts as more than this (logarithm), four to five of the usual spreads."""

SENSORS = (Said("left front"), Said("right front"), Said("left rear"), Said("right rear"))
"""The sensors by the quarter they are put under, in the order of `QUARTERS`."""


def run_lengths(place: np.ndarray, at: np.ndarray, value: np.ndarray, cow: np.ndarray) -> np.ndarray:
    """How many readings of one sensor in a row, up to each, say the same: 1 if the one before differs; 60 at most.

    Rows are by sensor (`place`), then time; a reading two days or more before counts no more. A run of one cow's
    readings only counts as 1: her milk may well be the same again.
    """
    n = len(value)
    row = np.arange(n)
    same = np.zeros(n, bool)
    same[1:] = (place[1:] == place[:-1]) & (value[1:] == value[:-1])
    hers = np.zeros(n, bool)
    hers[1:] = same[1:] & (cow[1:] == cow[:-1])
    begin, hers_from = (np.maximum.accumulate(np.where(going, 0, row)) if n else row for going in (same, hers))
    begin = np.maximum(begin, reaches_from(place, at, LONGEST - 1, STUCK_PAST_S))
    return np.asarray(np.where(hers_from <= begin, 1, row - begin + 1))


def stuck(box: np.ndarray, at: np.ndarray, cow: np.ndarray, conductivity: np.ndarray) -> np.ndarray:
    """Which readings are of a sensor that has said the same again and again; `conductivity` is milkings x quarters.

    A milking without a box (`box` -1), or a quarter without a reading, belongs to no run.
    """
    marked = np.zeros(conductivity.shape, bool)
    order = np.lexsort((cow, at, box))
    order = order[box[order] >= 0]
    box, at, cow = box[order], at[order], cow[order]
    for quarter in range(conductivity.shape[1]):
        conductivity_in_order = conductivity[order, quarter]
        read = np.flatnonzero(~np.isnan(conductivity_in_order))
        run = run_lengths(box[read], at[read], conductivity_in_order[read], cow[read])
        marked[order[read[run >= STUCK_AT]], quarter] = True
    return marked


def sensor_offsets(box: np.ndarray, at: np.ndarray, change: np.ndarray) -> np.ndarray:
    """How far off the sensor that made each reading was just before it, as a difference of logarithms.

    `change` is by how much each reading differs from what is usual for its quarter and from what the cow's other
    quarters do (logarithm; NaN where it cannot be told). The mean of the sensor's last 31 within a day, less what
    may be chance; 0 with fewer than 10. So a sensor is measured by the same cows' readings at the other boxes.
    """
    mean, number = _mean_of_last(box, at, np.clip(change, -COMPARED_MOST, COMPARED_MOST), COMPARED)
    beyond = np.sign(mean) * np.maximum(np.abs(mean) - BY_CHANCE, 0.0)
    return np.asarray(np.where(number >= COMPARED_FEWEST, beyond, 0.0))


def sensor_spreads(box: np.ndarray, at: np.ndarray, change: np.ndarray, usual: float) -> np.ndarray:
    """The standard deviation of what the sensor that made each reading showed just before it, as `change`.

    From the mean size of the sensor's last 120 changes within a day, over all cows, none counted as more than
    `SPREAD_MOST`: the standard deviation of normal values is 1.2533 times that (sqrt(pi / 2)), and a few odd readings
    hardly move it. It is pooled with what is `usual` of sensors, which weighs as much as 30 readings.
    """
    size, number = _mean_of_last(box, at, np.minimum(np.abs(change), SPREAD_MOST), SPREAD_READINGS)
    pooled = (SPREAD_USUAL * usual**2 + number * (sqrt(pi / 2) * size) ** 2) / (SPREAD_USUAL + number)
    return np.asarray(np.sqrt(pooled))


def _mean_of_last(box: np.ndarray, at: np.ndarray, value: np.ndarray, most: int) -> tuple[np.ndarray, np.ndarray]:
    """Per milking and quarter the mean of what its sensor showed before, the last `most` within a day; their number.

    Where no box is named, or nothing was shown, it is 0 of 0.
    """
    means, numbers = np.zeros(value.shape), np.zeros(value.shape, np.int64)
    boxes = int(box.max(initial=-1)) + 1
    order = np.lexsort((at, box))
    box, at = box[order], at[order]
    for quarter in range(value.shape[1]):
        in_order = value[order, quarter]
        rows = np.flatnonzero((box >= 0) & ~np.isnan(in_order))
        sums = np.append(0, np.cumsum(np.rint(in_order[rows] * MILLION).astype(np.int64)))
        for one in range(boxes):
            begin, end = np.searchsorted(box[rows], [one, one + 1])
            asked = np.flatnonzero(box == one)
            moments = at[rows[begin:end]]
            upto = np.searchsorted(moments, at[asked], side="left")
            since = np.searchsorted(moments, at[asked] - COMPARED_PAST_S, side="right")
            since = np.maximum(since, upto - most)
            number = upto - since
            means[order[asked], quarter] = (sums[begin + upto] - sums[begin + since]) / np.maximum(number, 1) / MILLION
            numbers[order[asked], quarter] = number
    return means, numbers


def stuck_readings(tables: Tables, per: str, options: Options) -> Readings:
    """Equal conductivity readings in a row at one sensor, per box, as a number of readings.

    At each milking: the longest run up to it among the box's four sensors, each counted over the cows it was used for
    (two at least), 60 at most and two days back at most. A reading that is missing although the quarter gave milk,
    and one that milk cannot have (zero, negative, infinite), count as 0 mS/cm: a dead sensor says the same again and
    again. A milking that names no box counts nowhere.
    """
    visits = _lately(tables)
    milked = gave_milk(visits)
    rows = ordered("box", visits["box"], visits["start"], milked)
    cow, _ = pd.factorize(visits["cow"].to_numpy(object)[rows.row], sort=True)
    order = np.lexsort((cow, rows.at, rows.code))
    rows, cow = Ordered(rows.names, rows.code[order], rows.at[order], rows.row[order]), cow[order]
    conductivity = visits[wide("conductivity_mS_cm")].to_numpy(float)[rows.row]
    gave = visits[wide("milk_kg")].to_numpy(float)[rows.row] > 0
    possible = (conductivity > 0) & np.isfinite(conductivity)
    value = np.where(possible, conductivity, np.where(np.isnan(conductivity) & ~gave, np.nan, 0.0))
    longest, sensor, reading = np.ones(len(rows)), np.zeros(len(rows), np.int64), np.full(len(rows), np.nan)
    reach = reaches_from(rows.code, rows.at, len(rows), STUCK_PAST_S)
    for quarter in range(len(QUARTERS)):
        read = np.flatnonzero(~np.isnan(value[:, quarter]))
        run = run_lengths(rows.code[read], rows.at[read], value[read, quarter], cow[read])
        latest = np.searchsorted(read, np.arange(len(rows)), side="right") - 1  # a quarter not read leaves it standing
        stands = latest >= 0
        stands[stands] = read[latest[stands]] >= reach[stands]
        more = stands.copy()
        more[stands] = run[latest[stands]] > longest[stands]
        longest[more], sensor[more] = run[latest[more]], quarter
        reading[more] = value[read[latest[more]], quarter]
    ends = np.append(rows.code[1:] != rows.code[:-1], True)[: len(rows)]
    last = rows.ends_moment & ((rows.at >= tables.farm.asked_from) | ends)
    return Readings(
        rows.only(last).frame(
            value=longest[last],
            why=texts(np.full(int(last.sum()), "", dtype=object)),
            sensor=sentences(np.array([*SENSORS, ""], dtype=object)[np.where(longest > 1, sensor, len(SENSORS))[last]]),
            reading=reading[last],
        )
    )


def _lately(tables: Tables) -> pd.DataFrame:
    """The visits that the asked readings rest on: from two days before the asked moment, or a box's last one, on."""
    visits = tables.visits
    if visits.empty or tables.farm.asked_from <= int(visits["start"].min()):
        return visits
    milked = visits[gave_milk(visits)]
    last = milked.groupby("box", sort=False)["start"].max().min() if len(milked) else tables.farm.asked_from
    since = min(tables.farm.asked_from, int(last)) - STUCK_PAST_S
    return visits[visits["start"].to_numpy(np.int64) > since].reset_index(drop=True)


STUCK_READINGS = Measure(
    name="stuck_readings",
    unit="readings",
    per=("box",),
    doc="readings in a row, from at least two cows, that are the same at one of the box's four conductivity sensors "
    "(the longest run; up to 60, two days back); no reading although there was milk, or an impossible one, counts as "
    "0 mS/cm",
    source="definition",
    check="worked by hand: test_sensor",
    compute=stuck_readings,
    charts=NO_CHART,
    needs=("visits",),
    lookback_s=STUCK_PAST_S,
    facts=(FactColumn("sensor", "sensor"), FactColumn("reading", "the repeated reading", own_unit=True)),
)

MEASURES = (STUCK_READINGS,)
