"""Small days on an invented farm, lived through as the engine does: what the tests of notices share."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, time
from zoneinfo import ZoneInfo

from sentinel.flow.model import Alert, Notice
from sentinel.flow.notices import Desk, next_due, plan
from sentinel.flow.settings.people import Person, read_hours

ZONE = "Europe/Berlin"
MIN = 60


def at(text: str, day: str = "2026-05-04") -> int:
    """UTC seconds of a wall-clock time in the farm's zone; 4 May 2026 is a Monday."""
    return int(
        datetime.fromisoformat(text if "T" in text else f"{day}T{text}").replace(tzinfo=ZoneInfo(ZONE)).timestamp()
    )


def clock(seconds: int) -> str:
    """A moment as the farm's clock shows it, with the day of the month if it is not the 4th."""
    then = datetime.fromtimestamp(seconds, ZoneInfo(ZONE))
    return f"{then:%H:%M}" if then.day == 4 else f"{then.day}. {then:%H:%M}"


@dataclass(frozen=True)
class Words:
    """What these tests need of a rule."""

    remind_every_s: int = 0
    remind_most: int = 0
    together_s: int = 0
    measure: str = "failed_attachments"


def person(name: str, **given) -> Person:
    """A person who may always be reached, is followed after 20 min and takes 6 pushes per hour, unless said."""
    hours = {key: read_hours(given.pop(key)) for key in ("now", "round") if key in given}
    return Person(name, (f"{name.lower()}-phone",), **{**hours, **given})


def desk(*people: Person, **given) -> Desk:
    """A farm with three boxes and two rounds."""
    rounds = (time(6, 30), time(16, 30))
    return Desk(**{"people": people, "rounds": rounds, "zone": ZONE, "boxes": ("1", "2", "3"), **given})


def alert(number: int, raised: int, text: str = "", **given) -> Alert:
    """A standing alert that cannot wait, unless said otherwise."""
    given = {"rule": "box-failures", "subject": f"box:{number}", "urgency": "now", "since": raised, **given}
    return Alert(id=number, raised_at=raised, text=text or f"Alert {number}", **given)


Event = tuple[int, Alert]


def live(farm: Desk, events: Iterable[Event], until: int, extra: Iterable[int] = (), known=None) -> list[Notice]:
    """Live through events as the engine does: at each of them, and at each moment that was said to be due."""
    waiting = sorted(events, key=lambda event: event[0])
    extras = sorted(extra)
    alerts: dict[int, Alert] = {}
    sent: list[Notice] = []
    since = None
    due: int | None = None
    while True:
        upcoming = [
            m for m in (due, waiting[0][0] if waiting else None, extras[0] if extras else None) if m is not None
        ]
        if not upcoming or min(upcoming) > until:
            return sent
        now = min(upcoming)
        while waiting and waiting[0][0] <= now:
            _, happened = waiting.pop(0)
            alerts[happened.id] = happened
        extras = [m for m in extras if m > now]
        sent += plan(now, farm, list(alerts.values()), sent, since, known or {})
        since = now
        due = next_due(now, farm, list(alerts.values()), sent)
        assert due is None or due > now


def table(notices: Iterable[Notice]) -> list[str]:
    """Notices as lines: when, to whom, what kind, which alerts."""
    return [f"{clock(n.at)} {n.person} {n.kind} {' '.join(str(a) for a in n.alerts)}".strip() for n in notices]
