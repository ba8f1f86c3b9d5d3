"""What the notices room knows about the farm: its people, rounds, zone, what its rules say, and in which words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import time
from typing import Protocol

from sentinel.flow.language import Words, english
from sentinel.flow.settings.people import Person


class RuleWords(Protocol):
    """The part of a rule that matters here: how often to remind, and what comes together (seconds, 0 is never)."""

    @property
    def measure(self) -> str:
        """The measure that it is about."""

    @property
    def remind_every_s(self) -> int:
        """Seconds between reminders."""

    @property
    def remind_most(self) -> int:
        """The most reminders that one person gets."""

    @property
    def together_s(self) -> int:
        """Alerts that follow one within so many seconds come in one notice."""


@dataclass(frozen=True, slots=True)
class Desk:
    """All that the notices room knows.

    `people` in the order they are told; `rounds` in the farm's wall-clock time; the worklist is sent
    `worklist_before_s` before each. `boxes` tells a chore at a box from one in the field.
    """

    people: tuple[Person, ...]
    rounds: tuple[time, ...] = ()
    worklist_before_s: int = 15 * 60
    zone: str = "UTC"
    boxes: tuple[str, ...] = ()
    rules: Mapping[str, RuleWords] = field(default_factory=dict)
    words: Words | None = None

    def speaks(self) -> Words:
        """The farm's words; English on its clock where none were given."""
        return english(self.zone) if self.words is None else self.words
