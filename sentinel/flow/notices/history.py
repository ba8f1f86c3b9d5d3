"""What was sent about alerts: who was told, and who still has to be told that they are over."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from sentinel.flow.model import Notice

TELLING = ("alert", "handed-on", "lies-with", "reminder", "digest", "still")
"""Kinds of notice after which a person has been told of each alert that it names."""

ONE_INCIDENT = ("alert", "handed-on", "lies-with", "reminder")
"""Kinds of notice that tell of one incident: the first alert they name is the one that says most."""

HAS_IT, OVER = "has-it", "over"
"""Kinds of notice that tell who has seen to it, and that it is over: they ring nobody."""


@dataclass(frozen=True, slots=True)
class Told:
    """One person who was told about an open incident: when first, when last, how often."""

    person: str
    first_at: int
    last_at: int
    times: int


class History:
    """The notices about some alerts or about their end, in the order they were sent."""

    def __init__(self, sent: Iterable[Notice]) -> None:
        self._by_alert: dict[int, list[tuple[int, Notice]]] = defaultdict(list)
        for place, notice in enumerate(sent):
            if notice.kind in (*TELLING, HAS_IT, OVER):
                for alert in notice.alerts:
                    self._by_alert[alert].append((place, notice))

    def of(self, alerts: Iterable[int]) -> list[Notice]:
        """Each of those that name any of these alerts, once."""
        found = {place: notice for alert in alerts for place, notice in self._by_alert.get(alert, ())}
        return [found[place] for place in sorted(found)]


def told_of(notices: Sequence[Notice]) -> list[Told]:
    """Who was told about an incident since anybody was last told that it is over, in the order they were first told.

    An incident that comes back after that line is news again; one that comes back before it is still the old one.
    """
    people: dict[str, Told] = {}
    for notice in notices:
        if notice.kind == OVER:
            people.clear()
        elif notice.kind in TELLING:
            before = people.get(notice.person)
            people[notice.person] = (
                replace(before, last_at=notice.at, times=before.times + 1)
                if before
                else Told(notice.person, notice.at, notice.at, 1)
            )
    return list(people.values())


def owed_the_end(notices: Sequence[Notice]) -> set[str]:
    """Who was told about an incident and has not been told since that it is over."""
    owed: set[str] = set()
    for notice in notices:
        if notice.kind == OVER:
            owed.discard(notice.person)
        elif notice.kind in TELLING:
            owed.add(notice.person)
    return owed
