"""What was known when: the ticks in their order, and the settings they went by."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import NamedTuple

from sentinel.edges.store.database import Store, fetch


class TickRecord(NamedTuple):
    """A tick as it was recorded; `files_to` and `settings_to` are the last file and settings that it knew."""

    at: int
    kind: str
    jumped_s: int
    files_to: int
    settings_to: int


def tick_records(store: Store) -> list[TickRecord]:
    """Every tick that changed something, in the order in which they came."""
    rows = fetch(store, "select at, kind, jumped_s, files_to, settings_to from ticks order by number")
    return [TickRecord(*row) for row in rows]


def file_numbers(store: Store) -> list[int]:
    """The number of every file that was read, in the order in which they were."""
    return [row["id"] for row in fetch(store, "select id from files order by id")]


def last_tick(store: Store) -> int | None:
    """The moment of the last tick that changed something."""
    rows = fetch(store, "select at from ticks order by number desc limit 1")
    return int(rows[0]["at"]) if rows else None


def last_known(store: Store) -> int | None:
    """The last moment at which anything became known: a tick, or an export that was read and not yet decided on."""
    since = fetch(store, "select coalesce(max(files_to), 0) from ticks where number = (select max(number) from ticks)")
    read = fetch(store, "select at from files where id > ? order by id desc limit 1", (since[0][0],))
    return max((at for at in (last_tick(store), *(row["at"] for row in read)) if at is not None), default=None)


def put_settings(store: Store, at: int, texts: Mapping[str, str]) -> None:
    """Keep the settings' texts as they are from `at` on, unless they are the last ones kept."""
    text = json.dumps(dict(texts), sort_keys=True)
    with store.writing() as conn:
        last = conn.execute("select text from settings order by number desc limit 1").fetchone()
        if last is None or last["text"] != text:
            conn.execute("insert into settings (at, text) values (?, ?)", (at, text))


def settings_used(store: Store) -> list[tuple[int, dict[str, str]]]:
    """The settings' texts and from when they were used, oldest first."""
    rows = fetch(store, "select at, text from settings order by number")
    return [(row["at"], json.loads(row["text"])) for row in rows]
