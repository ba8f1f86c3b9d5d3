"""The people's and the boxes' routine: washes with a new filter, wiped lenses, the arm looked over.

Times of the day are assumptions around the two rounds at 06:30 and 16:30; three system washes a day keep bacteria
lower than two (EU automatic-milking project, CORDIS rcn/34696); a filter is used once (UC Davis Cow Book p. 65).
"""

from __future__ import annotations

from dataclasses import dataclass

from numpy.random import Generator

from sentinel.simulator.local_time import LocalTime
from sentinel.simulator.week.faults import Faults
from sentinel.simulator.week.parameters import Parameters

WASHES = ("06:40", "14:40", "22:40")
WIPES = ("06:32", "16:32")
ARM_CHECK = "07:35"
BOX_STEP_MIN = 24
"""Boxes are washed one after the other, so that two always milk."""


@dataclass(frozen=True, slots=True, order=True)
class Event:
    """One entry of a box's log."""

    at: int
    box: str
    event: str
    text: str = ""


@dataclass(frozen=True, slots=True, order=True)
class Closed:
    """A time in which a box takes no cow; `plan` is when it should begin."""

    plan: int
    seconds: int
    box: str


@dataclass(frozen=True, slots=True)
class Routine:
    """What is done at the boxes, in time order."""

    events: tuple[Event, ...]
    closed: tuple[Closed, ...]


def make_routine(
    p: Parameters, boxes: tuple[str, ...], local: LocalTime, first: int, until: int, faults: Faults, rng: Generator
) -> Routine:
    """The routine of all boxes from `first` until `until`, with the calibrations that end arm faults."""
    events: list[Event] = []
    closed: list[Closed] = []
    for day in local.days(first, until):
        for order, box in enumerate(boxes):
            for clock in WASHES:
                begin = local.at(f"{day} {clock}") + 60 * BOX_STEP_MIN * order + int(rng.integers(-180, 181))
                end = begin + int(60 * p.wash_min) + int(rng.integers(-40, 41))
                closed.append(Closed(begin, end - begin, box))
                if not any(f.box == box and f.start <= begin < f.until for f in faults.filters):
                    events.append(Event(begin + int(rng.integers(50, 110)), box, "filter_changed"))
                events.append(Event(end, box, "washed", "full programme"))
            for clock in WIPES:
                wiped = local.at(f"{day} {clock}") + 150 * order + int(rng.integers(0, 100))
                events.append(Event(wiped, box, "optics_cleaned"))
            checked = local.at(f"{day} {ARM_CHECK}") + 420 * order + int(rng.integers(0, 120))
            closed.append(Closed(checked - 120, 150, box))
            events.append(Event(checked, box, "arm_calibrated", "daily look, in line"))
    for shift in faults.arm:
        closed.append(Closed(shift.until - 540, 600, shift.box))
        events += [
            Event(shift.until - 540, shift.box, "stopped", "by hand"),
            Event(shift.until, shift.box, "arm_calibrated", f"set back on {shift.axis}"),
            Event(shift.until + 60, shift.box, "started", "by hand"),
        ]
    return Routine(tuple(sorted(e for e in events if e.at < until)), tuple(sorted(closed)))
