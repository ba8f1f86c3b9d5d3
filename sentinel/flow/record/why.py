"""Why the phone rang or did not: what a rule saw, by which version of it, and what became of the alert."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sentinel.flow.model import Alert, Subject
from sentinel.flow.reasons import Reason
from sentinel.flow.record.evidence import Seen
from sentinel.flow.record.rule_version import RuleVersion
from sentinel.flow.record.story import Stood, Story


@dataclass(frozen=True, slots=True)
class RowShown:
    """One row it rested on: its table and moment, what it says, and where it stands, as (file, line or None)."""

    table: str
    at: int
    says: tuple[tuple[str, Any], ...]
    stands: tuple[tuple[str, int | None], ...]


@dataclass(frozen=True, slots=True)
class Usual:
    """How many other rows of a table told what is usual, of which stretch of time."""

    table: str
    rows: int
    begin: int
    end: int


@dataclass(frozen=True, slots=True)
class Why:
    """Everything known of why an alert came, or why none did, at `at`.

    `alert` and `story` are None where there was no alert; `stood`: the alert that stood at the moment asked about.
    `seen` is None where what was known cannot be put together again, and `cannot` says why. `told_value` is the value
    in the log, beside the one worked out again; `agrees` whether they are the same. `rows` are those it rested on.
    """

    at: int
    rule: str
    subject: Subject
    alert: Alert | None
    version: RuleVersion | None
    seen: Seen | None
    cannot: Reason | None
    rows: tuple[RowShown, ...]
    usual: tuple[Usual, ...]
    story: Story | None
    stood: Stood | None
    told_value: float | None = None
    agrees: bool | None = None


ALIKE = 1e-6
"""Two values that differ by less, in proportion, are the same."""


def agree(logged: float | None, found: float | None) -> bool:
    """Whether a value worked out again is the one in the log.

    >>> agree(14.0, 14.0000001), agree(14.0, 13.0), agree(None, None)
    (True, False, True)
    """
    if logged is None or found is None:
        return logged is found
    return abs(logged - found) <= ALIKE * max(1.0, abs(logged))
