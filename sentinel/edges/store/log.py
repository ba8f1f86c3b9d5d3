"""The log: entries in their order, chained by their hashes, only ever appended to."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Sequence

from sentinel.edges.store.database import Store, fetch
from sentinel.flow.alerts.chain import START, Logged, Replaced, chained
from sentinel.flow.model import Entry


def append_entries(store: Store, entries: Iterable[Entry]) -> list[Logged]:
    """Append entries to the log, chained to what stands there."""
    with store.writing() as conn:
        last = conn.execute("select seq, hash from log order by seq desc limit 1").fetchone()
        seq, previous = (last["seq"], last["hash"]) if last else (0, START)
        logged = chained(entries, previous, seq)
        conn.executemany(
            "insert into log (seq, at, kind, alert, rule, subject, person, body, previous, hash) "
            "values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            [
                (
                    one.seq,
                    one.entry.at,
                    one.entry.kind,
                    one.entry.alert,
                    one.entry.rule,
                    one.entry.subject,
                    one.entry.person,
                    json.dumps(dict(one.entry.body), sort_keys=True, ensure_ascii=False),
                    one.previous,
                    one.hash,
                )
                for one in logged
            ],
        )
    return logged


def log_entries(
    store: Store,
    *,
    alert: int | None = None,
    kind: str | None = None,
    kinds: Sequence[str] = (),
    rule: str | None = None,
    subject: str | None = None,
    person: str | None = None,
    since: int | None = None,
    until: int | None = None,
) -> list[Logged]:
    """The log's entries in order, all or those of which everything given holds.

    `kinds`: of any of these. `subject`: about it or a part of it (`chore:filter`, `chore:filter/2`); `since` is
    included, `until` not.
    """
    asked = {
        "alert = :alert": alert,
        "kind = :kind": kind,
        "rule = :rule": rule,
        "(subject = :subject or subject like :subject || '/%')": subject,
        "person = :person": person,
        "at >= :since": since,
        "at < :until": until,
    }
    where = " and ".join(sql for sql, value in asked.items() if value is not None) or "1"
    values = {"alert": alert, "kind": kind, "rule": rule, "subject": subject, "person": person}
    values |= {"since": since, "until": until}
    if kinds:
        where += " and kind in (select value from json_each(:kinds))"
        values["kinds"] = json.dumps(kinds)
    return [_logged(row) for row in fetch(store, f"select * from log where {where} order by seq", values)]


def entries_after(store: Store, number: int) -> list[Logged]:
    """The log's entries that come after the one with this number, in order."""
    return [_logged(row) for row in fetch(store, "select * from log where seq > ? order by seq", (number,))]


def entries_between(store: Store, first: int, last: int) -> list[Logged]:
    """The log's entries from one number to another, both included."""
    return [
        _logged(row) for row in fetch(store, "select * from log where seq between ? and ? order by seq", (first, last))
    ]


def numbers_between(store: Store, begin: int, end: int) -> tuple[int, int] | None:
    """The numbers of the first and the last entry from a moment until before another; None if there is none."""
    first, last = fetch(store, "select min(seq), max(seq) from log where at >= ? and at < ?", (begin, end))[0]
    return None if first is None else (int(first), int(last))


def last_before(store: Store, at: int) -> Logged | None:
    """The last entry of the log before a moment; None if there is none."""
    rows = fetch(store, "select * from log where seq = (select max(seq) from log where at < ?)", (at,))
    return _logged(rows[0]) if rows else None


def last_entry(store: Store) -> Logged | None:
    """The log's last entry."""
    rows = fetch(store, "select * from log order by seq desc limit 1")
    return _logged(rows[0]) if rows else None


def names_replaced(store: Store) -> list[Replaced]:
    """In which entries a name was replaced, by which, and the digest of what each says since."""
    return [(row[0], row[1], row[2]) for row in fetch(store, "select by, seq, digest from replaced order by by, seq")]


def entry_with(store: Store, number: int) -> Logged | None:
    """The log's entry with this number."""
    rows = fetch(store, "select * from log where seq = ?", (number,))
    return _logged(rows[0]) if rows else None


def _logged(row: sqlite3.Row) -> Logged:
    body = json.loads(row["body"])
    entry = Entry(row["at"], row["kind"], row["alert"], row["rule"], row["subject"], row["person"], body)
    return Logged(row["seq"], entry, row["previous"], row["hash"])
