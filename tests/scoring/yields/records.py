"""A simulated herd's milkings as other records hold them: with gaps, twice a day, unevenly weighed, come for seldom."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import VISITS, empty_frame, frame_types
from sentinel.simulator import Simulated

LOST = (0.05, 0.10)
"""So large a share of single milkings is missing, herd by herd (assumption)."""

HALF_DAYS_A_MONTH = 2.0
"""So many times a month nothing is recorded of any cow for half a day (assumption)."""

SESSIONS_H = (6.0, 17.0)
"""When the herd is milked that is milked twice a day (common practice, no source)."""

WEIGHED = 0.04
"""How much a milking of it differs from what she has made since the last one, besides (assumption)."""

UNEVEN, UNEVEN_COWS = 0.09, 0.40
"""How much the milk of an unevenly milked cow differs from milking to milking (the median cow, and of the logarithm
between cows), what of it she makes up at the next, a wander of days, and how often the meter reads far too little.
Assumptions, made so that the rule before raised about as many alerts on the complete record as it did on a real herd
that was milked twice a day (8.4 per 1,000 cow-days)."""
MADE_UP, WANDER, REMEMBERED, MISREAD = 0.5, 0.045, 0.7, 0.006

SELDOM = 0.4
"""So many of her milkings an ill cow does not come for, in a herd in which ill cows come less often (assumption)."""


def chance_of(herd: Simulated, what: int) -> np.random.Generator:
    """Chance of a herd's own for one kind of record."""
    return np.random.default_rng([herd.spec.seed, 12, what])


def with_gaps(herd: Simulated, visits: pd.DataFrame) -> pd.DataFrame:
    """The record without some of its milkings: single ones, and all of some half-days."""
    chance = chance_of(herd, 1)
    lost = chance.random(len(visits)) < chance.uniform(*LOST)
    start = visits["start"].to_numpy(np.int64)
    begin, until = herd.calendar.begin, herd.calendar.until
    for _ in range(round(HALF_DAYS_A_MONTH * (until - begin) / (30 * DAY_S))):
        since = int(chance.integers(begin, until))
        lost |= (start >= since) & (start < since + 12 * HOUR_S)
    return visits[~lost].reset_index(drop=True)


def twice_a_day(herd: Simulated, visits: pd.DataFrame) -> pd.DataFrame:
    """The same cows milked twice a day: each milking has what she made since the last one.

    What was left at a milking that was not whole and came with the next was made evenly until that.
    """
    chance = chance_of(herd, 2)
    gave = visits[visits["milk_kg"].notna()]
    calendar = herd.calendar
    days = range((calendar.until - calendar.begin) // DAY_S)
    sessions = np.array([calendar.begin + day * DAY_S + int(hour * HOUR_S) for day in days for hour in SESSIONS_H])
    parts = []
    for cow, hers in gave.groupby("cow", sort=True):
        moments = sessions + int(chance.integers(0, 2 * HOUR_S)) + chance.integers(0, 900, len(sessions))
        whole = (hers["outcome"] == "milked").to_numpy(bool)
        if whole.sum() < 2:
            continue
        at, kg = hers["start"].to_numpy(np.int64)[whole], hers["milk_kg"].cumsum().to_numpy(float)[whole]
        following = np.searchsorted(at, moments)
        near = np.clip(following, 1, len(at) - 1)
        is_in_milk = (following > 0) & (following < len(at)) & (at[near] - at[near - 1] < 2 * DAY_S)
        made = np.diff(np.interp(moments, at, kg), prepend=np.nan)
        keep = is_in_milk & np.append(False, is_in_milk[:-1])
        milk = made[keep] * np.exp(WEIGHED * chance.standard_normal(int(keep.sum())))
        parts.append(pd.DataFrame({"cow": cow, "start": moments[keep], "milk_kg": milk.round(1)}))
    frame = pd.concat(parts, ignore_index=True).assign(outcome="milked", box="1")
    whole = empty_frame(VISITS).reindex(range(len(frame)))
    whole[list(frame)] = frame
    return whole.astype(frame_types(VISITS)).sort_values(["start", "cow"], kind="stable", ignore_index=True)


def unevenly(herd: Simulated, visits: pd.DataFrame) -> pd.DataFrame:
    """The same record of cows that give, and of meters that read, more unevenly."""
    chance = chance_of(herd, 3)
    milk = visits["milk_kg"].to_numpy(float).copy()
    for _, rows in sorted(visits.groupby("cow").indices.items()):
        size = UNEVEN * np.exp(UNEVEN_COWS * chance.standard_normal())
        odd = size * chance.standard_normal(len(rows))
        odd[1:] -= MADE_UP * odd[:-1]
        day = (visits["start"].to_numpy(np.int64)[rows] - herd.calendar.first) // DAY_S
        wander = WANDER * chance.standard_normal(herd.calendar.days + 1)
        wander[1:] *= np.sqrt(1 - REMEMBERED**2)
        for n in range(1, len(wander)):
            wander[n] += REMEMBERED * wander[n - 1]
        misread = np.where(chance.random(len(rows)) < MISREAD, chance.uniform(0.2, 0.7, len(rows)), 1.0)
        milk[rows] = (milk[rows] * np.exp(odd + wander[day]) * misread).round(1)
    return visits.assign(milk_kg=milk)


def come_seldom(herd: Simulated, visits: pd.DataFrame, shares: Mapping[str, np.ndarray]) -> pd.DataFrame:
    """The same record where cows that are ill come for fewer milkings, and give at the next what they kept."""
    chance = chance_of(herd, 4)
    day = (visits["start"].to_numpy(np.int64) - herd.calendar.first) // DAY_S
    milk = visits["milk_kg"].to_numpy(float).copy()
    is_milking = visits["outcome"].isin(["milked", "incomplete"]).to_numpy(bool) & np.isfinite(milk)
    gone = np.zeros(len(visits), bool)
    for cow, rows in sorted(visits.groupby("cow").indices.items()):
        hers = rows[is_milking[rows]]
        ill = shares[str(cow)][day[hers]] < 0.85 if str(cow) in shares else np.zeros(len(hers), bool)
        stays = ill & (chance.random(len(hers)) < SELDOM)
        for this, following in zip(np.flatnonzero(stays), np.flatnonzero(stays) + 1, strict=True):
            if following < len(hers) and day[hers[following]] - day[hers[this]] <= 1:
                milk[hers[following]] += milk[hers[this]]
                gone[hers[this]] = True
    return visits.assign(milk_kg=milk)[~gone].reset_index(drop=True)
