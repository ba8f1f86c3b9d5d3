"""The sections of a round's list: what could not wait and still stands, then place by place as one walks."""

from __future__ import annotations

from collections.abc import Sequence

from sentinel.flow.model import Alert, Subject, kind_of, natural_key
from sentinel.flow.subjects import BOXES, PRESSING, STOPS, Place, belongs_to, place_of


def at_box(subject: Subject, boxes: Sequence[str]) -> bool:
    """Whether what is told of a subject is looked into at a box: the box itself, or a chore done there."""
    return place_of(subject, boxes) == BOXES


def sections(alerts: Sequence[Alert], boxes: Sequence[str]) -> list[tuple[Place, list[Alert]]]:
    """What a round's list names, by its parts: what could not wait and still stands, then place by place."""
    listed = [a for a in alerts if a.standing and a.urgency in ("now", "round") and a.listed and not a.old]
    alerts_at = [(PRESSING, sorted((a for a in listed if a.urgency == "now"), key=_order))]
    for stop in STOPS[1:]:
        here = [a for a in listed if a.urgency == "round" and place_of(a.subject, boxes).stop == stop]
        alerts_at.append((stop, _walked(here)))
    return [(stop, here) for stop, here in alerts_at if here]


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
