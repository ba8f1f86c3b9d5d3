"""The sections of a round's list: what could not wait and still stands, then place by place as one walks."""

from __future__ import annotations

from collections.abc import Sequence

from sentinel.flow.model import Alert, Subject, kind_of, name_of, natural_key

PRESSING = "Still standing"
PLACES = ("Boxes and milk room", "Cows", "Field", "Office")
"""The order in which the operator walks; the headings are said in the farm's language where a list is written."""


def place_of(alert: Alert, boxes: Sequence[str]) -> str:
    """Where the operator meets an alert's subject.

    A chore at a box is done at the box, one at any other place in the field, one without a place in the yard
    with the cows.
    """
    match kind_of(alert.subject):
        case "box" | "tank":
            return PLACES[0]
        case "cow" | "quarter" | "herd":
            return PLACES[1]
        case "chore":
            place = name_of(alert.subject).partition("/")[2]
            return PLACES[0] if place in boxes else PLACES[2] if place else PLACES[1]
        case _:
            return PLACES[3]


def at_box(subject: Subject, boxes: Sequence[str]) -> bool:
    """Whether what is told of a subject is looked into at a box: the box itself, or a chore done there."""
    return kind_of(subject) == "box" or (kind_of(subject) == "chore" and name_of(subject).partition("/")[2] in boxes)


def sections(alerts: Sequence[Alert], boxes: Sequence[str]) -> list[tuple[str, list[Alert]]]:
    """What a round's list names, under its headings: what could not wait and still stands, then place by place."""
    listed = [a for a in alerts if a.standing and a.urgency in ("now", "round") and a.listed and not a.old]
    found = [(PRESSING, sorted((a for a in listed if a.urgency == "now"), key=_order))]
    for place in PLACES:
        here = [a for a in listed if a.urgency == "round" and place_of(a, boxes) == place]
        found.append((place, _walked(here)))
    return [(heading, here) for heading, here in found if here]


def _order(alert: Alert) -> tuple[object, ...]:
    """Most pressing first: not answered, then standing longest."""
    return alert.answered, alert.since, natural_key(alert.subject), alert.id


def _walked(alerts: Sequence[Alert]) -> list[Alert]:
    """Most pressing first, with a cow's own alerts and her quarters' kept together."""

    def stop(alert: Alert) -> str:
        about_cow = kind_of(alert.subject) in ("cow", "quarter")
        return "cow:" + name_of(alert.subject).partition("/")[0] if about_cow else alert.subject

    first = {}
    for alert in sorted(alerts, key=_order, reverse=True):
        first[stop(alert)] = _order(alert)
    return sorted(alerts, key=lambda a: (first[stop(a)], natural_key(stop(a)), _order(a)))
