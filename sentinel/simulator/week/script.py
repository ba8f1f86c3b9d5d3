"""The demo's script: an invented farm in one week of May, which cow plays which part, and what is planted when."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.random import Generator

from sentinel.flow.model import DAY_S
from sentinel.simulator.exports.arrivals import Mistyped, Silence
from sentinel.simulator.exports.record import Record
from sentinel.simulator.local_time import LocalTime
from sentinel.simulator.week.faults import (
    ArmShift,
    Climb,
    DriesOff,
    FailsEverywhere,
    Faults,
    ForgottenFilter,
    StaysOut,
    Withheld,
)
from sentinel.simulator.week.herd import Herd

SEED = 40
FARM = "Brindlewhin"
TODAY = date(2026, 5, 4)
ZONE = "Europe/Dublin"
BOXES = ("1", "2", "3")
CSV_BOXES = frozenset({"1", "2"})
ICAR_BOXES = frozenset({"3"})
ROUNDS = ("06:30", "16:30")
IN_MILK = 160
DRY = 9
HISTORY_DAYS = 16
SETTLE_DAYS = 3


@dataclass(frozen=True, slots=True)
class Roles:
    """Which cow plays which part in the week, by number."""

    climbs: str
    fails: str
    out: tuple[str, str, str]
    once_a_day: str
    dries: str


@dataclass(frozen=True, slots=True)
class Script:
    """Everything that was decided before the week began."""

    local: LocalTime
    begin: int
    until: int
    roles: Roles
    faults: Faults
    silence: Silence
    spoil_at: int
    cut_at: int
    corrected_at: int


def cast(herd: Herd, rng: Generator) -> tuple[Herd, Roles]:
    """Cows for the parts: healthy ones that attach well, in the middle of their lactation; and what that changes."""
    age = np.array([(TODAY - c).days for c in herd.calved_on])
    middle = herd.milking & (age > 60) & (age < 220) & (herd.failed_share < 0.03)
    chosen = [int(i) for i in rng.choice(np.flatnonzero(middle), size=5, replace=False)]
    late = np.flatnonzero(herd.milking & (age > 285))
    dries, once = (int(i) for i in rng.choice(late, size=2, replace=False))
    allowed, mean, share = herd.allowed.copy(), herd.interval_mean_h.copy(), herd.failed_share.copy()
    kg_h, liking = herd.kg_h.copy(), herd.box_liking.copy()
    allowed[once], mean[once], share[once] = 1, 20.2, 0.0
    kg_h[once] = 0.55 * kg_h.mean()
    liking[chosen[0], BOXES.index("3")] = 0.0
    number = [herd.numbers[i] for i in chosen]
    roles = Roles(number[0], number[1], (number[2], number[3], number[4]), herd.numbers[once], herd.numbers[dries])
    changed = replace(herd, allowed=allowed, interval_mean_h=mean, failed_share=share, kg_h=kg_h, box_liking=liking)
    return changed, roles


def write_script(roles: Roles) -> Script:
    """What is planted when; all times are the farm's wall clock."""
    local = LocalTime(ZONE)
    at = local.at
    begin, until = at("2026-05-04 00:00"), at("2026-05-11 00:00")
    faults = Faults(
        arm=(ArmShift("2", "y", 14.0, at("2026-05-06 13:05"), at("2026-05-06 19:10")),),
        climbs=(Climb(roles.climbs, "RR", 0.55, at("2026-05-07 05:00"), at("2026-05-09 05:00"), until + DAY_S),),
        fails=(FailsEverywhere(roles.fails, 0.88, at("2026-05-08 04:00"), at("2026-05-09 17:00")),),
        out=(
            StaysOut(roles.out[0], at("2026-05-04 20:00"), 15.6),
            StaysOut(roles.out[1], at("2026-05-08 21:00"), 16.4),
            StaysOut(roles.out[2], at("2026-05-09 12:00"), 18.9),
        ),
        dries=(DriesOff(roles.dries, at("2026-05-07 16:10")),),
        withheld=(Withheld(roles.climbs, at("2026-05-09 10:00")),),
        filters=(ForgottenFilter("1", at("2026-05-08 14:00"), at("2026-05-08 16:00")),),
    )
    return Script(
        local=local,
        begin=begin,
        until=until,
        roles=roles,
        faults=faults,
        silence=Silence(at("2026-05-05 11:00"), at("2026-05-05 13:00")),
        spoil_at=at("2026-05-07 09:00"),
        cut_at=at("2026-05-09 14:00"),
        corrected_at=at("2026-05-07 08:20"),
    )


def slip_of_the_finger(script: Script, made: Sequence[Record]) -> Mistyped:
    """The visit whose milk was typed with the decimal mark in the wrong place."""
    after = script.local.at("2026-05-06 10:00")
    record = next(r for r in made if r.start >= after and r.box in ICAR_BOXES and r.outcome == "milked")
    return Mistyped(record.cow, record.start, round(record.milk_kg * 10, 1), script.corrected_at)
