"""Drawing what will happen, from the rates and sizes in `figures`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.random import Generator

from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.simulator.figures import MilkFigures, MishapFigures, UdderFigures
from sentinel.simulator.herd.lactations import Lives
from sentinel.simulator.plans.happenings import (
    ARM,
    CHRONIC,
    CLINICAL,
    OPTICS,
    SPIKE,
    SUBCLINICAL,
    BoxFault,
    Disturbed,
    Fails,
    Off,
    OffDay,
    Plan,
    Sensor,
    Spell,
    Stop,
    Udder,
)
from sentinel.simulator.spec import QUIET_DAYS, Calendar, Dice, HerdSpec

YEAR_D = 365.0
APART_D = 21
"""Between two episodes of a quarter, so that each can be told from the other (assumption)."""


def make_plan(
    udder: UdderFigures,
    milk: MilkFigures,
    mishaps: MishapFigures,
    spec: HerdSpec,
    calendar: Calendar,
    lives: Lives,
    dice: Dice,
) -> Plan:
    """Everything that will happen to this herd."""
    m = mishaps
    hot, hot_spells = _heat(m, calendar, dice.of("heat"))
    years = (calendar.until - calendar.begin) / (YEAR_D * DAY_S)
    drift = milk.herd_drift_size if dice.of("herd cells").random() < milk.herd_drift else 0.05
    progress = np.arange(calendar.days) / calendar.days
    tank, exports = dice.of("tank"), dice.of("exports")
    outages = _spells(exports, m.outages * years, calendar, m.outage_h * HOUR_S, 0.6, (1.0, 1.0))
    return Plan(
        udder=tuple(plant_udder(udder, calendar, lives, dice)),
        faults=tuple(_faults(m, spec, calendar, dice.of("boxes"))),
        stops=tuple(_stops(m, spec, calendar, dice.of("stops"))),
        fails=tuple(_fails(m, calendar, lives, dice.of("fails"))),
        off=tuple(_off(m, calendar, lives, dice.of("off"))),
        off_days=tuple(_off_days(m, calendar, lives, dice.of("off days"))),
        disturbed=tuple(_disturbed(m, calendar, dice.of("disturbed"))),
        sensors=tuple(_sensors(m, milk, spec, calendar, dice.of("sensors"))),
        hot=hot,
        hot_spells=hot_spells,
        herd_cells=np.exp(drift * progress),
        tank=tuple(_spells(tank, m.tank_fault * years, calendar, 7 * HOUR_S, 0.4, (5.0, 9.0))),
        dirty=tuple(_spells(tank, m.dirty * years, calendar, 10 * DAY_S, 0.3, (0.6 * m.dirty_factor, m.dirty_factor))),
        outages=tuple(outages),
        mistyped=tuple(
            np.sort(exports.integers(*planted(calendar), size=exports.poisson(m.mistyped * years))).tolist()
        ),
    )


def planted(calendar: Calendar) -> tuple[int, int]:
    """From when until when something may begin."""
    return calendar.begin + QUIET_DAYS * DAY_S, calendar.until - DAY_S // 2


def plant_udder(figures: UdderFigures, calendar: Calendar, lives: Lives, dice: Dice) -> Iterator[Udder]:
    """Udder episodes: clinical, subclinical and short spikes, by the cows' days in milk; never two close together."""
    begin, end = planted(calendar)
    first_day, last_day = calendar.day(np.array([begin, end]))
    age = lives.days_in_milk[:, first_day : last_day + 1]
    taken = list(_chronic(figures, calendar, lives, dice.of(CHRONIC)))
    yield from taken
    ill: dict[int, int] = {}
    for kind, rate in ((CLINICAL, figures.clinical), (SUBCLINICAL, figures.subclinical), (SPIKE, figures.spike)):
        rng = dice.of(kind)
        fresh = np.where(age < 30, figures.clinical_fresh, 0.85) if kind == CLINICAL else 1.0
        chance = np.where(age > 6, rate * fresh / YEAR_D, 0.0)
        for place, day in np.argwhere(rng.random(age.shape) < chance).tolist():
            start = calendar.first + (day + int(first_day)) * DAY_S + int(rng.integers(DAY_S))
            quarter = int(rng.choice(4, p=(0.21, 0.21, 0.29, 0.29)))
            lactation = int(lives.lactation[place, day + first_day])
            made = _episode(kind, figures, lives, place, lactation, quarter, start, rng)
            room = begin <= start < end and start < lives.lactations.dry[lactation] - 3 * DAY_S
            near = abs(start - ill.get(place, 0)) < APART_D * DAY_S and kind == CLINICAL
            if room and not near and _free(taken, made):
                taken.append(made)
                if kind == CLINICAL:
                    ill[place] = start
                yield made


def _chronic(f: UdderFigures, calendar: Calendar, lives: Lives, rng: Generator) -> Iterator[Udder]:
    """Quarters that were infected before the first day and stay so for weeks; nobody saw them begin."""
    for place, quarter in np.argwhere(rng.random((len(lives.lactation), 4)) < f.chronic).tolist():
        lactation = int(lives.lactation[place, 0])
        episode = _episode(SUBCLINICAL, f, lives, place, max(lactation, 0), quarter, calendar.first - DAY_S, rng)
        if lactation >= 0:
            hold_s = int(DAY_S * rng.exponential(f.chronic_d))
            yield replace(episode, kind=CHRONIC, start=calendar.first - DAY_S - episode.grow_s, hold_s=hold_s)


def _free(taken: list[Udder], made: Udder) -> bool:
    """Whether no other episode of the same quarter is within `APART_D` days of this one."""
    apart = APART_D * DAY_S
    same_quarter = [one for one in taken if (one.place, one.quarter) == (made.place, made.quarter)]
    return all(made.start >= one.until + apart or made.until + apart <= one.start for one in same_quarter)


def around(rng: Generator, median: float, spread: float, low: float = 0.25, high: float = 4.0) -> float:
    """A size around its median, lognormal, within sense."""
    return float(median * np.clip(np.exp(spread * rng.standard_normal()), low, high))


def _episode(
    kind: str, f: UdderFigures, lives: Lives, place: int, lactation: int, quarter: int, start: int, rng: Generator
) -> Udder:
    """One episode with its course."""
    shape, severe, withheld, cow_loss = "usual", False, (0, 0), 0.0
    if kind == CLINICAL:
        draw = rng.random()
        shape = "barely" if draw < f.barely else "single" if draw < f.barely + f.single else "usual"
        rise = around(rng, f.clinical_rise, f.clinical_spread)
        grow, hold, fade = (around(rng, h, 0.5) for h in (f.clinical_grow_h, f.clinical_hold_h, f.clinical_fade_h))
        if shape == "barely":
            rise = f.barely_rise * float(rng.uniform(0.3, 1.7))
        severe = shape != "barely" and bool(rng.random() < f.severe)
        loss, cow_loss = around(rng, f.clinical_yield, f.clinical_yield_spread, 0.1, 4.0), f.severe_yield * severe
        cells = around(rng, f.clinical_cells_k_ml, 0.5)
        noticed = start + int(HOUR_S * (8 + rng.gamma(2.0, (f.noticed_h - 8) / 2)))
        withheld = (noticed, noticed + int(around(rng, f.withheld_d, 0.25) * DAY_S))
    elif kind == SUBCLINICAL:
        shape = "flat" if rng.random() < f.subclinical_flat else "usual"
        rise = around(rng, f.subclinical_rise, f.subclinical_spread)
        rise = rise if shape == "usual" else 0.02 * float(rng.random())
        grow, hold = around(rng, f.subclinical_grow_h, 0.5), around(rng, f.subclinical_hold_d * 24, 0.6)
        fade, loss, cells = around(rng, 120.0, 0.4), f.subclinical_yield, around(rng, f.subclinical_cells_k_ml, 0.7)
    else:
        rise = around(rng, f.spike_rise, 0.4)
        grow, hold, fade = (around(rng, h, 0.4) for h in (4.0, f.spike_hours, 12.0))
        loss, cells = 0.04, around(rng, 600.0, 0.5)
    cow, dry = int(lives.lactations.cow[lactation]), int(lives.lactations.dry[lactation])
    grow_s, hold_s, fade_s = (int(HOUR_S * h) for h in (grow, hold, fade))
    if shape == "single":  # up within hours; the reading is usual again after a milking or two, the illness goes on
        grow_s = 2 * HOUR_S
    fade_s = min(fade_s, max(dry - start - grow_s - hold_s, HOUR_S))
    return Udder(
        kind=kind,
        shape=shape,
        place=place,
        cow=cow,
        lactation=lactation,
        quarter=quarter,
        start=start,
        grow_s=grow_s,
        hold_s=hold_s,
        fade_s=fade_s,
        rise=rise,
        quarter_loss=loss,
        cow_loss=cow_loss,
        cells_k_ml=cells,
        withheld=withheld,
        severe=severe,
    )


def _faults(m: MishapFigures, spec: HerdSpec, calendar: Calendar, rng: Generator) -> Iterator[BoxFault]:
    """Arms out of line and fouled optics, at each box one after the other."""
    begin, end = planted(calendar)
    years = (end - begin) / (YEAR_D * DAY_S)
    for box in range(spec.boxes):
        starts = [(int(rng.integers(begin, end - DAY_S // 2)), ARM) for _ in range(rng.poisson(m.arm * years))]
        starts += [(int(rng.integers(begin, end - DAY_S // 2)), OPTICS) for _ in range(rng.poisson(m.optics * years))]
        free = 0
        for start, kind in sorted(starts):
            fault = drawn_fault(m, kind, box, start, rng)
            if start > free and fault.until < calendar.until:
                free = fault.until + 2 * DAY_S
                yield fault


def drawn_fault(m: MishapFigures, kind: str, box: int, start: int, rng: Generator) -> BoxFault:
    """An arm out of line or fouled optics at a box, as large and as long as chance has it."""
    if kind == ARM:
        until = start + int(HOUR_S * around(rng, m.arm_hours, 0.45, 0.4, 2.5))
        size = float(rng.uniform(m.arm_least_mm, m.arm_most_mm))
        past = max(size - 3.0, 0.5)
        return BoxFault(
            ARM,
            box,
            start,
            0,
            until,
            m.arm_failed_per_mm * past,
            m.arm_incomplete_per_mm * past,
            m.arm_attach_per_mm * past,
            int(rng.integers(3)),
            size * (1 if rng.random() < 0.5 else -1),
        )
    until = start + int(HOUR_S * around(rng, m.optics_hours, 0.35, 0.6, 2.5))
    size = around(rng, 1.0, 0.3, 0.5, 2.0)
    grow = int(HOUR_S * around(rng, m.optics_grow_h, 0.3, 0.5, 2.0))
    return BoxFault(
        OPTICS,
        box,
        start,
        grow,
        until,
        min(m.optics_failed * size, 0.5),
        0.02,
        m.optics_attach * size,
        hasty=bool(rng.random() < m.hasty),
    )


def _stops(m: MishapFigures, spec: HerdSpec, calendar: Calendar, rng: Generator) -> Iterator[Stop]:
    """Boxes that stand still."""
    begin, end = planted(calendar)
    for box in range(spec.boxes):
        count = rng.poisson(m.stopped * (end - begin) / (YEAR_D * DAY_S))
        free = 0
        for start in np.sort(rng.integers(begin, end, size=count)).tolist():
            until = start + int(60 * around(rng, m.stopped_min, 0.7, 0.2, 5.0))
            if start > free:
                free = until + DAY_S
                yield Stop(box, start, until)


def _cows_in_milk(rate: float, calendar: Calendar, lives: Lives, rng: Generator) -> Iterator[tuple[int, int, int]]:
    """(place, cow, moment) of things that happen to cows in milk at a rate per cow and year."""
    begin, end = planted(calendar)
    days = calendar.day(np.array([begin, end]))
    age = lives.days_in_milk[:, days[0] : days[1]]
    for place, day in np.argwhere((rng.random(age.shape) < rate / YEAR_D) & (age > 4)).tolist():
        lactation = lives.lactation[place, day + days[0]]
        start = calendar.first + (day + int(days[0])) * DAY_S + int(rng.integers(DAY_S))
        if begin <= start < end and start < lives.lactations.dry[lactation] - 4 * DAY_S:
            yield place, int(lives.lactations.cow[lactation]), start


def _fails(m: MishapFigures, calendar: Calendar, lives: Lives, rng: Generator) -> Iterator[Fails]:
    for place, cow, start in _cows_in_milk(m.fails, calendar, lives, rng):
        until = start + int(DAY_S * around(rng, m.fails_days, 0.4, 0.4, 2.0))
        yield Fails(place, cow, start, until, float(rng.uniform(0.5, 0.9)))


def _off(m: MishapFigures, calendar: Calendar, lives: Lives, rng: Generator) -> Iterator[Off]:
    for place, cow, start in _cows_in_milk(m.yield_drop, calendar, lives, rng):
        until = start + int(DAY_S * around(rng, m.yield_drop_days, 0.4))
        yield Off(place, cow, start, until, min(around(rng, m.yield_drop_size, 0.4), 0.7))


def _off_days(m: MishapFigures, calendar: Calendar, lives: Lives, rng: Generator) -> Iterator[OffDay]:
    """Hours in which a cow's four quarters read high together."""
    for place, cow, start in _cows_in_milk(m.off_day, calendar, lives, rng):
        until = start + int(HOUR_S * around(rng, m.off_day_hours, 0.35))
        yield OffDay(place, cow, start, until, around(rng, m.off_day_rise, 0.45))


def _disturbed(m: MishapFigures, calendar: Calendar, rng: Generator) -> Iterator[Disturbed]:
    """Days of flies or unrest: from mid-morning to evening."""
    begin, end = planted(calendar)
    days = range(int(calendar.day(np.array(begin))), int(calendar.day(np.array(end))))
    for day in days:
        if rng.random() < m.disturbed / YEAR_D:
            start = calendar.first + day * DAY_S + int(HOUR_S * rng.uniform(8, 11))
            until = start + int(HOUR_S * rng.uniform(7, 12))
            yield Disturbed(start, until, around(rng, m.disturbed_failed, 0.4, 0.4, 3.0))


def _heat(m: MishapFigures, calendar: Calendar, rng: Generator) -> tuple[np.ndarray, tuple[Spell, ...]]:
    """Per day how much all conductivities rise, and the hot spells."""
    rise = np.zeros(calendar.days)
    spells: list[Spell] = []
    begin = int(calendar.day(np.array(calendar.begin + QUIET_DAYS * DAY_S)))
    for day in range(begin, calendar.days - 1):
        if rng.random() < m.hot / YEAR_D and not rise[day]:
            size = around(rng, m.hot_rise, 0.35)
            length = 1 + rng.poisson(m.hot_days - 1)
            rise[day : day + length] = size * rng.uniform(0.7, 1.3, size=len(rise[day : day + length]))
            start = calendar.first + day * DAY_S
            spells.append(Spell(start, start + int(length) * DAY_S, size))
    return rise, tuple(spells)


def _sensors(
    m: MishapFigures, milk: MilkFigures, spec: HerdSpec, calendar: Calendar, rng: Generator
) -> Iterator[Sensor]:
    """One sensor that reads high from some day on, and one that sticks for a day or so."""
    begin, end = planted(calendar)
    start = int(rng.integers(begin + (end - begin) // 4, begin + 3 * (end - begin) // 4))
    box, quarter = int(rng.integers(spec.boxes)), int(rng.integers(4))
    yield Sensor(box, quarter, start, calendar.until, around(rng, m.sensor_high, 0.3, 0.6, 1.8))
    start = int(rng.integers(begin, end))
    until = start + int(HOUR_S * around(rng, milk.stuck_hours, 0.4))
    yield Sensor(int(rng.integers(spec.boxes)), (quarter + 1) % 4, start, until, stuck=True)


def _spells(
    rng: Generator, mean: float, calendar: Calendar, median_s: float, spread: float, sizes: tuple[float, float]
) -> Iterator[Spell]:
    """Spells at chance moments, one after the other, a day apart at least."""
    begin, end = planted(calendar)
    free = 0
    for start in np.sort(rng.integers(begin, end, size=rng.poisson(mean))).tolist():
        until = start + int(around(rng, median_s, spread))
        if start > free and until < calendar.until:
            free = until + DAY_S
            yield Spell(start, until, float(rng.uniform(*sizes)))
