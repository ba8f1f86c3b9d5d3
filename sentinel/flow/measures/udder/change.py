"""By how much a quarter differs from its own usual, corrected for what is not the quarter: conductivity and milk.

A quarter's conductivity also moves with the hours since the last milking, the weather, the stage of lactation and the
cow's day, but these move all four quarters together; and a sensor that reads high does so for every cow. Both are
taken off. All changes are differences of logarithms: 0.10 is about 10 %.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from sentinel.flow.measures.milking.outcomes import milkings, not_broken_off
from sentinel.flow.measures.udder.conductivity import IMPOSSIBLE, KICKED_OFF, PERHAPS_OFF, cups_off
from sentinel.flow.measures.udder.lags import (
    before,
    in_parts,
    mean_before,
    middling,
    of_the_others,
    own_spread,
    reaches_from,
    restlessness,
)
from sentinel.flow.measures.udder.sensor import sensor_offsets, sensor_spreads, stuck
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import FarmFacts, Tables, wide

USUAL_MILKINGS = 14
"""What is usual is told from 14 milkings, as by Biggadike et al. 2002 (Vet Record 150:655; authors from memory)."""

USUAL_FEWEST = 5
"""With fewer of them nothing is told. From five on the middle one survives two odd readings."""

LEFT_OUT = 1
"""The milking just before is left out: a quarter that falls ill should not count as its own usual at once."""

USUAL_PAST_S = 8 * DAY_S
FIRST_PAST_S = 6 * DAY_S
SPREAD_PAST_S = 6 * DAY_S

CONDUCTIVITY_APART, OTHERS_APART, CONDUCTIVITY_SPREAD, CONDUCTIVITY_MOST = 0.05, 0.03, 0.02, 0.08
MILK_APART, MILK_OTHERS_APART, MILK_SPREAD, MILK_MOST = 0.25, 0.20, 0.12, 0.40
"""How far one value counts, in what is usual and among the other quarters; the usual spread of a quarter's changes;
how far a change counts in her own spread. Each bound is two to four of the spreads.

0.02: repeated conductivity readings of healthy quarters vary by about 2 % once the cow's own movement is taken off;
0.12: the part of a quarter in the milk varies by about 12 % from milking to milking. Both from memory; they only
matter while little is known of a quarter."""

SHARED = 0.85
"""So much of what the other quarters do together is taken off. All of it would bring in more of their own noise than
it takes away: with four equally noisy quarters and a common movement of twice the noise, the best share is
4 / (4 + 0.45) = 0.9; rounded down as the common movement is often smaller."""

LONGEST_INTERVAL_S = 36 * HOUR_S
STUCK = "the sensor of this box says the same again and again, so this is no reading of milk"
NO_READING = "there was no reading"


@dataclass(frozen=True, slots=True)
class Milkings:
    """The milkings of a herd by cow, then time; arrays are milkings, or milkings x quarters.

    `row`: their rows in the visits. `code`: the cow. `box`: a number per box, -1 where none is named. `fault`: 0 for
    a usable reading, else the place in `FAULTS`. `hours`: since the cow's last milking, NaN if unknown or over 36.
    `left`: the quarter's cup came off, or may have, at the milking before, so that milk was left in it.
    """

    row: np.ndarray
    cows: np.ndarray
    code: np.ndarray
    at: np.ndarray
    box: np.ndarray
    conductivity: np.ndarray
    fault: np.ndarray
    milk_kg: np.ndarray
    hours: np.ndarray
    left: np.ndarray

    def only(self, hers: np.ndarray) -> Milkings:
        """The milkings picked by a mask."""
        arrays = (self.code, self.at, self.box, self.conductivity, self.fault, self.milk_kg, self.hours, self.left)
        return Milkings(self.row[hers], self.cows, *(array[hers] for array in arrays))

    @property
    def usable(self) -> np.ndarray:
        """The usable readings in mS/cm, NaN elsewhere."""
        return np.where(self.fault == 0, self.conductivity, np.nan)


FAULTS = ("", KICKED_OFF, IMPOSSIBLE, STUCK, NO_READING, PERHAPS_OFF)


@dataclass(frozen=True, slots=True)
class Changes:
    """Per milking and quarter, as differences of logarithms; NaN where it cannot be told.

    `rise`: of the conductivity over the quarter's usual, as it was read; `change`: what is left of it when the sensor
    and the other quarters are taken off; `spread`: the standard deviation that is to be
    expected of it, by how much its sensor scatters and how restless the quarter is; `number`: the
    milkings that what is usual rests on; `usual`: that conductivity in mS/cm. `milk`: of the quarter's milk per hour,
    with what the other quarters do taken off; `milk_spread` as above.
    """

    rise: np.ndarray
    change: np.ndarray
    spread: np.ndarray
    number: np.ndarray
    usual: np.ndarray
    milk: np.ndarray
    milk_spread: np.ndarray


def milkings_of(tables: Tables) -> Milkings:
    """The visits that were milkings, whole or not, by cow, then time.

    A quarter whose cup came off, or may have, tells neither by its conductivity nor by its milk; and none of a milking
    that was broken off tells by its milk, for how much of it was left is not known. Nor does the quarter tell by its
    milk at the next milking: what was left then would make up for what an ill quarter is short of.
    """
    visits = tables.visits
    row = np.flatnonzero(milkings(visits))
    code, cows = pd.factorize(visits["cow"].to_numpy(object)[row], sort=True)
    at = visits["start"].to_numpy(np.int64)[row]
    order = np.lexsort((at, code))
    row, code, at = row[order], code[order], at[order]
    box, _ = pd.factorize(visits["box"].to_numpy(object)[row], sort=True)
    conductivity = visits[wide("conductivity_mS_cm")].to_numpy(float)[row]
    kicked, perhaps = cups_off(visits, row)
    milk = visits[wide("milk_kg")].to_numpy(float)[row]
    fault = np.zeros(conductivity.shape, np.int8)
    fault[stuck(box, at, code, conductivity)] = 3
    fault[perhaps] = 5
    fault[kicked] = 1
    fault[~((conductivity > 0) & np.isfinite(conductivity))] = 2
    fault[np.isnan(conductivity)] = 4
    hours = np.full(len(row), np.nan)
    apart = (at[1:] - at[:-1]).astype(float)
    hers = (code[1:] == code[:-1]) & (apart > 0) & (apart <= LONGEST_INTERVAL_S)
    hours[1:][hers] = apart[hers] / HOUR_S
    milk[kicked | perhaps | ~not_broken_off(visits["outcome"].to_numpy(object)[row])[:, None]] = np.nan
    left = np.zeros(kicked.shape, bool)
    left[1:] = hers[:, None] & (kicked | perhaps)[:-1]
    milk[left] = np.nan
    return Milkings(row, cows, code, at, box, conductivity, fault, milk, hours, left)


def asked_of(herd_milkings: Milkings, farm: FarmFacts) -> np.ndarray:
    """Which readings are asked for, milkings x quarters: of the asked cows those from a moment on and the last ones.

    A quarter's last reading of all and its last usable one are always among them: by them a rule knows how it stands.
    """
    read = np.asarray(~np.isnan(herd_milkings.conductivity))
    if farm.asked_cows is not None:
        asked_cows = farm.asked_cows
        read &= np.array([cow in asked_cows for cow in herd_milkings.cows], dtype=bool)[herd_milkings.code][:, None]
    asked = np.asarray(read & (herd_milkings.at >= farm.asked_from)[:, None])
    if asked.sum() == read.sum():
        return asked
    for kind in (read, read & (herd_milkings.fault == 0)):
        row, quarter = np.nonzero(kind)
        last = np.full((len(herd_milkings.cows), kind.shape[1]), -1)
        np.maximum.at(last, (herd_milkings.code[row], quarter), row)
        cow, quarter = np.nonzero(last >= 0)
        asked[last[cow, quarter], quarter] = True
    return asked


def changes_of(herd_milkings: Milkings, asked: np.ndarray, reach: int) -> tuple[Milkings, Changes, np.ndarray]:
    """The changes at the milkings with an asked reading, and at `reach` milkings before the first of each cow.

    Also these milkings themselves, and which of their readings are asked. All milkings show the sensors. Some
    cows are worked on at a time.
    """
    (first,) = in_parts(first_change, herd_milkings.code, herd_milkings.at, np.log(herd_milkings.usable))
    offset = sensor_offsets(herd_milkings.box, herd_milkings.at, first)
    sensor = sensor_spreads(herd_milkings.box, herd_milkings.at, first - offset, CONDUCTIVITY_SPREAD)
    here = np.asarray(asked.any(axis=1))
    if not here.all():
        near = _near(herd_milkings.code, here, reach + LEFT_OUT + 2 * USUAL_MILKINGS)
        herd_milkings, offset, sensor, asked = herd_milkings.only(near), offset[near], sensor[near], asked[near]
    rate = np.full(herd_milkings.milk_kg.shape, np.nan)
    gave = (herd_milkings.milk_kg > 0) & np.isfinite(herd_milkings.milk_kg) & ~np.isnan(herd_milkings.hours)[:, None]
    rate[gave] = np.log((herd_milkings.milk_kg / herd_milkings.hours[:, None])[gave])
    return (
        herd_milkings,
        Changes(
            *in_parts(
                _changes, herd_milkings.code, herd_milkings.at, np.log(herd_milkings.usable), offset, sensor, rate
            )
        ),
        asked,
    )


def _near(code: np.ndarray, asked: np.ndarray, back: int) -> np.ndarray:
    """The rows from so many before a cow's first asked one on."""
    row = np.arange(len(code))
    first = np.full(int(code.max(initial=0)) + 1, len(code))
    np.minimum.at(first, code[asked], row[asked])
    return np.asarray(row >= first[code] - back)


def first_change(code: np.ndarray, at: np.ndarray, level: np.ndarray) -> tuple[np.ndarray, ...]:
    """The change before anything is known of the sensors: what they are judged by."""
    usual, number = mean_before(level, reaches_from(code, at, USUAL_MILKINGS, FIRST_PAST_S))
    rise = np.where(number >= USUAL_FEWEST, level - usual, np.nan)
    return (rise - SHARED * of_the_others(rise, OTHERS_APART),)


def _changes(
    code: np.ndarray, at: np.ndarray, level: np.ndarray, offset: np.ndarray, sensor: np.ndarray, rate: np.ndarray
) -> tuple[np.ndarray, ...]:
    """The fields of `Changes` for some whole cows."""
    corrected = level - offset
    first, last = LEFT_OUT + 1, LEFT_OUT + USUAL_MILKINGS
    back = reaches_from(code, at, last, USUAL_PAST_S)
    lately = reaches_from(code, at, USUAL_MILKINGS, SPREAD_PAST_S)
    usual, number = middling(before(corrected, back, first, last), CONDUCTIVITY_APART)
    usual = np.where(number >= USUAL_FEWEST, usual, np.nan)
    own = corrected - usual
    change = own - SHARED * of_the_others(own, OTHERS_APART)
    spread = sensor * restlessness(change / sensor, lately)
    milk_usual, milk_number = middling(before(rate, back, first, last), MILK_APART)
    milk = np.where(milk_number >= USUAL_FEWEST, rate - milk_usual, np.nan)
    milk = milk - of_the_others(milk, MILK_OTHERS_APART)
    milk_spread = own_spread(milk, lately, USUAL_MILKINGS, MILK_SPREAD, MILK_MOST)
    return level - usual, change, spread, number, np.exp(usual), milk, milk_spread
