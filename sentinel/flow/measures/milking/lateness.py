"""How long ago a cow was milked, what share of the herd is late, and how often the herd is milked in a day."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.measures.base.facts import BOX, COWS
from sentinel.flow.measures.base.ordered import Ordered, arranged, ordered, texts
from sentinel.flow.measures.base.shape import NO_CHART, FactColumn, Measure, Option, Options, Readings, Resets
from sentinel.flow.measures.milking.outcomes import REACH_S, outcomes
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import UNKNOWN, VISITS, Tables
from sentinel.flow.tables.herd_list import moments_of_lists

KNOWN_FOR_S = 30 * DAY_S - REACH_S
"""A cow in milk by the herd list counts as long as her last milking is less than this ago (21 days)."""

ASSUMED_FOR_S = 96 * HOUR_S
"""A cow of unknown status counts as in milk for this long after a milking (common practice, no source)."""

BEFORE_S = 8 * DAY_S
"""A day's milkings are told where visits are known from before it, from less than this ago."""

NEVER = np.iinfo(np.int64).max
MILKING, NOT_MILKING, UNLISTED = 1, 0, -1


def milkings(visits: pd.DataFrame) -> tuple[np.ndarray, np.ndarray]:
    """Which visits were whole milkings, and which may have been one.

    By the export or, where it does not say, by the milk. A visit may have been a milking if how it ended could not be
    read, or is said by neither.
    """
    how = outcomes(visits)
    unread = (visits["outcome"] == UNKNOWN).to_numpy(bool)
    whole = np.asarray(how == "milked") & ~unread
    return whole, ~whole & (unread | pd.isna(how))


def hours_since_milking(tables: Tables, per: str, options: Options) -> Resets:
    """Time since the last whole milking, per cow, in h.

    Only a whole milking resets it: a visit with the outcome `milked`, or one that has none but gave at least 80 % of
    what she should have given. An incomplete, failed or refused visit leaves the time running. A visit of which it
    cannot be told, as its outcome could not be read or neither outcome nor milk says it, *may* reset it: from then on
    the time is not known, but for being at least that since the visit. A cow that was never milked has no value, nor
    has one whose last milking was 21 days ago.
    """
    visits = tables.visits
    whole, possible = milkings(visits)
    rows = ordered("cow", visits["cow"], visits["start"], whole | possible)
    return Resets(rows.frame(box=texts(rows.take(visits["box"])), sure=whole[rows.row]))


def late_share(tables: Tables, per: str, options: Options) -> Readings:
    """Cows not milked for longer than their limit, in % of the cows in milk, per herd.

    share = 100 x late / cows. A cow is late when strictly more than `late_after` has passed since her last whole
    milking, or a visit that may have been one (`late_after_once` if she is allowed one milking a day). A cow counts
    while her last milking is known and less than 21 days ago and the herd list says `milking`; where the list says
    nothing of her at that moment, while her last milking is less than 96 h ago. There is one reading at each moment at
    which a count changes: a milking, a change in the herd list, the first second past a cow's limit, or the end of
    those 96 h or 21 days; such a moment is given even if it lies after the newest row. A visit that could not be read
    may have been a milking of one of the late cows, and counts as that for as long as it could. With no cow in milk,
    or after an export that could not be read, the value is missing.
    """
    stretches = _stretches(tables)
    limit = np.where(stretches["once"], options["late_after_once"], options["late_after"]).astype(np.int64)
    stay = np.where(stretches["status"] == MILKING, KNOWN_FOR_S, ASSUMED_FOR_S)
    counts = stretches["has_milking"] & (stretches["status"] != NOT_MILKING)
    since, start = stretches["milked_at"], stretches["start"]
    end = np.minimum(stretches["end"], since + stay)
    in_milk = counts & (start < end)
    late_from = np.maximum(start, since + limit + 1)
    late = counts & (late_from < end)
    moment, cows, lates = _running((start[in_milk], end[in_milk]), (late_from[late], end[late]))
    moment, place, maybe, unread = _with_unread(tables, moment, max(map(int, options.values())))
    cows, lates = cows[place], np.maximum(lates[place] - maybe, 0)
    is_known = (cows > 0) & ~unread
    share = np.full(len(moment), np.nan)
    np.divide(100.0 * lates, cows, out=share, where=is_known)
    nobody = np.where(unread, "an export of visits could not be read", "no cow is known to be in milk")
    why = texts(np.where(is_known, "", nobody))
    return _of_herd(moment, share, why, late=lates, cows=cows)


def milkings_per_cow_day(tables: Tables, per: str, options: Options) -> Readings:
    """Milkings of the last 24 h to a cow in milk, per herd, as a ratio of the two numbers.

    ratio = whole milkings in (t - 24 h, t] / cows in milk at t, both counted as in `late_share`: a visit that may have
    been a milking is one, and so is one that could not be read. There is one reading at each moment at which a number
    changes: a milking, one that is 24 h ago, a change in the herd list or of who counts; such a moment is given even if
    it lies after the newest row. Missing with no cow in milk, after an export that could not be read, and while no
    visit from before those 24 h is known.
    """
    herd = herd_counts(tables)
    start = tables.visits["start"].to_numpy(np.int64)
    milked = herd.milked
    moment, *_, known = _running((herd.begins, herd.ends), (milked, milked + DAY_S), (start + DAY_S, start + BEFORE_S))
    moment, place, _, unread = _with_unread(tables, moment, DAY_S)
    cows, number, whole_day = herd.cows(moment), herd.milkings(moment - DAY_S, moment), known[place] > 0
    ratio = np.full(len(moment), np.nan)
    np.divide(number, cows, out=ratio, where=(cows > 0) & whole_day & ~unread)
    why = np.where(cows > 0, "no visit from before the last 24 h is known", "no cow is known to be in milk")
    reasons = texts(np.where(np.isnan(ratio), np.where(unread, "an export of visits could not be read", why), ""))
    return _of_herd(moment, ratio, reasons, milkings_24h=number, cows=cows)


@dataclass(frozen=True, slots=True)
class HerdCounts:
    """How often a herd is milked and how many cows are in milk, for any stretch of time: one way for rules and pages.

    Moments in order: `milked` of each whole milking, or what may have been one; `begins` and `ends` of the stretches in
    which a cow counts as in milk. `unread`: begin, end and number of visits that could not be read, each of which may
    have been a milking; `missing`: begin and end of what whole exports that could not be read tell of.
    """

    milked: np.ndarray
    begins: np.ndarray
    ends: np.ndarray
    unread: tuple[np.ndarray, np.ndarray, np.ndarray]
    missing: tuple[np.ndarray, np.ndarray]

    def cows(self, at: np.ndarray) -> np.ndarray:
        """Cows in milk at each moment."""
        return np.asarray(_up_to(self.begins, at) - _up_to(self.ends, at))

    def is_missing(self, since: int, until: int) -> bool:
        """Whether an export that could not be read may hold visits in [since, until]."""
        begins, ends = self.missing
        return bool(((begins <= until) & (ends >= since)).any())

    def milkings(self, since: np.ndarray, until: np.ndarray) -> np.ndarray:
        """Whole milkings in each (since, until]."""
        begins, ends, number = self.unread
        maybe = ((begins <= until[:, None]) & (ends >= since[:, None])) @ number
        return np.asarray(_up_to(self.milked, until) - _up_to(self.milked, since) + maybe)


def herd_counts(tables: Tables) -> HerdCounts:
    """Who is milked and in milk, as `late_share` and `milkings_per_cow_day` count them."""
    stretches = _stretches(tables)
    stay = np.where(stretches["status"] == MILKING, KNOWN_FOR_S, ASSUMED_FOR_S)
    counts = stretches["has_milking"] & (stretches["status"] != NOT_MILKING)
    end = np.minimum(stretches["end"], stretches["milked_at"] + stay)
    in_milk = counts & (stretches["start"] < end)
    milked = tables.visits["start"].to_numpy(np.int64)[np.logical_or(*milkings(tables.visits))]
    aside = tables.unread[(tables.unread["tab"] == VISITS.name).to_numpy(bool)]
    whole = aside["line"].to_numpy(float) == 0
    unread = [aside[name].to_numpy(np.int64) for name in ("begins", "ends", "number")]
    return HerdCounts(
        np.sort(milked),
        np.sort(stretches["start"][in_milk]),
        np.sort(end[in_milk]),
        (unread[0][~whole], unread[1][~whole], unread[2][~whole]),
        (unread[0][whole], unread[1][whole]),
    )


def _up_to(moments: np.ndarray, at: np.ndarray) -> np.ndarray:
    """How many of some moments in order are not later than each of others."""
    return np.searchsorted(moments, at, side="right")


def _of_herd(moment: np.ndarray, value: np.ndarray, why: Any, **facts: np.ndarray) -> Readings:
    """Readings of the herd at these moments."""
    herd = texts(np.full(len(moment), "herd", dtype=object))
    return Readings(pd.DataFrame({"subject": herd, "at": moment, "value": value, "why": why, **facts}))


def _stretches(tables: Tables) -> dict[str, np.ndarray]:
    """Per cow the stretches of time [start, end) in which her last milking, status and limit stay the same."""
    visits = tables.visits
    whole = np.logical_or(*milkings(visits))
    herd = _herd_changes(tables)
    n_milkings = int(whole.sum())
    cow = np.concatenate([visits["cow"].to_numpy(object)[whole], herd["cow"].to_numpy(object)])
    at = np.concatenate([visits["start"].to_numpy(np.int64)[whole], herd["from"].to_numpy(np.int64)])
    code, names = pd.factorize(cow)
    rows = arranged(list(names), code, at, np.arange(len(at)))
    is_milking = rows.row < n_milkings
    last_milking = _latest(rows, is_milking)
    last_change = _latest(rows, ~is_milking)
    status, once = _as_of(rows, last_change, herd, n_milkings)
    ends = rows.ends_moment
    here = rows.only(ends)
    following = np.full(len(here), NEVER)
    if len(here):
        following[:-1] = np.where(here.code[1:] == here.code[:-1], here.at[1:], NEVER)
    has_milking = last_milking[ends] >= 0
    milked_at = np.where(has_milking, rows.at[last_milking[ends]] if len(rows) else 0, 0)
    return {
        "start": here.at,
        "end": following,
        "has_milking": has_milking,
        "milked_at": milked_at,
        "status": status[ends],
        "once": once[ends],
    }


def _herd_changes(tables: Tables) -> pd.DataFrame:
    """The herd list's `cow`, `from`, `status`, `milkings_allowed`, with a row where a whole list leaves a cow out."""
    lists = moments_of_lists(tables.cows)
    cows = tables.cows[["cow", "from", "status", "milkings_allowed"]]
    if not tables.farm.whole_herd_lists or cows.empty:
        return cows
    lists = np.append(lists, NEVER)
    next_list = lists[np.searchsorted(lists, cows["from"].to_numpy(np.int64), side="right")]
    left_out = pd.DataFrame({"cow": cows["cow"], "from": next_list, "status": "gone"})[next_list < NEVER]
    listed = pd.MultiIndex.from_frame(cows[["cow", "from"]])
    left_out = left_out[~pd.MultiIndex.from_frame(left_out[["cow", "from"]]).isin(listed)]
    return pd.concat([cows, left_out], ignore_index=True)


def _latest(rows: Ordered, marked: np.ndarray) -> np.ndarray:
    """Per row the place of the latest marked row of the same subject at or before it; -1 if there is none."""
    place = np.arange(len(rows))
    latest = np.maximum.accumulate(np.where(marked, place, -1)) if len(rows) else place
    return np.where((latest >= 0) & (rows.code[latest] == rows.code), latest, -1) if len(rows) else latest


def _as_of(
    rows: Ordered, last_change: np.ndarray, herd: pd.DataFrame, n_milkings: int
) -> tuple[np.ndarray, np.ndarray]:
    """Per row her status by the herd list and whether she is allowed one milking a day."""
    status = np.full(len(rows), UNLISTED)
    once = np.zeros(len(rows), bool)
    listed = np.flatnonzero(last_change >= 0)
    herd_row = rows.row[last_change[listed]] - n_milkings
    status_of_row = herd["status"].to_numpy(object)[herd_row]
    status[listed] = np.where(
        pd.isna(status_of_row), UNLISTED, np.where(status_of_row == "milking", MILKING, NOT_MILKING)
    )
    once[listed] = herd["milkings_allowed"].to_numpy(float)[herd_row] == 1
    return status, once


def _running(*stretches: tuple[np.ndarray, np.ndarray]) -> tuple[np.ndarray, ...]:
    """The moments at which the number of open stretches [start, end) of some kind changes, and all from then on."""
    moment = np.unique(np.concatenate([end for pair in stretches for end in pair]))
    changed = np.zeros(len(moment), bool)
    numbers = []
    for start, end in stretches:
        steps = np.zeros(len(moment), np.int64)
        np.add.at(steps, np.searchsorted(moment, start), 1)
        np.add.at(steps, np.searchsorted(moment, end), -1)
        changed |= steps != 0
        numbers.append(np.cumsum(steps))
    return moment[changed], *(number[changed] for number in numbers)


def _with_unread(
    tables: Tables, moment: np.ndarray, matters_s: int
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """The moments with those at which a visit that could not be read begins and ends to matter, for so long.

    With each: the place of the moment before in those given, how many such visits matter, each of which may have been a
    milking, and whether a whole export is missing.
    """
    visits = tables.unread[(tables.unread["tab"] == VISITS.name).to_numpy(bool)]
    if visits.empty or not len(moment):
        return moment, np.arange(len(moment)), np.zeros(len(moment), np.int64), np.zeros(len(moment), bool)
    begins, until = visits["begins"].to_numpy(np.int64), visits["ends"].to_numpy(np.int64) + matters_s
    every = np.unique(np.concatenate([moment, begins, until + 1]))
    every = every[every >= moment[0]]
    place = np.searchsorted(moment, every, side="right") - 1
    matters = (begins <= every[:, None]) & (every[:, None] <= until)
    number, whole = visits["number"].to_numpy(np.int64), visits["line"].to_numpy(float) == 0
    return every, place, (matters & ~whole) @ number, (matters & whole).any(axis=1)


HOURS_SINCE_MILKING = Measure(
    name="hours_since_milking",
    unit="h",
    per=("cow",),
    doc="h since the cow's last complete milking; incomplete, failed and refused visits do not reset it",
    source="definition",
    check="worked by hand and against a plain count: test_lateness",
    compute=hours_since_milking,
    charts=("late",),
    needs=("visits",),
    lookback_s=30 * DAY_S,
    counts_for_s=KNOWN_FOR_S,
    facts=(BOX,),
    of_no_visit=True,
    reset="last milked",
)

LATE_SHARE = Measure(
    name="late_share",
    unit="%",
    per=("herd",),
    doc="% of the cows in milk that were last milked longer ago than their limit: 100 × late / cows",
    source="definition; the limits 14 h and 26 h are common practice, no source",
    check="against a plain count, cow by cow: test_lateness",
    compute=late_share,
    charts=("late",),
    needs=("visits",),
    uses=("cows",),
    options=(
        Option("late_after", "s", 14 * HOUR_S, "a cow is late when she was last milked longer ago than this"),
        Option("late_after_once", "s", 26 * HOUR_S, "the same for a cow that is allowed one milking a day"),
    ),
    lookback_s=30 * DAY_S,
    facts=(FactColumn("late", "cows that are late", "cows"), COWS),
    of_no_visit=True,
)

MILKINGS_PER_COW_DAY = Measure(
    name="milkings_per_cow_day",
    unit="ratio",
    per=("herd",),
    doc="ratio of the complete milkings in (t − 24 h, t] to the cows in milk at t: how often a cow is milked in a day",
    source="definition",
    check="worked by hand and against a plain count: test_lateness",
    compute=milkings_per_cow_day,
    charts=NO_CHART,
    needs=("visits",),
    uses=("cows",),
    lookback_s=30 * DAY_S,
    facts=(FactColumn("milkings_24h", "complete milkings in 24 h", "milkings"), COWS),
    of_no_visit=True,
)

MEASURES = (HOURS_SINCE_MILKING, LATE_SHARE, MILKINGS_PER_COW_DAY)
