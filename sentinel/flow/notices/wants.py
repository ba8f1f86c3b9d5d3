"""Who should be told what, and from when: each alert looked at alone, without the ceiling of pushes.

Everything is worked out anew from the alerts and from what was sent; there is no other memory.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from sentinel.flow.model import DAY_S, Alert, Notice
from sentinel.flow.notices.desk import Desk
from sentinel.flow.settings.people import Person

TELLING = ("alert", "handed-on", "lies-with", "reminder", "digest", "still")
"""Kinds of notice after which a person has been told of each alert that it names."""

OWED_FOR_S = 2 * DAY_S
"""Seconds after its end for which the line that an alert is over is still sent."""


@dataclass(frozen=True, slots=True)
class Told:
    """One person who was told of an alert while it stands: first when, last when, how often."""

    person: str
    first_at: int
    last_at: int
    times: int


@dataclass(frozen=True, slots=True)
class Want:
    """Something to tell a person about one alert, from `due_at` on, when they may be reached.

    `kind`: `alert`, `handed-on`, `lies-with` (put off until now, or handed over), `reminder` or `over`.
    `unanswered`: who was told before and has not answered.
    """

    due_at: int
    person: Person
    kind: str
    alert: Alert
    unanswered: Told | None = None


def by_alert(sent: Iterable[Notice]) -> dict[int, list[Notice]]:
    """The notices that told of each alert or of its end, in the order they were sent."""
    notices_of: dict[int, list[Notice]] = defaultdict(list)
    for notice in sent:
        if notice.kind in TELLING or notice.kind == "over":
            for alert in notice.alerts:
                notices_of[alert].append(notice)
    return notices_of


def told_of(notices: Sequence[Notice]) -> list[Told]:
    """Who was told of an alert since anybody was last told that it is over, in the order they were first told.

    An alert that comes back after that line is news again; one that comes back before it is still the old one.
    """
    recipients: dict[str, Told] = {}
    for notice in notices:
        if notice.kind == "over":
            recipients.clear()
            continue
        before = recipients.get(notice.person)
        recipients[notice.person] = (
            replace(before, last_at=notice.at, times=before.times + 1)
            if before
            else Told(notice.person, notice.at, notice.at, 1)
        )
    return list(recipients.values())


def owed_the_end(notices: Sequence[Notice]) -> set[str]:
    """Who was told of an alert and has not been told since that it is over."""
    owed: set[str] = set()
    for notice in notices:
        if notice.kind == "over":
            owed.discard(notice.person)
        else:
            owed.add(notice.person)
    return owed


def wants(at: int, desk: Desk, alerts: Iterable[Alert], sent: Sequence[Notice]) -> list[Want]:
    """Everything to be told about these alerts, now (`due_at` is `at`) or later, if nothing else happens."""
    history = by_alert(sent)
    return [want for alert in alerts for want in _wants(at, desk, alert, history.get(alert.id, ()))]


def _wants(at: int, desk: Desk, alert: Alert, notices: Sequence[Notice]) -> Iterator[Want]:
    """What is to be told about one alert."""
    if alert.over_at is not None:
        if at - alert.over_at <= OWED_FOR_S:
            owed = owed_the_end(notices)
            for person in desk.people:
                due_at = person.now.next_on(max(at, alert.over_at), desk.zone)
                if person.name in owed and due_at is not None:
                    yield Want(due_at, person, "over", alert)
        return
    if alert.urgency != "now" or alert.answered or alert.covered_by:
        return
    people = {person.name: person for person in desk.people}
    lies_from = alert.lies_from
    if lies_from is not None:
        notices = [notice for notice in notices if notice.at >= lies_from]
    recipients = [one for one in told_of(notices) if one.person in people]
    if not recipients and lies_from is not None and alert.lies_with in people:
        due_at = people[alert.lies_with].now.next_on(max(at, lies_from), desk.zone)
        if due_at is not None:
            yield Want(due_at, people[alert.lies_with], "lies-with", alert)
            return
    if not recipients:
        first = _soonest(desk.people, max(at, lies_from or at), desk.zone)
        if first:
            yield Want(first[0], first[1], "alert", alert)
        return
    yield from _hand_on(at, desk, alert, recipients)
    yield from _remind(at, desk, alert, recipients, people)


def _hand_on(at: int, desk: Desk, alert: Alert, recipients: Sequence[Told]) -> Iterator[Want]:
    """The next in the list is told when the one told last has not answered in their time."""
    last = recipients[-1]
    place = next(n for n, person in enumerate(desk.people) if person.name == last.person)
    wait = desk.people[place].next_after_s
    if wait is None:
        return
    done = {one.person for one in recipients}
    others = [p for p in (*desk.people[place + 1 :], *desk.people[:place]) if p.name not in done]
    following = _soonest(others, max(at, last.first_at + wait), desk.zone)
    if following:
        yield Want(following[0], following[1], "handed-on", alert, unanswered=last)


def _remind(
    at: int, desk: Desk, alert: Alert, recipients: Sequence[Told], people: Mapping[str, Person]
) -> Iterator[Want]:
    """Those who were told are reminded, as often and as many times as the rule says."""
    rule = desk.rules.get(alert.rule)
    if rule is None or not rule.remind_every_s:
        return
    for one in recipients:
        due_at = people[one.person].now.next_on(max(at, one.last_at + rule.remind_every_s), desk.zone)
        if one.times <= rule.remind_most and due_at is not None:
            yield Want(due_at, people[one.person], "reminder", alert)


def _soonest(people: Iterable[Person], moment: int, zone: str) -> tuple[int, Person] | None:
    """Who of these may be reached first at or after a moment, and when; of several at once the first in the list."""
    shifts = [(due, n, p) for n, p in enumerate(people) if (due := p.now.next_on(moment, zone)) is not None]
    if not shifts:
        return None
    due_at, _, person = min(shifts, key=lambda one: one[:2])
    return due_at, person
