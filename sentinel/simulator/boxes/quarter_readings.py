"""What the boxes measured at each visit, in bulk: conductivity, milk and cups of the quarters, places of the teats.

A quarter's reading is its cow's own level, changed by everything that is known to change it: the stage of lactation,
the hours since the last milking, slow wanders of herd, cow and quarter, heat, an episode, a cup that came off, what an
incomplete milking left behind, the box's sensor, and chance.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.model import DAY_S
from sentinel.simulator.boxes.traffic import INCOMPLETE, MILKED, Visits
from sentinel.simulator.boxes.upkeep import Upkeep, calibrations
from sentinel.simulator.figures import HerdFigures, MilkFigures, MishapFigures, UdderFigures
from sentinel.simulator.herd.episodes import course, rise_course
from sentinel.simulator.herd.lactations import Lives, wander
from sentinel.simulator.plans.happenings import ARM, Plan, Sensor
from sentinel.simulator.spec import Calendar, Dice, HerdSpec, Numbers, Whole

LEAST_REST_H = 4.0


@dataclass(frozen=True, slots=True)
class QuarterReadings:
    """Per visit and quarter; NaN where nothing was measured."""

    conductivity: Numbers
    milk_kg: Numbers
    kicked_off: NDArray[np.bool_]
    teats_mm: Numbers


def measure_quarters(
    herd: HerdFigures,
    milk: MilkFigures,
    udder: UdderFigures,
    mishaps: MishapFigures,
    spec: HerdSpec,
    calendar: Calendar,
    lives: Lives,
    plan: Plan,
    upkeep: Upkeep,
    visits: Visits,
    dice: Dice,
) -> QuarterReadings:
    """The readings of all visits."""
    measured = np.isin(visits.outcome, (MILKED, INCOMPLETE))
    rows = visits.only(measured)
    cow, day = lives.lactations.cow[rows.lactation], calendar.day(rows.start)
    rows_of_place = _by_place(rows.place)
    off = _cups_off(plan, rows, rows_of_place, dice)
    before = _cups_off_before(rows, off)
    level = lives.cows.level[cow] * _normal_course(milk, calendar, lives, rows, cow, day, dice)
    level *= 1.0 + plan.hot[day][:, None]
    level *= _episodes(udder, plan, rows, rows_of_place, dice)
    level *= np.where(off, 1.0 + milk.kicked, 1.0) * np.where(before, 1.0 + milk.carry_over, 1.0)
    level *= _noise(milk, lives, rows, cow, dice)
    level *= _sensors(milk, spec, plan, rows, dice)
    _stick(level, plan, rows)
    full = (len(visits.start), 4)
    conductivity, kg = np.full(full, np.nan), np.full(full, np.nan)
    kicked, teats = np.zeros(full, dtype=bool), np.full((*full, 3), np.nan)
    if plan.reading_lost:
        level[off & (dice.of("readings lost").random(off.shape) < plan.reading_lost)] = np.nan
    conductivity[measured], kicked[measured] = level, off
    kg[measured] = _milk(herd, calendar, lives, plan, rows, cow, day, rows_of_place, off, before, dice)
    teats[measured] = _teats(mishaps, spec, calendar, lives, plan, upkeep, rows, cow, day, dice)
    return QuarterReadings(conductivity, kg, kicked, teats)


def _by_place(place: Whole) -> dict[int, Whole]:
    """The rows of each place of the herd, in order of time."""
    order = np.argsort(place, kind="stable")
    starts = np.flatnonzero(np.diff(place[order], prepend=-1))
    return {int(place[order[s]]): part for s, part in zip(starts, np.split(order, starts[1:]), strict=True)}


def _cups_off(plan: Plan, rows: Visits, rows_of_place: dict[int, Whole], dice: Dice) -> NDArray[np.bool_]:
    """Which quarters' cups came off: one, sometimes more, at an incomplete milking; that of a sore quarter alone."""
    rng, n = dice.of("cups"), len(rows.start)
    off = np.zeros((n, 4), dtype=bool)
    off[np.arange(n), rng.integers(0, 4, size=n)] = True
    off |= rng.random((n, 4)) < 0.15
    for kicks in plan.kicks:
        hers = rows_of_place.get(kicks.place, np.empty(0, np.int64))
        hers = hers[(rows.start[hers] >= kicks.start) & (rows.start[hers] < kicks.until)]
        off[hers] = np.arange(4) == kicks.quarter
    return np.asarray(off & (rows.outcome == INCOMPLETE)[:, None])


def _cups_off_before(rows: Visits, off: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Which quarters were left half milked at the same cow's milking before."""
    order = np.lexsort((rows.start, rows.lactation))
    before = np.zeros_like(off)
    same = rows.lactation[order][1:] == rows.lactation[order][:-1]
    before[order[1:]] = off[order[:-1]] & same[:, None]
    return before


def _normal_course(
    milk: MilkFigures, calendar: Calendar, lives: Lives, rows: Visits, cow: Whole, day: Whole, dice: Dice
) -> Numbers:
    """The factor of stage of lactation, hours since the last milking, and the slow wanders; visit x quarter."""
    age = (rows.start - lives.lactations.calved[rows.lactation]) / DAY_S
    stage = milk.fresh * np.exp(-np.maximum(age, 0) / milk.fresh_d) + milk.late * np.clip((age - 60) / 250, 0, 1.2)
    hours = np.clip(rows.hours, LEAST_REST_H, 30.0)
    rest = milk.per_hour * (hours - 9.2) + milk.leak_per_hour * np.maximum(hours - milk.leak_over_h, 0.0)
    shape = (len(lives.cows.numbers), calendar.days)
    own = wander(shape, milk.day_memory, milk.cow_day, dice.of("cow days"))[cow, day]
    herd = wander((1, calendar.days), milk.day_memory, milk.herd_day, dice.of("herd days"))[0, day]
    quarters = wander((*shape, 4), milk.day_memory, milk.quarter_day, dice.of("quarter days"))[cow, day]
    return np.asarray((1.0 + stage + rest + own + herd)[:, None] + quarters)


def _episodes(udder: UdderFigures, plan: Plan, rows: Visits, rows_of_place: dict[int, Whole], dice: Dice) -> Numbers:
    """The factor of the udder episodes, whose rise wavers from milking to milking, and of the cows' off days."""
    rng = dice.of("flicker")
    factor = np.ones((len(rows.start), 4))
    for one in plan.udder:
        hers = rows_of_place.get(one.place, np.empty(0, np.int64))
        at = rows.start[hers]
        hers = hers[(at >= one.start) & (at < one.until)]
        waver = np.exp(udder.flicker * rng.standard_normal(len(hers)) - udder.flicker**2 / 2)
        factor[hers, one.quarter] *= 1.0 + one.rise * rise_course(one, rows.start[hers]) * waver
    for day in plan.off_days:
        hers = rows_of_place.get(day.place, np.empty(0, np.int64))
        inside = hers[(rows.start[hers] >= day.start) & (rows.start[hers] < day.until)]
        factor[inside] *= 1.0 + day.rise * np.exp(0.15 * rng.standard_normal((len(inside), 4)))
    return factor


def _noise(milk: MilkFigures, lives: Lives, rows: Visits, cow: Whole, dice: Dice) -> Numbers:
    """Chance: of the milking, of each reading (more with some cows), and now and then an odd one."""
    rng, n = dice.of("noise"), len(rows.start)
    tail = milk.reading_tail
    readings = rng.standard_t(tail, (n, 4)) * np.sqrt((tail - 2) / tail) * milk.reading
    noise = (readings + milk.milking * rng.standard_normal((n, 1))) * lives.cows.noise[cow][:, None]
    draw, size = rng.random((n, 4)), rng.uniform(milk.odd_least, milk.odd_most, (n, 4))
    odd = np.where(draw < milk.odd_high, size, np.where(draw > 1 - milk.odd_low, -size, 0.0))
    return np.asarray((1.0 + noise) * (1.0 + odd))


def _sensors(milk: MilkFigures, spec: HerdSpec, plan: Plan, rows: Visits, dice: Dice) -> Numbers:
    """The factor of the sensor that read it: no two are quite alike, and one reads high from some day on."""
    own = 1.0 + milk.box_sensor * dice.of("sensor places").standard_normal((spec.boxes, 4))
    factor = own[rows.box]
    for sensor in plan.sensors:
        seen = _read_by(sensor, rows)
        factor[seen, sensor.quarter] *= 1.0 + sensor.rise + sensor.a_day * (rows.start[seen] - sensor.start) / DAY_S
    return np.asarray(factor)


def _read_by(sensor: Sensor, rows: Visits) -> NDArray[np.bool_]:
    return np.asarray((rows.box == sensor.box) & (rows.start >= sensor.start) & (rows.start < sensor.until))


def _stick(level: Numbers, plan: Plan, rows: Visits) -> None:
    """A stuck sensor gives the value of its first milking again and again."""
    for sensor in plan.sensors:
        seen = np.flatnonzero(_read_by(sensor, rows))
        if sensor.stuck and len(seen):
            level[seen, sensor.quarter] = level[seen[0], sensor.quarter]


def _milk(
    herd: HerdFigures,
    calendar: Calendar,
    lives: Lives,
    plan: Plan,
    rows: Visits,
    cow: Whole,
    day: Whole,
    rows_of_place: dict[int, Whole],
    off: NDArray[np.bool_],
    before: NDArray[np.bool_],
    dice: Dice,
) -> Numbers:
    """The visit's milk by quarter; one with an episode gives less, one whose cup came off a part."""
    rng, n = dice.of("quarter milk"), len(rows.start)
    slow = wander((len(lives.cows.numbers), calendar.days, 4), herd.yield_memory, herd.quarter_drift, rng)
    part = lives.cows.share[cow] * np.exp(herd.quarter_milking * rng.standard_normal((n, 4)) + slow[cow, day])
    part *= np.where(before, 1.0 + herd.left_behind, 1.0)
    part = np.where(off, part * rng.uniform(0.1, 0.5, size=(n, 4)), part)
    for one in plan.udder:
        hers = rows_of_place.get(one.place, np.empty(0, np.int64))
        part[hers, one.quarter] *= 1.0 - one.quarter_loss * course(one, rows.start[hers])
    return np.asarray(rows.milk_kg[:, None] * part / part.sum(axis=1, keepdims=True))


def _teats(
    mishaps: MishapFigures,
    spec: HerdSpec,
    calendar: Calendar,
    lives: Lives,
    plan: Plan,
    upkeep: Upkeep,
    rows: Visits,
    cow: Whole,
    day: Whole,
    dice: Dice,
) -> Numbers:
    """Where the box saw the teats: her udder, how she stood, how full she was, the box's own origin, an arm's shift."""
    rng, n, m = dice.of("teats"), len(rows.start), mishaps
    udder = wander((len(lives.cows.numbers), calendar.days, 3), 0.97, m.teats_drift_mm, rng)[cow, day]
    stand = m.teats_stand_mm * rng.standard_normal((n, 3)) + udder
    stand[:, 2] -= m.teats_hour_mm * (np.clip(rows.hours, 0, 24) - 9.2)
    for box, name in enumerate(spec.box_names):
        set_at = calibrations(upkeep, name)
        origin = m.box_origin_mm * rng.standard_normal(3)
        origin = origin + m.calibration_mm * rng.standard_normal((len(set_at) + 1, 3))
        seen = rows.box == box
        stand[seen] += origin[np.searchsorted(set_at, rows.start[seen], side="right")]
    for fault in plan.faults:
        if fault.kind == ARM:
            seen = (rows.box == fault.box) & (rows.start >= fault.start) & (rows.start < fault.until)
            stand[seen, fault.axis] += fault.shift_mm
    return np.asarray(lives.cows.teats_mm[cow] + stand[:, None] + m.teats_each_mm * rng.standard_normal((n, 4, 3)))
