"""When the week's notice on the herd is sent, and to whom."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from sentinel.flow.model import Notice
from sentinel.flow.notices.desk import Desk
from sentinel.flow.notices.regular.list_times import LATE_S
from sentinel.flow.settings.people import Person, WeekTime, moment

HERD_WEEK = "herd-week"
"""The kind of the notice; as a worklist it does not count against a person's ceiling."""


def herd_week_due(at: int, desk: Desk, person: Person, sent: Sequence[Notice], since: int | None) -> bool:
    """Whether a person is due the week's notice at `at`.

    As a worklist is: if its moment lies since the tick before, is not too long ago, and it was not sent.
    """
    if person.herd_week is None or since is None:
        return False
    due = [m for m in _moments(person.herd_week, at, desk.zone) if since < m <= at and at - m <= LATE_S]
    due = [m for m in due if person.round.cover(m, desk.zone)]
    return bool(due) and not any(n.kind == HERD_WEEK and n.person == person.name and n.at >= due[-1] for n in sent)


def next_herd_week(at: int, desk: Desk, person: Person) -> int | None:
    """The next moment after `at` at which a person is sent the week's notice."""
    if person.herd_week is None:
        return None
    moments = _moments(person.herd_week, at, desk.zone)
    return next((m for m in moments if m > at and person.round.cover(m, desk.zone)), None)


def _moments(when: WeekTime, around: int, zone: str) -> tuple[int, ...]:
    """When it is sent, from the week before a moment to the week after it, in order."""
    return _of_weeks(when, datetime.fromtimestamp(around, ZoneInfo(zone)).date().toordinal(), zone)


@lru_cache(maxsize=64)
def _of_weeks(when: WeekTime, today: int, zone: str) -> tuple[int, ...]:
    first = datetime.fromordinal(today).date()
    days = (first + timedelta(days=n) for n in range(-8, 9))
    return tuple(moment(day, when.minute, zone) for day in days if day.weekday() == when.day)
