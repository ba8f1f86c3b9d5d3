"""When a worklist is sent, and to whom."""

from __future__ import annotations

from collections.abc import Sequence

from sentinel.flow.model import HOUR_S, Notice
from sentinel.flow.notices.desk import Desk
from sentinel.flow.schedule.rounds import rounds_around
from sentinel.flow.settings.people import Person

LATE_S = 2 * HOUR_S
"""Seconds for which a worklist that could not be sent in time is still worth sending."""


def _moments(desk: Desk, around: int) -> tuple[tuple[int, int], ...]:
    """Worklists from the day before a moment to a week after it: when each is sent, and when its round begins."""
    return tuple((begins - desk.worklist_before_s, begins) for begins in rounds_around(desk.rounds, around, desk.zone))


def worklist_due(at: int, desk: Desk, person: Person, sent: Sequence[Notice], since: int | None) -> int | None:
    """When the round begins for which a person is due the worklist at `at`; None if none is due.

    The latest one since the tick before, if it is not too late for it and it was not sent.
    """
    if not person.worklist or since is None:
        return None
    due = [
        (sends, begins)
        for sends, begins in _moments(desk, at)
        if since < sends <= at and at - sends <= LATE_S and person.round.cover(sends, desk.zone)
    ]
    if not due:
        return None
    sends, begins = due[-1]
    was_sent = any(n.kind == "worklist" and n.person == person.name and n.at >= sends for n in sent)
    return None if was_sent else begins


def next_worklist(at: int, desk: Desk, person: Person) -> int | None:
    """The next moment after `at` at which a person is sent a worklist."""
    if not person.worklist:
        return None
    moments = (sends for sends, _ in _moments(desk, at))
    return next((m for m in moments if m > at and person.round.cover(m, desk.zone)), None)
