"""History older than the rows in memory: what is read of it, and what is handed in."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta
from itertools import pairwise

import pandas as pd

from sentinel.flow.herd.figures import DAYS, Averages
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.schedule.days import date_of
from sentinel.flow.settings.people import moment
from sentinel.flow.tables import COW_TESTS, TANK, empty_frame

YEAR_S = 364 * DAY_S
"""A year before, on the same day of the week."""

LEAD_S = 10 * DAY_S
"""Visits are read from so long before the days that they are wanted of: who is in milk, and how a visit ended."""

YEARS = 3
"""Cells are told of this year and of the two before."""


@dataclass(frozen=True, slots=True)
class HerdPast:
    """The past of the herd: results of cells of `tank` and `cow_tests` over `YEARS` years, and two weeks a year before.

    `year_before` is None where no visit of those weeks is known.
    """

    tank: pd.DataFrame = field(default_factory=lambda: empty_frame(TANK))
    cow_tests: pd.DataFrame = field(default_factory=lambda: empty_frame(COW_TESTS))
    year_before: Averages | None = None


def cells_from(at: int, zone: str) -> int:
    """From which moment on results of cells are wanted at `at`: the begin of a year on the farm's calendar."""
    first = date_of(at, zone).replace(month=1, day=1)
    return moment(first.replace(year=first.year - YEARS + 1), 0, zone) - 95 * DAY_S


def year_before(until: int) -> tuple[int, int]:
    """Begin and end of the two weeks a year before; the end is at a whole hour, so that it rarely changes."""
    end = until - until % HOUR_S - YEAR_S
    return end - DAYS * DAY_S, end


def months_back(at: int, zone: str, months: int) -> list[tuple[int, int]]:
    """The calendar months up to the one that `at` lies in, oldest first, as (begin, end).

    >>> from sentinel.flow.language import english
    >>> words = english("Europe/Berlin")
    >>> [words.date(begins) for begins, _ in months_back(1_772_000_000, "Europe/Berlin", 3)]
    ['Mon 1 Dec', 'Thu 1 Jan', 'Sun 1 Feb']
    """
    first = date_of(at, zone).replace(day=1)
    firsts = [(first + timedelta(days=32)).replace(day=1), first]
    while len(firsts) <= months:
        firsts.append((firsts[-1] - timedelta(days=1)).replace(day=1))
    moments = [moment(day, 0, zone) for day in reversed(firsts)]
    return list(pairwise(moments))


def years_back(at: int, zone: str) -> list[tuple[int, int]]:
    """The calendar years of which cells are told, oldest first, as (begin, end)."""
    first = date_of(at, zone).replace(month=1, day=1)
    moments = [moment(first.replace(year=first.year + n), 0, zone) for n in range(1 - YEARS, 2)]
    return list(pairwise(moments))
