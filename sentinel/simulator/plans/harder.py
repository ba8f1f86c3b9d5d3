"""What the conditions of a herd add to its plan, each from a random stream of its own: the rest stays as it was."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from numpy.random import Generator

from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.simulator.conditions import Hardness, exports_in, hardness_in
from sentinel.simulator.figures import MishapFigures
from sentinel.simulator.plans.drawn import YEAR_D, around, drawn_fault, planted
from sentinel.simulator.plans.exports import ExportPlan
from sentinel.simulator.plans.happenings import (
    ARM,
    CLINICAL,
    OPTICS,
    BoxFault,
    Disturbed,
    Kicks,
    Plan,
    Sensor,
    Spell,
)
from sentinel.simulator.plans.scenario import Planned
from sentinel.simulator.spec import Calendar, Dice, HerdSpec

FULL_FOR_S = 8 * HOUR_S
"""Optics that became foul slowly stay as foul as they are for so long at least (assumption)."""

SORE_S = 4 * DAY_S
"""So long after the onset of a clinical case the quarter is sore (assumption)."""


def harder(given: Planned, m: MishapFigures, spec: HerdSpec, calendar: Calendar, dice: Dice) -> Planned:
    """The same plan under the conditions of the spec; without any, the plan itself."""
    if not spec.conditions:
        return given
    lives, plan, exports = given
    hard = hardness_in(spec.conditions)
    exports = replace(exports, **exports_in(spec.conditions))
    faults = plan.faults
    if hard.second_fault:
        faults = (*faults, *_seconds(hard, m, spec, calendar, faults, dice.of("second faults")))
    if hard.ramp_most_h:
        faults = tuple(_slowly(hard, calendar, faults, dice.of("slow ramps")))
    disturbed = plan.disturbed
    if hard.bad_day_most_h:
        disturbed = tuple(_bad_days(hard, m, calendar, dice.of("bad days")))
    plan = replace(
        plan,
        faults=tuple(sorted(faults, key=lambda one: (one.box, one.start))),
        disturbed=disturbed,
        sensors=(*plan.sensors, *_drifts(hard, spec, calendar, dice.of("drifting sensors"))),
        kicks=tuple(_kicks(hard, plan)),
        lost=tuple(_lost(hard, calendar, exports, dice.of("lost exports"))),
        reading_lost=hard.reading_lost,
        log_missed=hard.log_missed,
    )
    return Planned(lives, plan, exports)


def _seconds(
    hard: Hardness, m: MishapFigures, spec: HerdSpec, calendar: Calendar, faults: Sequence[BoxFault], rng: Generator
) -> Iterator[BoxFault]:
    """Faults that begin in the first half of another: at another box, or of the other kind at the same one."""
    taken = list(faults)
    for first in faults:
        joined, same = rng.random() < hard.second_fault, rng.random() < hard.second_same_box or spec.boxes == 1
        start = first.start + int(rng.uniform(0.05, 0.5) * (first.until - first.start))
        kind = ARM if rng.random() < 0.5 else OPTICS
        near = [one for one in taken if one.start < start + 2 * DAY_S and one.until > start - 2 * DAY_S]
        busy = {one.box for one in near if one is not first or not same}
        box, others = first.box, [n for n in range(spec.boxes) if n != first.box and n not in busy]
        if same:
            kind = OPTICS if first.kind == ARM else ARM
        elif others:
            box = int(rng.choice(others))
        made = drawn_fault(m, kind, box, start, rng)
        if joined and box not in busy and made.until < calendar.until:
            taken.append(made)
            yield made


def _slowly(hard: Hardness, calendar: Calendar, faults: Sequence[BoxFault], rng: Generator) -> Iterator[BoxFault]:
    """The same faults with optics that take longer to become foul, and stay foul for some hours after that."""
    for one in faults:
        if one.kind == OPTICS:
            grow_s = int(HOUR_S * rng.uniform(hard.ramp_least_h, hard.ramp_most_h))
            one = replace(one, grow_s=grow_s, until=max(one.until, one.start + grow_s + FULL_FOR_S))  # noqa: PLW2901
        if one.until < calendar.until:
            yield one


def _bad_days(hard: Hardness, m: MishapFigures, calendar: Calendar, rng: Generator) -> Iterator[Disturbed]:
    """Hours up to days in which the whole herd is upset, never two within a day."""
    begin, end = planted(calendar)
    free = 0
    for start in sorted(rng.integers(begin, end, size=rng.poisson(m.disturbed * (end - begin) / (YEAR_D * DAY_S)))):
        until = int(start) + int(HOUR_S * rng.uniform(hard.bad_day_least_h, hard.bad_day_most_h))
        failed = around(rng, m.disturbed_failed, 0.4, 0.4, 3.0)
        if start > free and until < calendar.until:
            free = until + DAY_S
            yield Disturbed(int(start), until, failed)


def _drifts(hard: Hardness, spec: HerdSpec, calendar: Calendar, rng: Generator) -> Iterator[Sensor]:
    """Sensors that wander, up or down, until they are set right again."""
    begin, end = planted(calendar)
    if hard.drifting:
        for box in range(spec.boxes):
            for quarter in range(4):
                start = int(rng.integers(begin, end))
                until = min(start + int(DAY_S * around(rng, hard.drift_days, 0.3)), calendar.until)
                a_day = around(rng, hard.drift_a_day, 0.4) * (1 if rng.random() < 0.6 else -1)
                if rng.random() < hard.drifting:
                    yield Sensor(box, quarter, start, until, a_day=a_day)


def _kicks(hard: Hardness, plan: Plan) -> Iterator[Kicks]:
    """A quarter with a clinical case is sore: its cup comes off."""
    if hard.kicked_when_ill:
        for one in plan.udder:
            if one.kind == CLINICAL:
                until = min(one.start + SORE_S, one.until)
                yield Kicks(one.place, one.cow, one.quarter, one.start, until, hard.kicked_when_ill)


def _lost(hard: Hardness, calendar: Calendar, exports: ExportPlan, rng: Generator) -> Iterator[Spell]:
    """Some stamps in a row whose visit lists never come; the next list does not make up for them."""
    begin, end = planted(calendar)
    step, free = exports.every_s, 0
    for at in sorted(rng.integers(begin, end, size=rng.poisson(hard.lost_a_day * (end - begin) / DAY_S)).tolist()):
        start = exports.first + (at - exports.first) // step * step
        until = start + step * int(rng.integers(1, int(hard.lost_most) + 1))
        if start > free and until < calendar.until:
            free = until + 2 * step
            yield Spell(start, until)
