"""The cows' lactations: who stands in the herd when, and how much she gives from day to day.

A herd has *places*; a cow keeps hers through lactation and dry time, until she leaves and a heifer takes it over.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.model import DAY_S
from sentinel.simulator.figures import HerdFigures, MilkFigures
from sentinel.simulator.herd.cows import Cows, make_cows, stage_factor_at
from sentinel.simulator.spec import Calendar, Dice, HerdSpec, Numbers, Whole


@dataclass(frozen=True, slots=True)
class Lactations:
    """One lactation of one cow in one place, from calving to drying off (UTC seconds)."""

    place: Whole
    cow: Whole
    number: Whole
    calved: Whole
    dry: Whole
    left: NDArray[np.bool_]  # she leaves the herd after it
    of_place: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Lives:
    """The herd through time. Day arrays are place x day; `lactation` is -1 where nobody is in milk."""

    cows: Cows
    lactations: Lactations
    lactation: Whole
    days_in_milk: Numbers
    kg_h: Numbers


FRESHEST_D = 25
"""Days in milk of the freshest cow of a steady herd on the first day (assumption)."""
DRIED_LATER_D = 8
"""So many days after the last one the first cow of a steady herd is dried off (assumption)."""


def make_lives(
    herd: HerdFigures, milk: MilkFigures, spec: HerdSpec, calendar: Calendar, dice: Dice, *, steady: bool = False
) -> Lives:
    """The herd of one spec: `spec.cows` in milk on the first day, and as many dry ones as keep it so.

    `steady`: nobody calves, is fresh or is dried off within these days, which must be few.
    """
    rng = dice.of("lives")
    dry = round(spec.cows * herd.dry_d / herd.lactation_d)
    spells, cows_in_all = _spells(herd, spec, calendar, dry, rng, steady)
    lactations = Lactations(
        place=np.array([s[0] for s in spells], dtype=np.int64),
        cow=np.array([s[1] for s in spells], dtype=np.int64),
        number=np.array([s[2] for s in spells], dtype=np.int64),
        calved=np.array([s[3] for s in spells], dtype=np.int64),
        dry=np.array([s[4] for s in spells], dtype=np.int64),
        left=np.array([s[5] for s in spells], dtype=bool),
        of_place=tuple(tuple(n for n, s in enumerate(spells) if s[0] == place) for place in range(spec.cows + dry)),
    )
    cows = make_cows(herd, milk, cows_in_all, spec.boxes, dice)
    lactation, age = _by_day(lactations, calendar, spec.cows + dry)
    known = np.maximum(lactation, 0)
    of = lactations.cow[known]
    first = np.where(lactations.number[known] == 1, 0.82, 1.06)
    kg_h = cows.kg_h[of] * stage_factor_at(np.nan_to_num(age)) * first
    kg_h *= 1.0 + wander(kg_h.shape, herd.yield_memory, herd.yield_drift, dice.of("yield"))
    return Lives(cows, lactations, lactation, age, np.where(lactation >= 0, kg_h, 0.0))


def _spells(
    herd: HerdFigures, spec: HerdSpec, calendar: Calendar, dry: int, rng: np.random.Generator, steady: bool
) -> tuple[list[tuple[int, int, int, int, int, bool]], int]:
    """(place, cow, lactation number, calved, dry, left) of every lactation that touches the calendar; cows in all."""
    spells, cows = [], 0
    for place in range(spec.cows + dry):
        number, cow = int(min(rng.geometric(herd.lactation_stop), 7)), cows
        cows += 1
        length = max(herd.lactation_d + herd.lactation_spread_d * rng.standard_normal(), 200.0)
        rest = max(herd.dry_d + herd.dry_spread_d * rng.standard_normal(), 30.0)
        youngest, later = (FRESHEST_D, spec.days + DRIED_LATER_D) if steady else (1, 8)
        still = max(rest - spec.days - 1, 0.0) if steady else rest
        phase = rng.uniform(youngest, length - later) if place < spec.cows else length + rng.uniform(0, still)
        calved = calendar.begin - int(phase * DAY_S)
        while calved < calendar.until:
            left = bool(rng.random() < herd.replaced)
            off = calved + int(length * DAY_S)
            spells.append((place, cow, number, calved, off, left))
            calved = off + int(rest * DAY_S)
            number = 1 if left else min(number + 1, 8)
            length = max(herd.lactation_d + herd.lactation_spread_d * rng.standard_normal(), 200.0)
            rest = max(herd.dry_d + herd.dry_spread_d * rng.standard_normal(), 30.0)
            if left:
                cow, cows = cows, cows + 1
    return spells, cows


def _by_day(lactations: Lactations, calendar: Calendar, places: int) -> tuple[Whole, Numbers]:
    """Which lactation stands in each place on each day at noon (-1: none), and how many days old it is."""
    lactation = np.full((places, calendar.days), -1, dtype=np.int64)
    noon = calendar.first + np.arange(calendar.days) * DAY_S + DAY_S // 2
    for n, (place, calved, dry) in enumerate(zip(lactations.place, lactations.calved, lactations.dry, strict=True)):
        lactation[place, (noon >= calved - DAY_S // 2) & (noon < dry + DAY_S // 2)] = n
    age = (noon - lactations.calved[np.maximum(lactation, 0)]) / DAY_S
    return lactation, np.where(lactation >= 0, age, np.nan)


def wander(shape: tuple[int, ...], memory: float, size: float, rng: np.random.Generator) -> Numbers:
    """A slow wander along the second axis about 0 with standard deviation `size`, remembering `memory` of itself."""
    steps = size * rng.standard_normal(shape)
    steps[:, 1:] *= np.sqrt(1 - memory**2)
    for day in range(1, shape[1]):
        steps[:, day] += memory * steps[:, day - 1]
    return steps


def gone_at(lives: Lives) -> dict[str, int]:
    """When each cow that leaves the herd is taken off its list: as the heifer that follows her calves."""
    spells = lives.lactations
    gone = {}
    for spells_of_cow in spells.of_place:
        for this, following in pairwise(spells_of_cow):
            if spells.left[this]:
                gone[lives.cows.numbers[spells.cow[this]]] = int(spells.calved[following])
    return gone
