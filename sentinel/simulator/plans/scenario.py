"""A scenario: what a herd is made of, and what is planned for it."""

from __future__ import annotations

from typing import NamedTuple, Protocol

from sentinel.simulator.conditions import figures_in
from sentinel.simulator.figures import FIGURES, Figures
from sentinel.simulator.herd.lactations import Lives
from sentinel.simulator.plans.drawn import make_plan
from sentinel.simulator.plans.exports import ExportPlan
from sentinel.simulator.plans.happenings import Plan
from sentinel.simulator.spec import Calendar, Dice, HerdSpec


class Planned(NamedTuple):
    """The herd as its parts were given out, what will happen to it, and how its exports are written."""

    lives: Lives
    plan: Plan
    exports: ExportPlan


class Scenario(Protocol):
    """Something to simulate: `figures` of the herd, `steady` if nobody calves or is dried off, and the plan."""

    @property
    def figures(self) -> Figures:
        """What the herd is made of."""
        ...

    @property
    def steady(self) -> bool:
        """Whether nobody calves, is fresh or is dried off by herself within these days."""
        ...

    def plan(self, spec: HerdSpec, calendar: Calendar, lives: Lives, dice: Dice) -> Planned:
        """What will happen to this herd."""
        ...


class ByRates:
    """Everything that may happen on a farm happens, as often as its figures and the conditions asked for say."""

    figures = FIGURES
    steady = False

    def plan(self, spec: HerdSpec, calendar: Calendar, lives: Lives, dice: Dice) -> Planned:
        """Drawn from the rates."""
        _, milk, udder, mishaps = figures_in(spec.conditions, self.figures)
        plan = make_plan(udder, milk, mishaps, spec, calendar, lives, dice)
        return Planned(lives, plan, ExportPlan(calendar.begin))


BY_RATES = ByRates()
