"""What people said of the alerts of a rule that were really raised: the episodes by which another bound is weighed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

from sentinel.flow.alerts.chain import Logged
from sentinel.flow.model import Alert, Subject

NOTHING_FOUND = "nothing found"
"""The answer of every rule that ships by which a look was for nothing; any other finding says that it was for
something."""

Label = Literal["real", "nothing found", "seen", ""]
"""What was said of an episode: something was found, nothing was, only that it was seen, or nobody answered."""


@dataclass(frozen=True, slots=True)
class Episode:
    """One alert that was really raised, with what people said; `found_at`: when something was first found."""

    subject: Subject
    raised_at: int
    over_at: int | None
    label: Label = ""
    found_at: int | None = None


class Standing(Protocol):
    """What stands for a time on a subject."""

    @property
    def subject(self) -> Subject:
        """What it is about."""

    @property
    def raised_at(self) -> int:
        """When it was raised."""

    @property
    def over_at(self) -> int | None:
        """When it was over, None if it stands."""


def episodes(alerts: Iterable[Alert], answers: Iterable[Logged]) -> list[Episode]:
    """The alerts of one rule with what was said of each; `answers`: the `answer` entries of the log.

    An alert that came again has its answers of before as well: whatever was once found was found.
    """
    said: dict[int, list[tuple[int, str]]] = defaultdict(list)
    for logged in answers:
        entry = logged.entry
        if entry.alert is not None:
            said[entry.alert].append((entry.at, str(entry.body.get("finding", ""))))
    return [_episode(alert, said[alert.id]) for alert in alerts]


def _episode(alert: Alert, said: Sequence[tuple[int, str]]) -> Episode:
    found = [at for at, finding in said if finding not in ("", NOTHING_FOUND)]
    label: Label = "real" if found else "nothing found" if any(finding for _, finding in said) else "seen"
    label = label if said else ""
    return Episode(alert.subject, alert.raised_at, alert.over_at, label, min(found, default=None))


def together(ones: Iterable[Standing], others: Iterable[Standing]) -> list[tuple[int, int]]:
    """Which stand at the same time on one subject: pairs of places, in order; what ends as another begins does not."""
    of_subject: dict[Subject, list[tuple[int, Standing]]] = defaultdict(list)
    for place, other in enumerate(others):
        of_subject[other.subject].append((place, other))
    return [
        (place, other_place)
        for place, one in enumerate(ones)
        for other_place, other in of_subject.get(one.subject, ())
        if stand_together(one, other)
    ]


def stand_together(one: Standing, other: Standing) -> bool:
    """Whether there is a moment at which both stand."""
    return (other.over_at is None or one.raised_at < other.over_at) and (
        one.over_at is None or other.raised_at < one.over_at
    )
