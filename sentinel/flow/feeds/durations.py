"""Lengths of time as a feed map writes them: `2 h`, `90 min`, `1 d`; a bare number is refused."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

_WRITTEN = re.compile(r"([0-9]{1,6}(?:\.[0-9]{1,4})?) ?(min|h|d)")
UNIT_S = {"min": 60, "h": 3600, "d": 86400}
MOST_S = 366 * 86400


def seconds_of(value: Any) -> int:
    """A length of time in s, between 1 min and a year; raises ValueError.

    >>> seconds_of("2 h"), seconds_of("1.5 d")
    (7200, 129600)
    """
    return Span.of(value).seconds


@dataclass(frozen=True, slots=True)
class Span:
    """So many of a unit; days are those of the calendar, of which one has 23 hours and one 25."""

    number: float
    unit: str

    @classmethod
    def of(cls, value: Any) -> Span:
        """What is written; raises ValueError."""
        match = _WRITTEN.fullmatch(str(value).strip())
        if not match:
            raise ValueError(f"{value!r} is not a length of time; write it like 2 h, 90 min or 1 d")
        span = cls(float(match[1]), match[2])
        if not 60 <= span.seconds <= MOST_S:
            raise ValueError(f"{value}: this must be between 1 min and 366 d")
        return span

    @property
    def seconds(self) -> int:
        """How long it is where no clock is changed."""
        return round(self.number * UNIT_S[self.unit])

    @property
    def is_days(self) -> bool:
        """Whether it is counted on the calendar: whole days."""
        return self.unit == "d" and self.number.is_integer()

    def after(self, wall: datetime) -> datetime:
        """A moment on a clock on the wall so many days later."""
        return wall + timedelta(days=int(self.number))
