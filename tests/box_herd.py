"""A quiet simulated herd at milking boxes for tests, and troubles planned for it: what the boxes saw and logged.

Days and troubles count from the herd's first midnight; boxes are `1`, `2`, ... in the rows and 0, 1, ... in a trouble.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pandas as pd

from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import BOX_LOG, Tables, empty_frame, frame_types, wide
from sentinel.simulator import HerdSpec, simulate
from sentinel.simulator.figures import Figures
from sentinel.simulator.herd.lactations import Lives
from sentinel.simulator.plans.exports import ExportPlan
from sentinel.simulator.plans.happenings import ARM, OPTICS, BoxFault, Disturbed, Fails, Plan
from sentinel.simulator.plans.quiet_herd import QUIET
from sentinel.simulator.plans.scenario import Planned
from sentinel.simulator.spec import Calendar, Dice

FIRST = date(2024, 6, 3)
START = 1_717_372_800


@dataclass(frozen=True)
class Trouble:
    """From `start` until `until` (days) at `box` (None: at all of them) or of one cow, by her place in the herd.

    A box misses cows, takes longer by a share of the time to attach, and sees teats aside on one axis.
    """

    start: float
    until: float
    box: int | None = None
    cow: int | None = None
    failed: float = 0.0
    attach: float = 0.0
    shift_mm: tuple[float, float, float] = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class BoxHerd:
    """The herd, as a scenario of the simulator; without `positions` or `times` the boxes do not record them.

    `failed` is the mean chance that a cow is missed, `worth` says how alike the cows are in it; `events` are what the
    boxes log: box, day, event.
    """

    cows: int = 60
    boxes: int = 3
    days: int = 30
    seed: int = 1
    failed: float = 0.04
    worth: float = 40.0
    troubles: tuple[Trouble, ...] = ()
    events: tuple[tuple[str, float, str], ...] = ()
    positions: bool = True
    times: bool = True

    @property
    def figures(self) -> Figures:
        """A quiet herd whose cows fail so often."""
        return QUIET._replace(herd=replace(QUIET.herd, failed=self.failed, failed_cows=self.worth))

    @property
    def steady(self) -> bool:
        """No calvings, as far as the days allow."""
        return self.days < 200

    def plan(self, spec: HerdSpec, calendar: Calendar, lives: Lives, dice: Dice) -> Planned:
        """The troubles."""
        faults, fails, disturbed = [], [], []
        for one in self.troubles:
            start, until = day(one.start), day(one.until)
            if one.cow is not None:
                cow = int(lives.lactations.cow[lives.lactations.of_place[one.cow][0]])
                fails.append(Fails(one.cow, cow, start, until, one.failed))
            elif one.box is None:
                disturbed.append(Disturbed(start, until, one.failed))
            else:
                axis = int(np.argmax(np.abs(one.shift_mm)))
                kind = ARM if any(one.shift_mm) else OPTICS
                size = one.failed, 0.0, one.attach, axis, one.shift_mm[axis]
                faults.append(BoxFault(kind, one.box, start, 0, until, *size, hasty=True))
        plan = replace(Plan.quiet(calendar.days), faults=tuple(faults), fails=tuple(fails), disturbed=tuple(disturbed))
        return Planned(lives, plan, ExportPlan(calendar.begin))


def tables_of(herd: BoxHerd) -> Tables:
    """The herd's visits and the boxes' log."""
    spec = HerdSpec(herd.cows, herd.boxes, herd.days, herd.seed, "UTC", FIRST)
    visits = simulate(spec, herd).tables.visits
    if not herd.times:
        visits["attach_s"] = np.nan
    if not herd.positions:
        visits[[name for axis in "xyz" for name in wide(f"{axis}_mm")]] = np.nan
    log = empty_frame(BOX_LOG)
    if herd.events:
        rows = [{"box": box, "at": day(number), "event": event, "text": None} for box, number, event in herd.events]
        log = pd.DataFrame(rows).astype({"box": object, "event": object, "text": object, "at": "int64"})
        log = log.sort_values(["at", "box"], ignore_index=True)[list(frame_types(BOX_LOG))]
    return Tables(visits=visits, box_log=log)


def day(number: float) -> int:
    """UTC seconds of a day counted from the herd's first."""
    return START + int(number * DAY_S)


def hours_after(at: int, number: float) -> float:
    """Hours from a day of the herd to a moment."""
    return (at - day(number)) / HOUR_S
