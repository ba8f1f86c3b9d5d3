"""Who should be told what, and from when: each incident looked at alone, without the ceiling of pushes.

One trouble rings once. Who was told hears who has it, and that it is over. Everything is worked out anew from the
alerts and from what was sent; there is no other memory.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from sentinel.flow.alerts.incidents import Incident, incidents, place_of_trouble
from sentinel.flow.model import DAY_S, HOUR_S, Alert, Notice
from sentinel.flow.notices.desk import Desk
from sentinel.flow.notices.history import HAS_IT, OVER, TELLING, History, Told, owed_the_end, told_of
from sentinel.flow.notices.regular.list_times import next_worklist
from sentinel.flow.settings.people import DAYTIME, Person

OWED_FOR_S = 2 * DAY_S
"""Seconds after its end for which the line that an incident is over is still sent."""

HAS_IT_FOR_S = 12 * HOUR_S
"""Seconds after an answer for which those who were told before still hear who has it (our choice, no source)."""


@dataclass(frozen=True, slots=True)
class Want:
    """Something to tell a person about one incident, from `due_at` on, when they may be reached.

    `kind`: `alert`, `handed-on`, `lies-with` (put off until now, or handed over), `reminder`, `has-it` or `over`.
    `alerts`: those it is about, the one that says most first; `others`: what else of the incident is open.
    `unanswered`: who was told before and has not answered.
    """

    due_at: int
    person: Person
    kind: str
    incident: Incident
    alerts: tuple[Alert, ...]
    others: tuple[Alert, ...] = ()
    unanswered: Told | None = None

    @property
    def alert(self) -> Alert:
        """The one that says most."""
        return self.alerts[0]


def wants(at: int, desk: Desk, alerts: Iterable[Alert], sent: Sequence[Notice]) -> list[Want]:
    """Everything to be told about these alerts, now (`due_at` is `at`) or later, if nothing else happens."""
    history = History(sent)
    return [want for incident in incidents(alerts) for want in _wants(at, desk, incident, history)]


def _wants(at: int, desk: Desk, incident: Incident, history: History) -> Iterator[Want]:
    """What is to be told about one incident."""
    if not stands(incident):
        yield from _over(at, desk, incident, history)
        return
    pressing = [a for a in incident.alerts if a.standing and a.urgency == "now" and not (a.answered or a.covered_by)]
    if not pressing:
        yield from _answered(at, desk, incident, history)
        return
    known = {alert.id: _told_with(alert, incident) for alert in pressing}
    for alike in _alike(pressing, known, history):
        yield from _ring(at, desk, incident, alike, history.of({n for alert in alike for n in known[alert.id]}))


def _told_with(alert: Alert, incident: Incident) -> set[int]:
    """The alerts whose notices mentioned this one, too: those at the same place that it joined and nobody answered."""
    place = place_of_trouble(alert.subject)
    return {alert.id} | {
        other.id for other in incident.alerts if place_of_trouble(other.subject) == place and not other.answered
    }


def _alike(pressing: Sequence[Alert], known: Mapping[int, set[int]], history: History) -> list[list[Alert]]:
    """Pressing alerts of one incident by who has them, and by whether anybody was told about them."""
    groups: dict[tuple[object, ...], list[Alert]] = defaultdict(list)
    for alert in pressing:
        was_told = any(notice.kind in TELLING for notice in history.of(known[alert.id]))
        groups[(alert.lies_with, alert.lies_from, was_told)].append(alert)
    return list(groups.values())


def _ring(
    at: int, desk: Desk, incident: Incident, alerts: Sequence[Alert], notices: Sequence[Notice]
) -> Iterator[Want]:
    """Who is told about what cannot wait: the first, then the next if nobody answers; and who is reminded."""
    people = {person.name: person for person in desk.people}
    together = tuple(alerts)
    others = tuple(a for a in incident.alerts if a.standing and a not in together and not a.answered)
    lies_from, lies_with = together[0].lies_from, together[0].lies_with
    if lies_from is not None:
        earlier = [notice for notice in notices if notice.at < lies_from or notice.kind == HAS_IT]
        if lies_from > at or len(told_of(earlier)) > 1:  # if one was told, it is they who handed it over
            yield from _has_it(at, desk, incident, together[0], earlier, max(lies_from, at))
        notices = [notice for notice in notices if notice.at >= lies_from]
    before = [one for one in told_of(notices) if one.person in people]
    if not before and lies_from is not None and lies_with in people:
        due_at = people[lies_with].now.next_on(max(at, lies_from), desk.zone)
        if due_at is not None:
            yield Want(due_at, people[lies_with], "lies-with", incident, together, others)
            return
    if not before:
        first = _soonest(desk.people, max(at, lies_from or at), desk.zone)
        if first:
            yield Want(first[0], first[1], "alert", incident, together, others)
        return
    want = partial(Want, incident=incident, alerts=together, others=others)
    yield from _hand_on(at, desk, want, before)
    yield from _remind(at, desk, together, want, before)


def _hand_on(at: int, desk: Desk, want: Callable[..., Want], before: Sequence[Told]) -> Iterator[Want]:
    """The next in the list is told when the one told last has not answered in their time."""
    last = before[-1]
    place = next(n for n, person in enumerate(desk.people) if person.name == last.person)
    wait = desk.people[place].next_after_s
    if wait is None:
        return
    done = {one.person for one in before}
    others = [p for p in (*desk.people[place + 1 :], *desk.people[:place]) if p.name not in done]
    following = _soonest(others, max(at, last.first_at + wait), desk.zone)
    if following:
        yield want(following[0], following[1], "handed-on", unanswered=last)


def _remind(
    at: int, desk: Desk, alerts: Iterable[Alert], want: Callable[..., Want], before: Sequence[Told]
) -> Iterator[Want]:
    """Those who were told are reminded, as often and as many times as the rule of the first alert that has one says."""
    rules = (desk.rules.get(alert.rule) for alert in alerts)
    rule = next((one for one in rules if one is not None and one.remind_every_s), None)
    people = {person.name: person for person in desk.people}
    if rule is None:
        return
    for one in before:
        due_at = people[one.person].now.next_on(max(at, one.last_at + rule.remind_every_s), desk.zone)
        if one.times <= rule.remind_most and due_at is not None:
            yield want(due_at, people[one.person], "reminder")


def _answered(at: int, desk: Desk, incident: Incident, history: History) -> Iterator[Want]:
    """Those who were told hear who answered, while that is news."""
    seen_to = [a for a in incident.alerts if a.standing and a.answered and a.urgency == "now"]
    if not seen_to:
        return
    last = max(seen_to, key=lambda alert: (alert.answered_at or 0, -alert.id))
    notices = history.of(alert.id for alert in incident.alerts)
    yield from _has_it(at, desk, incident, last, notices, (last.answered_at or 0) + HAS_IT_FOR_S)


def _has_it(
    at: int, desk: Desk, incident: Incident, alert: Alert, notices: Sequence[Notice], until: int
) -> Iterator[Want]:
    """Those who were told hear who has it: the person who answered, put it off, or had it handed over."""
    people = {person.name: person for person in desk.people}
    holder = alert.answered_by or alert.lies_with
    heard = {notice.person: notice.at for notice in notices if notice.kind == HAS_IT}
    for one in told_of(notices):
        if one.person in people and one.person != holder and heard.get(one.person, -1) < one.last_at:
            due_at = people[one.person].now.next_on(at, desk.zone)
            if due_at is not None and due_at <= until:
                yield Want(due_at, people[one.person], HAS_IT, incident, (alert,))


def _over(at: int, desk: Desk, incident: Incident, history: History) -> Iterator[Want]:
    """Tell those who were told about an incident that it is over: by day, unless they asked for it at night.

    Whoever gets a worklist has it there, if somebody had answered: nothing is left to wait for.
    """
    end = _ended(at, incident, history)
    if end is None:
        return
    for person in desk.people:
        if person.name in end.owed and not (end.seen_to and next_worklist(at, desk, person) is not None):
            due_at = end_told_from(person, max(at, end.at), desk.zone)
            if due_at is not None:
                yield Want(due_at, person, OVER, incident, end.alerts)


def ends_for_list(at: int, desk: Desk, person: Person, alerts: Iterable[Alert], sent: Sequence[Notice]) -> list[Want]:
    """The incidents that are over and of which a person is told in their worklist."""
    history = History(sent)
    found = ((incident, _ended(at, incident, history)) for incident in incidents(alerts) if not stands(incident))
    return [Want(at, person, OVER, one, end.alerts) for one, end in found if end and person.name in end.owed]


@dataclass(frozen=True, slots=True)
class _End:
    """The end of an incident that people were told about: when, who is to be told, whether anybody had answered."""

    at: int
    owed: set[str]
    seen_to: bool
    alerts: tuple[Alert, ...]


def _ended(at: int, incident: Incident, history: History) -> _End | None:
    """The end of an incident, if it is not too long ago to tell; its alerts with those first that notices named."""
    ended_at = max((alert.over_at for alert in incident.alerts if alert.over_at is not None), default=0)
    if at - ended_at > OWED_FOR_S:
        return None
    notices = history.of(alert.id for alert in incident.alerts)
    named = {number for notice in notices if notice.kind in TELLING for number in notice.alerts}
    alerts = tuple(sorted(incident.alerts, key=lambda alert: alert.id not in named))
    seen_to = any(alert.answered for alert in alerts if alert.id in named)
    return _End(ended_at, owed_the_end(notices), seen_to, alerts)


def stands(incident: Incident) -> bool:
    """Whether any of it is still open that a person is told about.

    What only was a consequence, and can wait, does not keep it open: it is a matter of its own once its cause is over.
    """
    return any(
        alert.standing and (alert.urgency == "now" or (alert.urgency == "round" and not alert.incident_at))
        for alert in incident.alerts
    )


def end_told_from(person: Person, moment: int, zone: str) -> int | None:
    """From when a person may be told that something is over: in their hours, by day unless they asked for the night."""
    due_at = person.now.next_on(moment, zone)
    if due_at is None or person.over_at_night:
        return due_at
    by_day = DAYTIME.next_on(due_at, zone)
    return None if by_day is None else person.now.next_on(by_day, zone)


def _soonest(people: Iterable[Person], moment: int, zone: str) -> tuple[int, Person] | None:
    """Who of these may be reached first at or after a moment, and when; of several at once the first in the list."""
    found = [(due, n, p) for n, p in enumerate(people) if (due := p.now.next_on(moment, zone)) is not None]
    if not found:
        return None
    due_at, _, person = min(found, key=lambda one: one[:2])
    return due_at, person
