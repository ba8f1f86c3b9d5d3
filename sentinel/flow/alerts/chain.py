"""The log's chain: each entry's hash covers the entry and the hash before it, so that no line can be changed,
taken out or put in without every later hash ceasing to fit.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass

from sentinel.flow.model import Entry
from sentinel.flow.reasons import Reason

START = "0" * 64
"""What stands in for the hash before the first entry."""

ENTRY_KINDS = (
    "start",
    "stop",
    "clock-jump",
    "read",
    "set-aside",
    "correction",
    "reread",
    "rules-changed",
    "rules-broken",
    "raised",
    "again",
    "more-pressing",
    "held-back",
    "let-through",
    "notice",
    "reminder",
    "delivered",
    "gave-up",
    "answer",
    "put-off",
    "handed",
    "chore",
    "chore-undone",
    "photo",
    "over",
    "problem",
)
"""Every kind of entry in the log."""


@dataclass(frozen=True, slots=True)
class Logged:
    """An entry as it stands in the log: its number (from 1), the hash before it and its own.

    The log says reasons in English; `reason` is that of the entry where it is known from elsewhere in the store, to be
    said in the farm's language. It is no part of what the chain covers.
    """

    seq: int
    entry: Entry
    previous: str
    hash: str
    reason: Reason | None = None


def link(previous: str, seq: int, entry: Entry) -> str:
    """The hash of an entry: SHA-256 over the hash before it and the entry as canonical JSON.

    >>> link(START, 1, Entry(0, "start"))[:8]
    'b7af91e5'
    """
    contents = [seq, entry.at, entry.kind, entry.alert, entry.rule, entry.subject, entry.person, dict(entry.body)]
    text = json.dumps(contents, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(f"{previous}\n{text}".encode()).hexdigest()


def chained(entries: Iterable[Entry], previous: str, seq: int) -> list[Logged]:
    """The entries as they follow the log's last entry, whose hash and number are given."""
    logged = []
    for entry in entries:
        seq += 1
        own = link(previous, seq, entry)
        logged.append(Logged(seq, entry, previous, own))
        previous = own
    return logged


def first_break(log: Iterable[Logged]) -> str:
    """In words, the first place where the chain does not fit; empty if it fits throughout."""
    previous, seq = START, 0
    for one in log:
        seq += 1
        if one.seq != seq:
            return f"entry {seq} is missing: the next one in the log is number {one.seq}"
        if one.previous != previous:
            return f"entry {seq} does not follow the one before it: something before it was changed or taken out"
        if link(previous, seq, one.entry) != one.hash:
            return f"entry {seq} was changed after it was written"
        previous = one.hash
    return ""
