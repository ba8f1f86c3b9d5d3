"""What is being watched: the open incidents, and which way each is going."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from sentinel.flow.alerts.incidents import PRESSING, Incident, incidents
from sentinel.flow.model import Alert

Way = Literal["worse", "steady", "easing"]
ORDER: tuple[Way, ...] = ("worse", "steady", "easing")

BACK_BY = 0.1
"""A value has come back from its worst by more than this part of how far it had gone (our choice, no source)."""


@dataclass(frozen=True, slots=True)
class Watched:
    """One trouble that stands: its incident, the alert that says most of it, and which way that goes.

    `worse`: its value is about the worst it has had, and worse than when it was raised; `easing`: it has come back from
    its worst; `steady` otherwise.
    """

    incident: Incident
    alert: Alert
    way: Way


def watched(alerts: Iterable[Alert]) -> tuple[Watched, ...]:
    """What stands and has a line of its own, those that get worse first, then those that press."""
    firsts = [(one, one.alerts[0]) for one in incidents(a for a in alerts if a.standing and a.listed)]
    found = [Watched(incident, alert, way_of(alert)) for incident, alert in firsts]
    return tuple(sorted(found, key=_first))


def _first(one: Watched) -> tuple[int, int, int, int]:
    """Sort key: what gets worse, then what presses most, then as they came."""
    return ORDER.index(one.way), -PRESSING[one.alert.urgency], one.alert.came, one.alert.id


def way_of(alert: Alert) -> Way:
    """Which way a standing alert's value goes; what a person would be shown as the same figures is steady."""
    if alert.eased:
        return "easing"
    raised, worst, value = alert.raised_value, alert.worst_value, alert.value
    if not alert.course or raised is None or worst is None or value is None:
        return "steady"
    return "easing" if abs(value - worst) > BACK_BY * max(abs(worst - raised), abs(worst - value)) else "worse"
