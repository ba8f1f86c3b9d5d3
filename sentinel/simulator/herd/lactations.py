"""The cows and their lactations: who stands in the herd when, how much she gives, how she comes and attaches.

A herd has *places*; a cow keeps hers through lactation and dry time, until she leaves and a heifer takes it over.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.model import DAY_S
from sentinel.simulator.figures import HerdFigures, MilkFigures
from sentinel.simulator.spec import Calendar, Dice, HerdSpec, Numbers, Whole
from sentinel.simulator.week.herd import INTERVAL_FACTOR, TEATS_MM, TEATS_SPREAD_MM, stage_factor


@dataclass(frozen=True, slots=True)
class Cows:
    """Every cow that is ever in the herd, one in each place of the arrays."""

    numbers: tuple[str, ...]
    failed: Numbers
    attach_s: Numbers
    flow_kg_min: Numbers
    kg_h: Numbers
    interval: Numbers
    liking: Numbers  # cow x box
    noise: Numbers
    level: Numbers  # cow x quarter, mS/cm
    share: Numbers  # cow x quarter, sums to 1
    teats_mm: Numbers  # cow x quarter x axis
    cells: Numbers


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


def make_lives(herd: HerdFigures, milk: MilkFigures, spec: HerdSpec, calendar: Calendar, dice: Dice) -> Lives:
    """The herd of one spec: `spec.cows` in milk on the first day, and as many dry ones as keep it so."""
    rng = dice.of("lives")
    dry = round(spec.cows * herd.dry_d / herd.lactation_d)
    spells, cows_in_all = _spells(herd, spec, calendar, dry, rng)
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
    herd: HerdFigures, spec: HerdSpec, calendar: Calendar, dry: int, rng: np.random.Generator
) -> tuple[list[tuple[int, int, int, int, int, bool]], int]:
    """(place, cow, lactation number, calved, dry, left) of every lactation that touches the calendar; cows in all."""
    spells, cows = [], 0
    for place in range(spec.cows + dry):
        number, cow = int(min(rng.geometric(herd.lactation_stop), 7)), cows
        cows += 1
        length = max(herd.lactation_d + herd.lactation_spread_d * rng.standard_normal(), 200.0)
        rest = max(herd.dry_d + herd.dry_spread_d * rng.standard_normal(), 30.0)
        phase = rng.uniform(1, length - 8) if place < spec.cows else length + rng.uniform(0, rest)
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


def make_cows(herd: HerdFigures, milk: MilkFigures, n: int, boxes: int, dice: Dice) -> Cows:
    """`n` cows of one herd; the herd's own level of conductivity and of failures is drawn as well."""
    rng = dice.of("cows")
    numbers = rng.permutation(np.arange(11, 11 + 3 * n))[:n]
    failed = herd.failed * np.exp(herd.failed_herds * rng.standard_normal())
    of_herd = milk.level_mS_cm + milk.level_herds_mS_cm * rng.standard_normal()
    level = of_herd + milk.level_cows_mS_cm * rng.standard_normal((n, 1))
    rear = np.clip(herd.rear_share + 0.03 * rng.standard_normal(n), 0.46, 0.66)
    share = np.stack([1 - rear, 1 - rear, rear, rear], axis=1) / 2 * (1 + 0.06 * rng.standard_normal((n, 4)))
    teats = TEATS_MM + TEATS_SPREAD_MM * rng.standard_normal((n, 1, 3))
    return Cows(
        numbers=tuple(str(x) for x in numbers.tolist()),
        failed=np.clip(rng.beta(failed * herd.failed_cows, (1 - failed) * herd.failed_cows, size=n), 0.001, 0.6),
        attach_s=herd.attach_s * np.exp(herd.attach_cows * rng.standard_normal(n)),
        flow_kg_min=np.clip(herd.flow_kg_min + herd.flow_spread_kg_min * rng.standard_normal(n), 1.4, 4.2),
        kg_h=herd.yield_kg_h * np.exp(herd.yield_cows * rng.standard_normal(n)),
        interval=np.exp(0.10 * rng.standard_normal(n)),
        liking=rng.dirichlet(np.full(boxes, 4.0), size=n),
        noise=np.exp(milk.noisy_cows * rng.standard_normal(n)),
        level=np.clip(level + milk.level_quarters_mS_cm * rng.standard_normal((n, 4)), 3.6, 6.2),
        share=share / share.sum(axis=1, keepdims=True),
        teats_mm=teats + np.array([8.0, 5.0, 6.0]) * rng.standard_normal((n, 4, 3)),
        cells=milk.cells_k_ml * np.exp(milk.cells_cows * rng.standard_normal(n)),
    )


_STAGES = np.concatenate([stage_factor(np.arange(0.0, 320.0)), np.full(100, stage_factor(np.arange(0.0, 320.0))[-1])])


def stage_factor_at(days_in_milk: Numbers) -> Numbers:
    """Yield at a stage over the mean of a whole lactation.

    >>> stage_factor_at(np.array([10.0, 55.0, 300.0])).round(2).tolist()
    [1.03, 1.23, 0.71]
    """
    return np.asarray(_STAGES[np.clip(days_in_milk.astype(np.int64), 0, len(_STAGES) - 1)])


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


def interval_factor(days_in_milk: float) -> tuple[int, float]:
    """Milkings a day she is allowed at a stage, and her mean interval over the herd's (assumption: as in the demo)."""
    allowed = 4 if days_in_milk < 100 else 3 if days_in_milk < 230 else 2
    return allowed, INTERVAL_FACTOR[allowed]


def gone_at(lives: Lives) -> dict[str, int]:
    """When each cow that leaves the herd is taken off its list: as the heifer that follows her calves."""
    spells = lives.lactations
    gone = {}
    for mine in spells.of_place:
        for this, following in pairwise(mine):
            if spells.left[this]:
                gone[lives.cows.numbers[spells.cow[this]]] = int(spells.calved[following])
    return gone
