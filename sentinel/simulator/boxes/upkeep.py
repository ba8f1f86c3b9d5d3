"""What is done at the boxes day by day: washes with a new filter, wiped lenses, the arm looked over; and what is not.

Times of the day are assumptions around the two rounds at 06:30 and 16:30; three system washes a day keep bacteria
lower than two (EU automatic-milking project, CORDIS rcn/34696); a filter is used once (UC Davis Cow Book p. 65).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sentinel.flow.model import DAY_S
from sentinel.simulator.figures import MishapFigures
from sentinel.simulator.plans.happenings import ARM, OPTICS, BoxFault, Plan
from sentinel.simulator.spec import Calendar, Dice, HerdSpec

WASHES = ("06:40", "14:40", "22:40")
WIPES = ("06:32", "16:32")
ARM_CHECK = "07:35"
BOX_STEP_MIN = 24
"""Boxes are washed one after the other, so that most always milk."""
AXES = ("x", "y", "z")
WASH_S = 18 * 60


@dataclass(frozen=True, slots=True, order=True)
class Event:
    """One entry of a box's log."""

    at: int
    box: str
    event: str
    text: str = ""


@dataclass(frozen=True, slots=True)
class Forgotten:
    """A chore left out at a box at its time: `filter`, `wash`, `optics`, `arm`."""

    chore: str
    box: int
    at: int


@dataclass(frozen=True, slots=True)
class Upkeep:
    """The boxes' logs, when each box takes no cow (start, until; by box, in order), and what was forgotten."""

    events: tuple[Event, ...]
    closed: tuple[tuple[tuple[int, int], ...], ...]
    forgotten: tuple[Forgotten, ...]


def make_upkeep(m: MishapFigures, spec: HerdSpec, calendar: Calendar, plan: Plan, dice: Dice) -> Upkeep:
    """Everything in the boxes' logs from the first day to the last."""
    rng = dice.of("upkeep")
    events: list[Event] = []
    forgotten: list[Forgotten] = []
    closed: list[list[tuple[int, int]]] = [[] for _ in spec.box_names]
    local, quiet = calendar.local, calendar.begin + 5 * DAY_S
    clocks = [*(("wash", clock) for clock in WASHES), *(("optics", clock) for clock in WIPES), ("arm", ARM_CHECK)]
    misses = {
        "wash": m.forgotten_wash,
        "optics": m.forgotten_wipe,
        "arm": m.forgotten_arm,
        "filter": m.forgotten_filter,
    }
    for day in local.days(calendar.first, calendar.until):
        for chore, clock in clocks:
            moment = local.at(f"{day} {clock}")
            for box, name in enumerate(spec.box_names):
                step = {"wash": 60 * BOX_STEP_MIN * (box % 4), "optics": 150 * box, "arm": 420 * box}[chore]
                at = moment + step + int(rng.integers(0, 100))
                missed, no_filter = rng.random() < misses[chore], rng.random() < misses["filter"]
                missed |= _planted(chore, box, at, plan)
                no_filter |= chore == "wash" and _planted("filter", box, at, plan)
                if at > quiet and (missed or _left_out(chore, box, at, plan.faults)):
                    if missed:
                        forgotten.append(Forgotten(chore, box, at))
                    continue
                if chore == "optics":
                    events.append(Event(at, name, "optics_cleaned"))
                elif chore == "arm":
                    closed[box].append((at - 120, at + 30))
                    events.append(Event(at, name, "arm_calibrated", "daily look"))
                else:
                    closed[box].append((at, at + WASH_S))
                    events.append(Event(at + WASH_S, name, "washed", "full programme"))
                    if no_filter and at > quiet:
                        forgotten.append(Forgotten("filter", box, at))
                    else:
                        events.append(Event(at + 80, name, "filter_changed"))
    _mending(events, closed, spec, plan)
    return Upkeep(
        tuple(sorted(e for e in events if e.at < calendar.until)),
        tuple(tuple(_joined(spans)) for spans in closed),
        tuple(sorted(forgotten, key=lambda f: (f.at, f.box, f.chore))),
    )


def _joined(closed: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """The same times with those that touch made one.

    >>> _joined([(5, 9), (1, 2), (8, 12)])
    [(1, 2), (5, 12)]
    """
    joined: list[tuple[int, int]] = []
    for start, until in sorted(closed):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(until, joined[-1][1]))
        else:
            joined.append((start, until))
    return joined


def _left_out(chore: str, box: int, at: int, faults: tuple[BoxFault, ...]) -> bool:
    """Whether a fault lasts because nobody has done this at the box: an arm is not looked over, a lens not wiped."""
    return any(
        fault.box == box
        and fault.start <= at < fault.until
        and ((chore == "arm" and fault.kind == ARM) or (chore == "optics" and fault.kind == OPTICS and not fault.hasty))
        for fault in faults
    )


def _planted(chore: str, box: int, at: int, plan: Plan) -> bool:
    """Whether the plan says that this is forgotten at the box now."""
    return any((one.chore, one.box) == (chore, box) and one.start <= at < one.until for one in plan.forgotten)


def _mending(events: list[Event], closed: list[list[tuple[int, int]]], spec: HerdSpec, plan: Plan) -> None:
    """What ends the faults, and the boxes that stand still, as the log has it."""
    for fault in plan.faults:
        name = spec.box_names[fault.box]
        if fault.kind == ARM:
            closed[fault.box].append((fault.until - 540, fault.until + 60))
            events += [
                Event(fault.until - 540, name, "stopped", "by hand"),
                Event(fault.until, name, "arm_calibrated", f"set back on {AXES[fault.axis]}"),
                Event(fault.until + 60, name, "started", "by hand"),
            ]
        else:
            events.append(Event(fault.until, name, "optics_cleaned", "thoroughly"))
    for stop in plan.stops:
        closed[stop.box].append((stop.start, stop.until))
        events += [
            Event(stop.start, spec.box_names[stop.box], "stopped", "by itself"),
            Event(stop.until, spec.box_names[stop.box], "started", "by hand"),
        ]


def calibrations(upkeep: Upkeep, box: str) -> np.ndarray:
    """The moments at which a box's arm was set or looked over."""
    return np.array([e.at for e in upkeep.events if e.box == box and e.event == "arm_calibrated"], dtype=np.int64)
