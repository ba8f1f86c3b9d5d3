"""Working out a herd over months: meant to be about as hard as a real one, with every true thing known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sentinel.flow.model import DAY_S
from sentinel.flow.tables import Tables
from sentinel.simulator.boxes.quarter_readings import measure_quarters
from sentinel.simulator.boxes.traffic import Yard
from sentinel.simulator.boxes.upkeep import make_upkeep
from sentinel.simulator.conditions import figures_in
from sentinel.simulator.exports.exported import as_exported
from sentinel.simulator.exports.mistyped import slips_of
from sentinel.simulator.herd.episodes import course
from sentinel.simulator.herd.lactations import Lives, gone_at, make_lives
from sentinel.simulator.herd.tank import cow_test_rows, tank_rows
from sentinel.simulator.plans.happenings import Plan
from sentinel.simulator.plans.harder import harder
from sentinel.simulator.plans.scenario import BY_RATES, Scenario
from sentinel.simulator.simulated import Mishaps, Simulated
from sentinel.simulator.spec import Calendar, Dice, HerdSpec, Numbers
from sentinel.simulator.tables import cow_frame, farm_facts, log_frame, visit_frame
from sentinel.simulator.truth.planted import tell, truth_of


def simulate(spec: HerdSpec, scenario: Scenario = BY_RATES) -> Simulated:
    """A whole herd over the spec's days, per visit and quarter; the same spec and scenario give the same rows."""
    figures = figures_in(spec.conditions, scenario.figures)
    herd, milk, udder, mishaps = figures
    calendar, dice = Calendar.of(spec), Dice(spec.seed)
    lives = make_lives(herd, milk, spec, calendar, dice, steady=scenario.steady)
    lives, plan, exports = harder(scenario.plan(spec, calendar, lives, dice), mishaps, spec, calendar, dice)
    lives = replace(lives, kg_h=lives.kg_h * yield_factor(calendar, lives, plan, mishaps.hot_yield / mishaps.hot_rise))
    upkeep = make_upkeep(mishaps, spec, calendar, plan, dice)
    every = Yard(herd, udder, calendar, lives, plan, upkeep, dice).run()
    readings = measure_quarters(herd, milk, udder, mishaps, spec, calendar, lives, plan, upkeep, every, dice)
    frame = visit_frame(spec, lives, every, readings)
    tank = tank_rows(milk, mishaps, calendar, lives, plan, every, dice)
    tables = Tables(
        visits=frame[frame["start"] >= calendar.begin].reset_index(drop=True),
        box_log=log_frame(calendar, upkeep),
        cows=cow_frame(calendar, lives, plan),
        tank=tank,
        cow_tests=cow_test_rows(milk, calendar, lives, plan, every, dice),
        farm=farm_facts(spec, calendar),
    )
    tables = as_exported(tables, plan, exports, dice)
    slips = slips_of(spec, plan, tables.visits)
    items = tell(spec, calendar, lives, plan, exports, upkeep, tank, slips)
    truth = truth_of(spec, calendar, exports, items, len(lives.cows.numbers), figures)
    gone = gone_at(lives)
    return Simulated(spec, calendar, tables, truth, Mishaps(plan.outages, tuple(slips), gone, plan.lost), exports)


def plan_of(spec: HerdSpec) -> Plan:
    """What will happen to the herd of a spec by its rates, without working it out."""
    calendar, dice = Calendar.of(spec), Dice(spec.seed)
    herd, milk, _, mishaps = figures_in(spec.conditions, BY_RATES.figures)
    lives = make_lives(herd, milk, spec, calendar, dice)
    return harder(BY_RATES.plan(spec, calendar, lives, dice), mishaps, spec, calendar, dice).plan


def yield_factor(calendar: Calendar, lives: Lives, plan: Plan, hot: float) -> Numbers:
    """What illness, heat and other troubles leave of each place's milk on each day, as a share."""
    factor = np.ones_like(lives.kg_h) * (1.0 - hot * plan.hot)
    noon = calendar.first + np.arange(calendar.days) * DAY_S + DAY_S // 2
    for one in plan.udder:
        loss = one.quarter_loss * lives.cows.share[one.cow, one.quarter] + one.cow_loss
        factor[one.place] *= 1.0 - min(loss, 0.8) * course(one, noon) * (lives.lactation[one.place] == one.lactation)
    for off in plan.off:
        far = np.clip(np.minimum(noon - off.start, off.until - noon) / (1.5 * DAY_S), 0.0, 1.0)
        factor[off.place] *= 1.0 - off.size * far
    return factor
