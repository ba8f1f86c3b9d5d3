"""When rounds begin, which one's list is shown at a moment, and which one an item was listed for first."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from itertools import pairwise
from zoneinfo import ZoneInfo

from sentinel.flow.model import DAY_S
from sentinel.flow.settings.people import moment

BACK_S = 7 * DAY_S
"""An item is not said to be carried over from further back."""


@dataclass(frozen=True, slots=True)
class Round:
    """One round: when it begins, when the next one does, and from when to when its list is the one that is shown.

    The list of a round is shown from halfway since the round before until halfway to the next.
    """

    begins: int
    following: int
    opens: int
    closes: int


def round_at(rounds: tuple[time, ...], at: int, zone: str) -> Round | None:
    """The round whose list is shown at a moment: the nearest one; None if the farm has no rounds."""
    if not rounds:
        return None
    starts = starts_around(rounds, at, zone)
    halves = [(one + other) // 2 for one, other in pairwise(starts)]
    n = bisect_right(halves, at)
    return Round(starts[n], starts[n + 1], halves[n - 1], halves[n])


def rounds_around(rounds: tuple[time, ...], around: int, zone: str) -> tuple[int, ...]:
    """When the rounds from the day before a moment to a week after it begin, in order."""
    return _rounds(rounds, datetime.fromtimestamp(around, ZoneInfo(zone)).date(), zone)


@lru_cache(maxsize=16)
def _rounds(rounds: tuple[time, ...], today: date, zone: str) -> tuple[int, ...]:
    """When the rounds of the days around `today` begin, in order."""
    return tuple(sorted({moment(today + timedelta(days=n), _minute(r), zone) for n in range(-1, 9) for r in rounds}))


def _minute(clock: time) -> int:
    return clock.hour * 60 + clock.minute


def starts_around(rounds: tuple[time, ...], at: int, zone: str) -> tuple[int, ...]:
    """When rounds begin, from a week before a moment to a week after it."""
    if not rounds:
        return ()
    weeks = (rounds_around(rounds, at + shift, zone) for shift in (-BACK_S, 0))
    return tuple(sorted({begins for week in weeks for begins in week}))


def first_listed(starts: Sequence[int], known_from: int, due_at: int | None) -> int | None:
    """The begin of the first round after a moment; for a chore of the first one that may not be let pass."""
    for begins, following in pairwise(starts):
        if begins > known_from and (due_at is None or due_at <= following):
            return begins
    return None


def carried_from(starts: Sequence[int], span: Round, known_from: int, due_at: int | None = None) -> int | None:
    """The earlier round that an undone item was listed for first; None if this round is the first."""
    first = first_listed(starts, known_from, due_at)
    return first if first is not None and first < span.begins else None
