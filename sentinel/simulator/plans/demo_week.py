"""The demo's week as a plan: an invented farm in May, which cow plays which part, and what happens to whom when.

All times are the farm's wall clock. The two weeks before are simulated as well; the first visit list holds them.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from sentinel.flow.model import DAY_S, QUARTERS
from sentinel.simulator.herd.cows import Cows
from sentinel.simulator.herd.lactations import Lives
from sentinel.simulator.plans.exports import ExportPlan
from sentinel.simulator.plans.happenings import (
    ARM,
    CLINICAL,
    BoxFault,
    DriedOff,
    Fails,
    ForgottenChore,
    Plan,
    Spell,
    StaysOut,
    Udder,
)
from sentinel.simulator.plans.quiet_herd import QUIET
from sentinel.simulator.plans.scenario import Planned
from sentinel.simulator.spec import Calendar, Dice, HerdSpec

SEED = 459
FARM = "Brindlewhin"
FIRST, DAYS, HISTORY_DAYS = date(2026, 5, 4), 7, 16

CLIMBS, FAILS, ONCE_A_DAY, DRIES = "400", "206", "84", "223"
"""Cows by their numbers: a quarter's conductivity climbs, no box attaches her, one milking a day, dried off."""

STAYS_OUT = (("152", "2026-05-04 20:00", 15.6), ("18", "2026-05-08 21:00", 16.4), ("216", "2026-05-09 12:00", 18.9))
"""From her first milking past the moment each is not seen for so many hours."""

CLIMB_QUARTER, CLIMB_RISE, CLIMB_FROM, CLIMB_FULL = "RR", 0.55, "2026-05-07 05:00", "2026-05-09 05:00"
WITHHELD_FROM = "2026-05-09 10:00"
FAILS_CHANCE, FAILS_FROM, FAILS_UNTIL = 0.8, "2026-05-08 04:00", "2026-05-09 17:00"
DRY_CALLED, DRY_AT = "2026-05-07 16:10", "2026-05-07 16:40"

ARM_BOX, ARM_AXIS, ARM_SHIFT_MM, ARM_FROM, ARM_UNTIL = "2", "y", 14.0, "2026-05-06 13:05", "2026-05-06 19:10"
ARM_FAILED, ARM_INCOMPLETE, ARM_ATTACH = 0.25, 0.10, 0.7
"""Chance to miss a cow, chance of an incomplete milking and excess of the attach time meanwhile (assumptions)."""

FILTER_BOX, FILTER_FROM, FILTER_UNTIL = "1", "2026-05-08 14:00", "2026-05-08 16:00"

STOPPED_FROM, STOPPED_UNTIL = "2026-05-05 11:00", "2026-05-05 14:00"
UNREADABLE_AT, CUT_AT = "2026-05-07 09:00", "2026-05-09 14:00"
MISTYPED_AFTER, CORRECTED_AFTER_H = "2026-05-06 10:00", 22
"""The first milking at the ICAR box after that moment gets ten times its milk, put right so many hours later."""

SETTINGS = ("farm.yaml", "feeds/milkings.yaml", "feeds/boxlog.yaml", "feeds/herd.yaml", "feeds/tank.yaml")
"""The farm's settings, by their names in the folder."""


def demo_spec(seed: int = SEED) -> HerdSpec:
    """160 cows in milk and three boxes over the week and the time before it."""
    start = FIRST - timedelta(days=HISTORY_DAYS)
    return HerdSpec(cows=160, boxes=3, days=HISTORY_DAYS + DAYS, seed=seed, zone="Europe/Dublin", start=start)


class DemoWeek:
    """The week as a scenario."""

    figures = QUIET
    steady = True

    def plan(self, spec: HerdSpec, calendar: Calendar, lives: Lives, dice: Dice) -> Planned:
        """The parts given to cows that suit them, and everything above."""
        at = calendar.local.at
        first = at(f"{FIRST} 00:00")
        lives, places = cast(spec, lives, first, at(DRY_AT), dice)
        cow = {number: lives.cows.numbers.index(number) for number in places}
        climb_from, climb_full = at(CLIMB_FROM), at(CLIMB_FULL)
        ill = Udder(
            kind=CLINICAL,
            shape="usual",
            place=places[CLIMBS],
            cow=cow[CLIMBS],
            lactation=lives.lactations.of_place[places[CLIMBS]][0],
            quarter=QUARTERS.index(CLIMB_QUARTER),
            start=climb_from,
            grow_s=climb_full - climb_from,
            hold_s=calendar.until - climb_full,
            fade_s=DAY_S,
            rise=CLIMB_RISE,
            quarter_loss=1 - 1 / (1 + CLIMB_RISE),
            cow_loss=0.0,
            cells_k_ml=800.0,
            withheld=(at(WITHHELD_FROM), calendar.until + DAY_S),
        )
        arm = BoxFault(
            kind=ARM,
            box=spec.box_names.index(ARM_BOX),
            start=at(ARM_FROM),
            grow_s=0,
            until=at(ARM_UNTIL),
            failed=ARM_FAILED,
            incomplete=ARM_INCOMPLETE,
            attach=ARM_ATTACH,
            axis="xyz".index(ARM_AXIS),
            shift_mm=ARM_SHIFT_MM,
        )
        plan = replace(
            Plan.quiet(calendar.days),
            udder=(ill,),
            faults=(arm,),
            fails=(Fails(places[FAILS], cow[FAILS], at(FAILS_FROM), at(FAILS_UNTIL), FAILS_CHANCE),),
            out=tuple(StaysOut(places[name], cow[name], at(after), hours) for name, after, hours in STAYS_OUT),
            dried=(DriedOff(places[DRIES], cow[DRIES], at(DRY_CALLED), at(DRY_AT)),),
            forgotten=(ForgottenChore("filter", spec.box_names.index(FILTER_BOX), at(FILTER_FROM), at(FILTER_UNTIL)),),
            outages=(Spell(at(STOPPED_FROM), at(STOPPED_UNTIL)),),
            mistyped=(at(MISTYPED_AFTER),),
            corrected_after_h=(CORRECTED_AFTER_H,),
        )
        # The ICAR box does not say how long a milking took: its weeks before come from a visit list, whose time to
        # attach has no walking in it, and a box that changes what it means looks slow for a week.
        exports = ExportPlan(
            first,
            history=True,
            timed=False,
            recordings=False,
            unreadable_at=(at(UNREADABLE_AT),),
            cut_at=(at(CUT_AT),),
            tank_after_s=0,
        )
        return Planned(lives, plan, exports)


def cast(spec: HerdSpec, lives: Lives, at: int, dry_at: int, dice: Dice) -> tuple[Lives, dict[str, int]]:
    """Cows for the parts: healthy ones that attach well, in the middle of their lactation or at its end; their places.

    They get the numbers of their parts, and what belongs to these: the one whose quarter climbs never goes to the
    ICAR box, the one that is milked once a day gives less.
    """
    rng, spells = dice.of("parts"), lives.lactations
    first = np.array([spells_of_cow[0] for spells_of_cow in spells.of_place[: spec.cows]])
    age, cow = (at - spells.calved[first]) / DAY_S, spells.cow[first]
    suited = np.flatnonzero((age > 60) & (age < 220) & (lives.cows.failed[cow] < 0.03))
    names = (CLIMBS, FAILS, *(name for name, _, _ in STAYS_OUT))
    places = dict(zip(names, rng.choice(suited, size=len(names), replace=False).tolist(), strict=True))
    late = np.flatnonzero(age > 250)
    places |= dict(zip((DRIES, ONCE_A_DAY), rng.choice(late, size=2, replace=False).tolist(), strict=True))

    cows = {name: int(cow[place]) for name, place in places.items()}
    kg_h, dry = lives.kg_h.copy(), spells.dry.copy()
    kg_h[places[ONCE_A_DAY]] *= 0.55
    dry[first[places[DRIES]]] = dry_at
    liking, failed = lives.cows.liking.copy(), lives.cows.failed.copy()
    liking[cows[CLIMBS], -1] = 0.0
    failed[cows[ONCE_A_DAY]] = 0.0
    changed = replace(
        lives.cows,
        numbers=numbered(lives.cows, cows),
        liking=liking,
        failed=failed,
        once_a_day=frozenset({cows[ONCE_A_DAY]}),
    )
    return replace(lives, cows=changed, lactations=replace(spells, dry=dry), kg_h=kg_h), places


def numbered(cows: Cows, parts: dict[str, int]) -> tuple[str, ...]:
    """The cows' numbers with those of the parts in their places; whoever had one takes the other's."""
    numbers = list(cows.numbers)
    for name, cow in parts.items():
        if name in numbers:
            numbers[numbers.index(name)] = numbers[cow]
        numbers[cow] = name
    return tuple(numbers)
