"""A person's name replaced wherever a store has it, without breaking the log's chain.

Every entry of the log keeps its hash. What its hash would be since is noted, and an entry that is
added to the log covers the list of these: so a later change is found as before, and it is known which were changed.
"""

from __future__ import annotations

import json
import re
import sqlite3
from typing import Any

from sentinel.edges.store.database import Store
from sentinel.edges.store.keeping import unguarded
from sentinel.edges.store.log import append_entries, log_entries
from sentinel.flow.alerts.chain import link, list_digest
from sentinel.flow.model import Entry

TEXTS = {
    "answers": ("person", "note", "hand_to"),
    "chores": ("person", "note"),
    "alerts": ("answered_by", "note", "lies_with"),
    "notices": ("person", "title", "body"),
    "page_links": ("person",),
    "shut_out": ("person",),
    "sent": ("person", "what", "said"),
}
"""The columns that hold names or what people wrote, by table, besides the log and the settings."""


def names_in(store: Store, name: str) -> int:
    """How many entries of the log name a person."""
    found = _pattern(name)
    return sum(_names(one.entry, found) for one in log_entries(store))


def replace_name(store: Store, name: str, by: str, at: int, asked_by: str, why: str) -> int:
    """Write another name wherever a person is named; how many entries of the log were changed.

    In one transaction: it is done wholly or not at all.
    """
    found = _pattern(name)

    def renamed(text: str | None) -> str | None:
        return None if text is None else found.sub(by, text)

    def in_json(text: str | None) -> str | None:
        return None if text is None else json.dumps(_replaced(json.loads(text), found, by), sort_keys=True)

    with store.writing() as conn:
        conn.create_function("renamed", 1, renamed, deterministic=True)
        conn.create_function("renamed_in_json", 1, in_json, deterministic=True)
        for table, columns in TEXTS.items():
            sets = ", ".join(f"{column} = renamed({column})" for column in columns)
            conn.execute(f"update or replace {table} set {sets}")
        conn.execute("update settings set text = renamed_in_json(text) where text <> renamed_in_json(text)")
        changed = _rename_log(store, conn, found, by)
        number = int(conn.execute("select coalesce(max(seq), 0) + 1 from log").fetchone()[0])
        conn.executemany("insert into replaced (by, seq, digest) values (?, ?, ?)", [(number, *row) for row in changed])
        body = {"as": by, "entries": len(changed), "list": list_digest(changed), "why": why}
        append_entries(store, [Entry(at, "name-replaced", person=asked_by, body=body)])
    return len(changed)


def _rename_log(store: Store, conn: sqlite3.Connection, found: re.Pattern[str], by: str) -> list[tuple[int, str]]:
    """Replace the name in the log; the number and the digest of each entry that was changed."""
    changed = []
    with unguarded(conn):
        for one in log_entries(store):
            if _names(one.entry, found):
                person, body = found.sub(by, one.entry.person), _replaced(dict(one.entry.body), found, by)
                entry = Entry(
                    one.entry.at, one.entry.kind, one.entry.alert, one.entry.rule, one.entry.subject, person, body
                )
                text = json.dumps(body, sort_keys=True, ensure_ascii=False)
                conn.execute("update log set person = ?, body = ? where seq = ?", (person, text, one.seq))
                changed.append((one.seq, link(one.previous, one.seq, entry)))
    return changed


def _pattern(name: str) -> re.Pattern[str]:
    """A name as a word of its own, however it is written in a text."""
    return re.compile(rf"(?<!\w){re.escape(name)}(?!\w)")


def _names(entry: Entry, found: re.Pattern[str]) -> bool:
    """Whether an entry names somebody."""
    return bool(found.search(entry.person)) or _in(dict(entry.body), found)


def _in(value: Any, found: re.Pattern[str]) -> bool:
    if isinstance(value, str):
        return bool(found.search(value))
    if isinstance(value, dict):
        return any(_in(one, found) for one in (*value.keys(), *value.values()))
    return isinstance(value, list) and any(_in(one, found) for one in value)


def _replaced(value: Any, found: re.Pattern[str], by: str) -> Any:
    """Plain values with the name replaced in every text."""
    if isinstance(value, str):
        return found.sub(by, value)
    if isinstance(value, dict):
        return {found.sub(by, str(name)): _replaced(one, found, by) for name, one in value.items()}
    return [_replaced(one, found, by) for one in value] if isinstance(value, list) else value
