"""What a service tells its listeners as it happens: an export that was read, an alert that moved, plain words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from sentinel.flow.language import ENGLISH
from sentinel.flow.model import Entry
from sentinel.flow.views.parts.records import what_words

NAMED = 3
"""So many files that are waited for at once for the same reason are named each; of more the first one is."""


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


def heard_of(entry: Entry) -> Moved | str | None:
    """What a listener hears about an entry of the log; None for one that is told otherwise, or not at all."""
    if entry.kind in ("raised", "again", "more-pressing"):
        return Moved(f"{entry.kind} {entry.alert}: {entry.body.get('text', entry.rule)}")
    if entry.kind == "clock-jump":
        return what_words(entry, ENGLISH)
    if entry.kind in ("over", "answer", "reminder", "rules-changed", "rules-broken", "problem"):
        detail = entry.body.get("said") or "; ".join(map(str, entry.body.get("changes", []))) or entry.subject
        sentence = f"{entry.kind} {entry.alert or ''} {entry.rule} {detail}".replace("  ", " ")
        return Moved(sentence) if entry.kind in ("over", "reminder") else sentence
    return None


def waiting_words(now: Mapping[str, str], before: Mapping[str, str]) -> Iterator[str]:
    """What is said about files that are waited for, each with its reason, unless it was said `before`.

    A folder that was just filled is one line, not seven hundred.
    """
    names: dict[str, list[str]] = {}
    for name, why in now.items():
        if before.get(name) != why:
            names.setdefault(why, []).append(name)
    for why, names_of_why in names.items():
        shown = names_of_why if len(names_of_why) <= NAMED else [f"{names_of_why[0]} and {len(names_of_why) - 1} more"]
        yield from (f"waiting for {name}: {why}" for name in shown)
