"""What became of an alert, from the log and the notices: what held it back, who was told how, who had it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from sentinel.flow.alerts.chain import Logged
from sentinel.flow.model import HOUR_S, Alert, Notice, Subject
from sentinel.flow.reasons import Reason
from sentinel.flow.settings.people import Person

CAME = ("raised", "again", "more-pressing")
"""The kinds of entry by which an alert comes, or presses more."""

HANDLED = ("answer", "put-off", "handed")


@dataclass(frozen=True, slots=True)
class HeldBack:
    """A stretch in which an alert's pushes were held back; `until` None while it lasts. `by` are rule and subject."""

    since: int
    until: int | None
    by: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sent:
    """A notice by one channel: `outcome` is `waiting`, `delivered`, `gave_up`, or `kept` where it went by none.

    `at`: when it ended; `tries` how often it was tried; `detail` what the channel said. `names`: whether it names the
    alert itself, or only others of its incident.
    """

    notice: Notice
    channel: str
    outcome: str
    at: int | None
    tries: int
    detail: Reason | None
    names: bool


@dataclass(frozen=True, slots=True)
class Had:
    """Who had it from a moment on: `kind` is `answer`, `put-off` or `handed`, `entry` its number in the log."""

    at: int
    kind: str
    person: str
    entry: int
    finding: str
    note: str
    to: str
    until: int | None


@dataclass(frozen=True, slots=True)
class NotTold:
    """A person who was not told of it as a push of its own, and why.

    `why`: `no-channel`, `hours` (from `from_at` on, None: never), `ceiling` (`pushes` in the hour before), `next`
    (comes after others in the list) or `nobody` (could have been told, and nobody was).
    """

    person: str
    why: str
    from_at: int | None = None
    pushes: int = 0


@dataclass(frozen=True, slots=True)
class Story:
    """What became of an alert. `rang`: whether a notice that rings was delivered for it or its incident."""

    held_back: tuple[HeldBack, ...]
    sent: tuple[Sent, ...]
    not_told: tuple[NotTold, ...]
    had: tuple[Had, ...]
    rang: bool


DeliveryRow = tuple[str, str, str, int, int | None, Reason | None]
"""A delivery as the store keeps it: notice, channel, outcome, tries, when it ended, what the channel said."""


def story(
    alert: Alert,
    log: Iterable[Logged],
    notices: Sequence[Notice],
    deliveries: Iterable[DeliveryRow],
    people: Sequence[Person],
    zone: str,
    pushed: Mapping[str, Sequence[int]],
    at: int,
    pushes: Collection[str],
    telling: Collection[str],
) -> Story:
    """What became of an alert.

    `log`: its entries; `notices`: those about it or its incident; `people`: as they stood when it came; `pushed`: per
    person the moments of all pushes in the hour before it came. `at`: the moment it came. `pushes`, `telling`: the
    kinds of notice that are pushed, and those of them that tell of an alert.
    """
    own = sorted((one for one in log if one.entry.alert == alert.id), key=lambda one: one.seq)
    sent = _sent(alert, notices, deliveries)
    told = {one.notice.person for one in sent if one.notice.kind in pushes and one.notice.urgency != "log"}
    not_told = tuple(
        _not_told(person, zone, at, pushed.get(person.name, ()), bool(told))
        for person in people
        if person.name not in told
    )
    rang = any(one.outcome == "delivered" and one.notice.kind in telling for one in sent)
    return Story(_held_back(own), sent, not_told, _had(own), rang)


def _held_back(log: Sequence[Logged]) -> tuple[HeldBack, ...]:
    """The stretches in which it was held back."""
    stretches: list[HeldBack] = []
    for one in log:
        kind, at = one.entry.kind, one.entry.at
        if kind == "held-back":
            stretches.append(HeldBack(at, None, tuple(map(str, one.entry.body.get("covered_by", ())))))
        elif kind in ("let-through", "over") and stretches and stretches[-1].until is None:
            stretches[-1] = HeldBack(stretches[-1].since, at, stretches[-1].by)
    return tuple(stretches)


def _sent(alert: Alert, notices: Sequence[Notice], deliveries: Iterable[DeliveryRow]) -> tuple[Sent, ...]:
    """Each notice with each of its deliveries."""
    by_notice: dict[str, list[DeliveryRow]] = {}
    for row in deliveries:
        by_notice.setdefault(row[0], []).append(row)
    found = []
    for notice in notices:
        names = alert.id in notice.alerts
        rows = by_notice.get(notice.id, [])
        found += [Sent(notice, row[1], row[2], row[4], row[3], row[5], names) for row in rows]
        found += [] if rows else [Sent(notice, "", "kept", None, 0, None, names)]
    return tuple(found)


def _had(log: Sequence[Logged]) -> tuple[Had, ...]:
    """Who answered it, put it off or handed it on, in order."""
    had = []
    for one in log:
        entry, body = one.entry, one.entry.body
        if entry.kind in HANDLED:
            given, until = body.get("answered_at", entry.at), body.get("until")
            finding, note, to = (str(body.get(name, "") or "") for name in ("finding", "note", "to"))
            lies_until = None if until is None else int(until)
            had.append(Had(int(given), entry.kind, entry.person, one.seq, finding, note, to, lies_until))
    return tuple(had)


def _not_told(person: Person, zone: str, at: int, pushed: Sequence[int], others: bool) -> NotTold:
    """Why a person got no push of it."""
    if not person.channels:
        return NotTold(person.name, "no-channel")
    reached = person.now.next_on(at, zone)
    if reached != at:
        return NotTold(person.name, "hours", reached)
    lately = sum(at - HOUR_S < one <= at for one in pushed)
    if lately >= person.at_most:
        return NotTold(person.name, "ceiling", pushes=lately)
    return NotTold(person.name, "next" if others else "nobody")


def came_entry(log: Iterable[Logged], alert: int) -> Logged | None:
    """The entry by which an alert came last: raised, again or more pressing."""
    own = [one for one in log if one.entry.alert == alert and one.entry.kind in CAME]
    return max(own, key=lambda one: one.seq, default=None)


@dataclass(frozen=True, slots=True)
class Stood:
    """An alert that stood at a moment: since when it had come, since when the trouble began, what held it back."""

    alert: int
    came_at: int
    since: int
    held_back_by: tuple[str, ...]


def stood_at(log: Iterable[Logged], rule: str, subject: Subject, at: int) -> Stood | None:
    """The alert of a rule on a subject that stood at a moment, as the log tells it; None if none did."""
    stands: Stood | None = None
    for one in sorted(log, key=lambda one: one.seq):
        entry, body = one.entry, one.entry.body
        if (entry.rule, entry.subject) != (rule, subject) or entry.at > at or entry.alert is None:
            continue
        if entry.kind in ("raised", "again"):
            stands = Stood(entry.alert, entry.at, int(body.get("since", entry.at)), ())
        elif entry.kind == "over":
            stands = None
        elif stands is not None and entry.kind in ("held-back", "let-through"):
            by = tuple(map(str, body.get("covered_by", ()))) if entry.kind == "held-back" else ()
            stands = Stood(stands.alert, stands.came_at, stands.since, by)
    return stands
