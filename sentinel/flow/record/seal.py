"""A day's seal: how far the log had come at its end, the hash it ended in, and what was counted in it.

The chain shows what was changed in passing; whoever owns the file can still make all of it anew. A seal that lies
elsewhere, with a person or on another disk, shows that too, and that an end was cut off.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from sentinel.flow.alerts.chain import START, Logged
from sentinel.flow.language import Words, told
from sentinel.flow.model import Entry, Notice, Problem, Source
from sentinel.flow.settings.people import moment

COUNTED = ("raised", "over", "answer", "notice", "delivered", "gave-up", "chore", "read", "set-aside", "rules-changed")
"""The kinds of entry that a seal counts by name; all of them are in the day's `entries`."""

_HASH = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class Seal:
    """The seal of a day on the farm's clock.

    `last` is the number of the log's last entry up to the day's end, 0 if there was none, and `head` its hash;
    `entries` how many came that day, and `counts` of which kinds.
    """

    farm: str
    day: str
    last: int
    head: str
    entries: int
    counts: Mapping[str, int] = field(default_factory=dict)


def day_bounds(day: date, zone: str) -> tuple[int, int]:
    """The moments at which a day of the farm's begins and ends, the second not included."""
    return moment(day, 0, zone), moment(day + timedelta(days=1), 0, zone)


def seal_of(farm: str, day: date, of_day: Iterable[Logged], last: Logged | None) -> Seal:
    """The seal of a day. `of_day`: its entries; `last`: the last entry of the log up to the day's end."""
    kinds = Counter(one.entry.kind for one in of_day)
    counts = {kind: kinds[kind] for kind in COUNTED if kinds[kind]}
    number, head = (last.seq, last.hash) if last else (0, START)
    return Seal(farm, day.isoformat(), number, head, kinds.total(), counts)


def seal_line(seal: Seal) -> str:
    """A seal as the line that is kept in a file: JSON, always the same for the same seal."""
    values = {"farm": seal.farm, "day": seal.day, "last": seal.last, "head": seal.head, "entries": seal.entries}
    return json.dumps({**values, "counts": dict(seal.counts)}, ensure_ascii=False, separators=(",", ":"))


def read_seals(text: str, name: str) -> tuple[list[Seal], list[Problem]]:
    """The seals of a file, one a line, and the lines that are none; empty lines are left out."""
    seals, problems = [], []
    for number, line in enumerate(text.splitlines(), 1):
        if line.strip():
            try:
                seals.append(_read(json.loads(line)))
            except (ValueError, TypeError, KeyError, RecursionError):
                problems.append(Problem(Source(name, number), "this line is no seal; was it changed or cut short?"))
    return seals, problems


def _read(given: object) -> Seal:
    """A seal from plain values; raises ValueError, TypeError or KeyError if it is none."""
    if not isinstance(given, dict):
        raise ValueError("a seal is an object")
    farm, day, last, head, entries = (given[name] for name in ("farm", "day", "last", "head", "entries"))
    counts = given["counts"]
    whole = all(isinstance(one, int) and not isinstance(one, bool) and one >= 0 for one in (last, entries))
    if not (whole and isinstance(farm, str) and isinstance(counts, dict) and _HASH.fullmatch(head)):
        raise ValueError("a seal has other values")
    date.fromisoformat(day)
    return Seal(farm, day, last, head, entries, {str(kind): int(n) for kind, n in counts.items()})


def broken_seals(seals: Iterable[Seal], hash_of: Callable[[int], str | None], last: int) -> list[str]:
    """In words, each seal that a log does not fit.

    `hash_of` gives the hash of the log's entry of a number, None if there is none; `last` is its last number.
    """
    said = []
    for seal in seals:
        found = START if seal.last == 0 else hash_of(seal.last)
        if found is None and seal.last > last:
            said.append(
                f"the log ends at entry {last}, but on {seal.day} entry {seal.last} was sealed: its end was cut off"
            )
        elif found is None:
            said.append(f"entry {seal.last}, which was sealed on {seal.day}, is not in this log")
        elif found != seal.head:
            said.append(
                f"entry {seal.last} is not the one that was sealed on {seal.day}: it or one before it was changed, "
                "and the log was made anew from there"
            )
    return said


SEAL = "seal"
"""The kind of notice that brings a seal, and of the log's entry about it."""

MOST_DAYS = 31
"""Of days that nobody was there to seal at most so many are sealed later, the newest."""


def days_due(last_sealed: str | None, today: date) -> list[date]:
    """The days that are over and not sealed yet, oldest first; of a farm that was never sealed only yesterday.

    A day ahead was sealed by a clock that was wrong, and counts as none.

    >>> [day.isoformat() for day in days_due("2026-05-01", date(2026, 5, 4))]
    ['2026-05-02', '2026-05-03']
    """
    yesterday = today - timedelta(days=1)
    last = None if last_sealed is None else date.fromisoformat(last_sealed)
    first = yesterday if last is None or last > yesterday else last + timedelta(days=1)
    first = max(first, yesterday - timedelta(days=MOST_DAYS - 1))
    return [first + timedelta(days=n) for n in range((yesterday - first).days + 1)]


def seal_entry(seal: Seal, at: int, to: Iterable[str]) -> Entry:
    """The log's entry that says that a day was sealed, and to where."""
    body = {"day": seal.day, "last": seal.last, "head": seal.head, "entries": seal.entries, "to": list(to)}
    return Entry(at, SEAL, body=body)


def seal_notice(seal: Seal, at: int, person: str, words: Words) -> Notice:
    """A seal as a notice that can wait: the counts, and the line that is to be kept."""
    day = words.calendar(date.fromisoformat(seal.day))
    counts = ", ".join(f"{words.say(LABELS[kind])} {words.number(n, 0)}" for kind, n in seal.counts.items())
    lines = [
        told(words, "{n|entry|entries} of the log that day, up to number {last}.", n=seal.entries, last=seal.last),
        counts,
        words.say("Keep this: it shows later that nothing up to then was changed."),
        seal_line(seal),
    ]
    title = told(words, "Seal of {day}", day=day)
    return Notice(at, person, SEAL, title, "\n".join(line for line in lines if line), "round")


LABELS = {
    "raised": "raised",
    "over": "over",
    "answer": "answer",
    "notice": "notice",
    "delivered": "delivered",
    "gave-up": "not delivered",
    "chore": "chore",
    "read": "read",
    "set-aside": "set aside",
    "rules-changed": "rules changed",
}
"""What each of `COUNTED` is called; the page's words for the log's kinds."""
