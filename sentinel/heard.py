"""What the service tells of while it works, for a log or a screen; `str` gives the words."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Read:
    """An export that was read: what it gave, and how many more are known to be waiting to be read."""

    name: str
    feed: str
    rows: int
    set_aside: int
    left: int

    def __str__(self) -> str:
        """In words."""
        aside = f", {self.set_aside} set aside" if self.set_aside else ""
        return f"read {self.name}: {self.rows} rows{aside}"


@dataclass(frozen=True, slots=True)
class Moved:
    """An alert that was raised, came again, presses more or ended, in words."""

    text: str

    def __str__(self) -> str:
        """In words."""
        return self.text
