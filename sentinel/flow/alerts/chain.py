"""The log's chain: each entry's hash covers the entry and the hash before it, so that no line can be changed,
taken out or put in without every later hash ceasing to fit.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
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
    "rule-edited",
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
    "seal",
    "bundle",
    "name-replaced",
    "let-go",
    "log-cut",
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


def content(seq: int, entry: Entry) -> str:
    """An entry as canonical JSON: what its hash covers besides the hash before it."""
    values = [seq, entry.at, entry.kind, entry.alert, entry.rule, entry.subject, entry.person, dict(entry.body)]
    return json.dumps(values, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def link(previous: str, seq: int, entry: Entry) -> str:
    """The hash of an entry: SHA-256 over the hash before it and the entry as canonical JSON.

    >>> link(START, 1, Entry(0, "start"))[:8]
    'b7af91e5'
    """
    return hashlib.sha256(f"{previous}\n{content(seq, entry)}".encode()).hexdigest()


Replaced = tuple[int, int, str]
"""That an entry replaced a name in another one: its own number, the other's, and what that one's hash would be since.

That covers the hash before it too, or else all that comes before could be made anew.
"""


def list_digest(replaced: Iterable[tuple[int, str]]) -> str:
    """The digest of a list of entries in which a name was replaced, by number and digest, in order of number."""
    return hashlib.sha256("".join(f"{seq} {digest}\n" for seq, digest in sorted(replaced)).encode()).hexdigest()


def chained(entries: Iterable[Entry], previous: str, seq: int) -> list[Logged]:
    """The entries as they follow the log's last entry, whose hash and number are given."""
    logged = []
    for entry in entries:
        seq += 1
        own = link(previous, seq, entry)
        logged.append(Logged(seq, entry, previous, own))
        previous = own
    return logged


def first_break(log: Iterable[Logged], replaced: Iterable[Replaced] = (), begins_later: bool = False) -> str:
    """In words, the first place where the chain does not fit; empty if it fits throughout.

    An entry in which a name was replaced keeps its hash, and so the chain; what it says since is vouched for by the
    entry that says so. The log may begin later than with its first entry, where an entry in it says that it was cut;
    with `begins_later` it is a part of a log, which may begin anywhere and end before such entries.
    """
    rows = sorted(replaced)
    since = {number: digest for _, number, digest in rows}
    promises: list[Logged] = []
    begins: tuple[int, str] | None = None
    previous, seq = START, 0
    for one in log:
        if begins is None:
            begins = seq, previous = (one.seq - 1, one.previous) if one.seq > 1 else (0, START)
        seq += 1
        fault = _fault(one, seq, previous, since)
        if fault:
            return fault
        if one.entry.kind in ("name-replaced", "log-cut"):
            promises.append(one)
        previous = one.hash
    first = begins or (0, START)
    if begins_later:
        rows = [row for row in rows if first[0] < row[0] <= seq]
    return _unkept(promises, (0, START) if begins_later else first, rows)


def _fault(one: Logged, seq: int, previous: str, since: Mapping[int, str]) -> str:
    """What is wrong with the entry that should be number `seq` and follow the hash `previous`."""
    if one.seq != seq:
        return f"entry {seq} is missing: the next one in the log is number {one.seq}"
    if one.previous != previous:
        return f"entry {seq} does not follow the one before it: something before it was changed or taken out"
    if link(previous, seq, one.entry) == since.get(seq, one.hash):
        return ""
    return f"entry {seq} was changed after {'a name in it was replaced' if seq in since else 'it was written'}"


def _unkept(promises: Iterable[Logged], begins: tuple[int, str], replaced: Sequence[Replaced]) -> str:
    """What does not fit the entries that say that the log was cut, or that names in it were replaced."""
    claimed = {one.seq: one.entry.body.get("list") for one in promises if one.entry.kind == "name-replaced"}
    cuts = [
        (one.entry.body.get("up_to"), one.entry.body.get("hash")) for one in promises if one.entry.kind == "log-cut"
    ]
    if begins[0] and begins not in cuts:
        return f"entry 1 is missing: the next one in the log is number {begins[0] + 1}"
    for by in sorted({by for by, _, _ in replaced if by > begins[0]} | claimed.keys()):
        if list_digest((number, digest) for one, number, digest in replaced if one == by) != claimed.get(by):
            return f"entry {by} replaced a name, and the list of where it did was changed"
    return ""
