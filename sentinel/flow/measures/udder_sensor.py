"""The conductivity sensors themselves: one that sticks or is dead, and one that reads higher than the others.

A sensor belongs to one place of one box: the quarter it is put under names it. Many cows use it, so what it shows of
all of them together is about the sensor and not about a cow.
"""

from __future__ import annotations

import numpy as np

from sentinel.flow.measures.ordered import arranged, texts
from sentinel.flow.measures.shape import Measure, Options, Readings
from sentinel.flow.measures.udder_lags import MILLION
from sentinel.flow.model import DAY_S, QUARTERS
from sentinel.flow.tables import Tables, wide

STUCK_AT = 5
"""So many equal readings in a row at one place of a box, of whatever cows, are no longer taken for readings of milk.

Readings of cows spread by about 0.25 mS/cm: written with one decimal, two neighbours agree by chance once in nine
times and five do once in 7,000; with two decimals once in a hundred million."""

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

NAMES = {"LF": "left front", "RF": "right front", "LR": "left rear", "RR": "right rear"}


def run_lengths(place: np.ndarray, at: np.ndarray, value: np.ndarray, most: int, past_s: int) -> np.ndarray:
    """How many readings of one sensor in a row, up to each, say the same: 1 if the one before differs; `most` at most.

    Rows are by sensor (`place`), then time; a reading `past_s` or more before counts no more.
    """
    n = len(value)
    same = np.zeros(n, bool)
    same[1:] = (place[1:] == place[:-1]) & (value[1:] == value[:-1])
    begin = np.maximum.accumulate(np.where(same, 0, np.arange(n))) if n else np.empty(0, np.int64)
    key = at - at.min() if n else at
    width = int(key.max()) + past_s + 1 if n else 1
    recent = np.searchsorted(place * width + key, place * width + np.maximum(key - past_s, -1), side="right")
    return np.asarray(np.minimum(np.arange(n) - np.maximum(begin, recent) + 1, most))


def stuck(box: np.ndarray, at: np.ndarray, conductivity: np.ndarray) -> np.ndarray:
    """Which readings are of a sensor that has said the same again and again; `conductivity` is milkings x quarters.

    A milking without a box (`box` -1), or a quarter without a reading, belongs to no run.
    """
    marked = np.zeros(conductivity.shape, bool)
    order = np.lexsort((at, box))
    order = order[box[order] >= 0]
    box, at = box[order], at[order]
    for quarter in range(conductivity.shape[1]):
        said = conductivity[order, quarter]
        read = np.flatnonzero(~np.isnan(said))
        run = run_lengths(box[read], at[read], said[read], STUCK_AT, STUCK_PAST_S)
        marked[order[read[run >= STUCK_AT]], quarter] = True
    return marked


def sensor_offsets(box: np.ndarray, at: np.ndarray, change: np.ndarray) -> np.ndarray:
    """How far off the sensor that made each reading was just before it, as a difference of logarithms.

    `change` is by how much each reading differs from what is usual for its quarter and from what the cow's other
    quarters do (logarithm; NaN where it cannot be told). The mean of the sensor's last 31 within a day, less what
    may be chance; 0 with fewer than 10. So a sensor is measured by the same cows' readings at the other boxes.
    """
    offset = np.zeros(change.shape)
    boxes = int(box.max(initial=-1)) + 1
    order = np.lexsort((at, box))
    box, at = box[order], at[order]
    for quarter in range(change.shape[1]):
        mine = change[order, quarter]
        told = np.flatnonzero((box >= 0) & ~np.isnan(mine))
        sums = np.append(0, np.cumsum(np.rint(np.clip(mine[told], -COMPARED_MOST, COMPARED_MOST) * MILLION)))
        sums = sums.astype(np.int64)
        for one in range(boxes):
            begin, end = np.searchsorted(box[told], [one, one + 1])
            asked = np.flatnonzero(box == one)
            moments = at[told[begin:end]]
            upto = np.searchsorted(moments, at[asked], side="left")
            since = np.searchsorted(moments, at[asked] - COMPARED_PAST_S, side="right")
            since = np.maximum(since, upto - COMPARED)
            number = upto - since
            mean = (sums[begin + upto] - sums[begin + since]) / np.maximum(number, 1) / MILLION
            beyond = np.sign(mean) * np.maximum(np.abs(mean) - BY_CHANCE, 0.0)
            offset[order[asked], quarter] = np.where(number >= COMPARED_FEWEST, beyond, 0.0)
    return offset


def stuck_readings(tables: Tables, per: str, options: Options) -> Readings:
    """Equal conductivity readings in a row at one sensor, per box, as a number of readings.

    At each milking: the longest run up to it among the box's four sensors, each counted over whatever cows it was
    used for, 60 at most and two days back at most. A reading that is missing although the quarter gave milk, and one
    that milk cannot have (zero, negative, infinite), count as 0 mS/cm: a dead sensor says the same again and again.
    A milking that names no box counts nowhere.
    """
    visits = tables.visits
    milking = visits["outcome"].isin(["milked", "incomplete"]).to_numpy(bool) & visits["box"].notna().to_numpy()
    rows = np.flatnonzero(milking)
    conductivity = visits[wide("conductivity_mS_cm")].to_numpy(float)[rows]
    gave = visits[wide("milk_kg")].to_numpy(float)[rows] > 0
    possible = (conductivity > 0) & np.isfinite(conductivity)
    value = np.where(possible, conductivity, np.where(np.isnan(conductivity) & ~gave, np.nan, 0.0))
    names, box = np.unique(visits["box"].to_numpy(object)[rows].astype(str), return_inverse=True)
    at = visits["start"].to_numpy(np.int64)[rows]
    where, quarter = np.nonzero(~np.isnan(value))
    place, moment, said = box[where] * len(QUARTERS) + quarter, at[where], value[where, quarter]
    order = np.lexsort((said, moment, place))
    place, moment, said = place[order], moment[order], said[order]
    run = run_lengths(place, moment, said, LONGEST, STUCK_PAST_S)
    longest = np.lexsort((place, -run, moment, place // len(QUARTERS)))  # of equal runs the first quarter
    found = arranged([f"box:{name}" for name in names], place[longest] // len(QUARTERS), moment[longest], longest)
    first = np.append(True, (found.code[1:] != found.code[:-1]) | (found.at[1:] != found.at[:-1]))[: len(found)]
    best = found.only(first)
    sensors = np.array([NAMES[one] for one in QUARTERS], dtype=object)
    return Readings(
        best.frame(
            value=run[best.row].astype(float),
            why=texts(np.full(len(best), "", dtype=object)),
            sensor=texts(sensors[place[best.row] % len(QUARTERS)]),
            reading=said[best.row],
        )
    )


STUCK_READINGS = Measure(
    name="stuck_readings",
    unit="readings",
    per=("box",),
    doc="readings in a row, of whatever cows, that say the same at one of the box's four conductivity sensors (the "
    "longest run; up to 60, two days back); none although there was milk, or an impossible one, counts as 0 mS/cm",
    source="definition",
    compute=stuck_readings,
    needs=("visits",),
    lookback_s=STUCK_PAST_S,
    facts=("sensor", "reading"),
)
