"""A language in which every letter stands the other way round: what is said in it was translated."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sentinel.flow.language import Words


@dataclass(frozen=True)
class Backwards(Words):
    """A language in which every letter stands the other way round; its places stay."""

    def say(self, text: str) -> str:
        """The text from its end, its places as they were."""
        parts = text.replace("{", "|{").replace("}", "}|").split("|")
        return "".join(part if part.startswith("{") else part[::-1] for part in reversed(parts))

    def calendar(self, day: date) -> str:
        """A day as figures."""
        return day.isoformat()
