"""What is asked for, the clock it is worked out on, and what comes back."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np
from numpy.random import Generator, SeedSequence
from numpy.typing import NDArray

from sentinel.errors import UsageError
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.simulator.conditions import conditions_named
from sentinel.simulator.local_time import LocalTime

Numbers = NDArray[np.float64]
Whole = NDArray[np.int64]

SETTLE_DAYS = 4
"""Days that are worked out and thrown away before the first one, so that the yard is in its stride."""

QUIET_DAYS = 10
"""Nothing is planted in the first days: what is usual for a cow must be known before it can be left."""


@dataclass(frozen=True, slots=True)
class HerdSpec:
    """A herd to simulate: cows in milk, boxes, days, and the seed that decides all the rest.

    `start` is the first local day. `conditions` are names of `CONDITIONS`; one may decide how many cows and boxes there
    are. Raises UsageError if it cannot be simulated.
    """

    cows: int = 180
    boxes: int = 3
    days: int = 120
    seed: int = 1
    zone: str = "Europe/Dublin"
    start: date = date(2026, 1, 5)
    conditions: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for one in conditions_named(self.conditions):
            for name in ("cows", "boxes"):
                if (size := getattr(one, name)) is not None:
                    object.__setattr__(self, name, size)
        if not 1 <= self.boxes <= 20:
            raise UsageError(f"{self.boxes} boxes: from 1 to 20 can be simulated")
        if not 10 <= self.cows <= 70 * self.boxes:
            raise UsageError(f"{self.cows} cows: from 10 to 70 a box can be milked ({self.boxes} boxes)")
        if not QUIET_DAYS < self.days <= 2000:
            raise UsageError(f"{self.days} days: from {QUIET_DAYS + 1} to 2000 can be simulated")

    @property
    def box_names(self) -> tuple[str, ...]:
        """`1`, `2`, ..."""
        return tuple(str(n) for n in range(1, self.boxes + 1))


@dataclass(frozen=True, slots=True)
class Calendar:
    """The time that is simulated: `first` (with the days of settling), `begin` and `until`, in UTC seconds."""

    local: LocalTime
    first: int
    begin: int
    until: int
    offsets: Whole = field(repr=False)

    @classmethod
    def of(cls, spec: HerdSpec) -> Calendar:
        """The calendar of a spec, with the farm's UTC offset at each hour."""
        local = LocalTime(spec.zone)
        begin = local.at(f"{spec.start} 00:00")
        first = begin - SETTLE_DAYS * DAY_S
        until = local.at(f"{spec.start + timedelta(days=spec.days)} 00:00")
        hours = range(first, until + 2 * DAY_S, HOUR_S)
        offsets = [int((local.wall(t) - local.utc(t)).total_seconds()) for t in hours]
        return cls(local, first, begin, until, np.array(offsets, dtype=np.int64))

    @property
    def days(self) -> int:
        """Days from `first` to `until`, and one more for cows that wait for a box at the end."""
        return -(-(self.until - self.first) // DAY_S) + 1

    def day(self, at: Whole) -> Whole:
        """The number of the day each moment lies in, counted from `first`."""
        return np.clip((at - self.first) // DAY_S, 0, self.days - 1)


class Dice:
    """Independent random streams by name, so that one part of the herd can change and leave the others as they were."""

    def __init__(self, seed: int) -> None:
        self.seed = seed

    def of(self, name: str) -> Generator:
        """The stream of that name."""
        return np.random.default_rng(SeedSequence([self.seed, *name.encode()]))
