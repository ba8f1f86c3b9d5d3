"""What is being watched: the open incidents, and which way each is going."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sentinel.flow.alerts.incidents import PRESSING, Incident, incidents
from sentinel.flow.model import Alert
from sentinel.flow.rules import Rule, Way, way_of

ORDER: tuple[Way, ...] = ("worse", "steady", "easing")


@dataclass(frozen=True, slots=True)
class Watched:
    """One trouble that stands: its incident, the alert that says most of it, and which way that goes."""

    incident: Incident
    alert: Alert
    way: Way


def watched(alerts: Iterable[Alert], rules: Mapping[str, Rule]) -> tuple[Watched, ...]:
    """What stands and has a line of its own, those that get worse first, then those that press."""
    firsts = [(one, one.alerts[0]) for one in incidents(a for a in alerts if a.standing and a.listed)]
    found = [Watched(incident, alert, way_of(alert, rules.get(alert.rule))) for incident, alert in firsts]
    return tuple(sorted(found, key=_first))


def alerts_in(found: Iterable[Watched]) -> int:
    """How many alerts these troubles are: so many lines the page of what is open has."""
    return sum(len(one.incident.alerts) for one in found)


def _first(one: Watched) -> tuple[int, int, int, int]:
    """Sort key: what gets worse, then what presses most, then as they came."""
    return ORDER.index(one.way), -PRESSING[one.alert.urgency], one.alert.came, one.alert.id
