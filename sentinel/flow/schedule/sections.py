"""The sections of a round's list: what could not wait and is still open, then place by place along the walk."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from sentinel.flow.alerts.incidents import place_of_trouble
from sentinel.flow.model import Alert, Subject, kind_of
from sentinel.flow.ordering import natural_key
from sentinel.flow.subjects import BOXES, PRESSING, STOPS, Place, belongs_to, place_of


def at_box(subject: Subject, boxes: Sequence[str]) -> bool:
    """Whether an alert on a subject is looked into at a box: on the box itself, or on a chore done there."""
    return place_of(subject, boxes) == BOXES


def sections(alerts: Sequence[Alert], boxes: Sequence[str]) -> list[tuple[Place, list[Alert]]]:
    """What a round's list names, by its parts: what could not wait and still stands, then place by place."""
    listed = _one_a_feed(a for a in alerts if a.standing and a.urgency in ("now", "round") and a.listed and not a.old)
    alerts_at = [(PRESSING, sorted((a for a in listed if a.urgency == "now"), key=_order))]
    for stop in STOPS[1:]:
        here = [a for a in listed if a.urgency == "round" and place_of(a.subject, boxes).stop == stop]
        alerts_at.append((stop, _walked(here)))
    return [(stop, here) for stop, here in alerts_at if here]


def seen_by(person: str, office: Collection[str], alerts: Iterable[Alert]) -> list[Alert]:
    """The alerts that a person's list may name: what could not be read of exports is for the `office`.

    Those are who looks after the computer and gets the list; if nobody does, everybody's list has them.
    """
    return [a for a in alerts if kind_of(a.subject) != "unread" or not office or person in office]


def _one_a_feed(alerts: Iterable[Alert]) -> list[Alert]:
    """Of what could not be read of one feed only the newest that nobody has answered, or else the newest."""
    found = list(alerts)
    newest: dict[Subject, Alert] = {}
    for alert in sorted(found, key=lambda a: (not a.answered, a.raised_at, a.id)):
        if kind_of(alert.subject) == "unread":
            newest[place_of_trouble(alert.subject)] = alert
    return [a for a in found if kind_of(a.subject) != "unread" or a in newest.values()]


def _order(alert: Alert) -> tuple[object, ...]:
    """Most pressing first: not answered, then standing longest."""
    return alert.answered, alert.since, natural_key(alert.subject), alert.id


def _walked(alerts: Sequence[Alert]) -> list[Alert]:
    """Most pressing first, with a cow's own alerts and her quarters' kept together."""

    def whose(alert: Alert) -> Subject:
        return next(iter(one for one in belongs_to(alert.subject) if kind_of(one) == "cow"), alert.subject)

    first = {}
    for alert in sorted(alerts, key=_order, reverse=True):
        first[whose(alert)] = _order(alert)
    return sorted(alerts, key=lambda a: (first[whose(a)], natural_key(whose(a)), _order(a)))
