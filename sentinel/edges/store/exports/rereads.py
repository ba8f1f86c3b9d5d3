"""What is to be read again: since which settings all was read, what somebody asked for, which files are left alone."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import NamedTuple

from sentinel.edges.store.database import Store, fetch

READ_BY = "read_by"
"""Under this name the store remembers the number of the settings by which all that it has was read."""


class Asked(NamedTuple):
    """A file or feed that is to be read again, or taken back and left alone; read by the settings from `since` on.

    `tried`: by which settings it was tried in vain.
    """

    number: int
    name: str
    withdraw: bool
    since: int
    tried: int | None


class ReadFile(NamedTuple):
    """A file that was read, and of which feed it was."""

    feed: str
    file: str


def texts_since(store: Store, number: int) -> list[dict[str, str]]:
    """The settings' texts from those with a number on, oldest first."""
    return [
        json.loads(row["text"])
        for row in fetch(store, "select text from settings where number >= ? order by number", (number,))
    ]


def read_by(store: Store) -> int:
    """The number of the settings by which all was read; 0 if nothing was yet."""
    return int(store.meta(READ_BY) or 0)


def settings_number(store: Store) -> int:
    """The number of the settings that are in use; 0 if none were yet."""
    return int(fetch(store, "select coalesce(max(number), 0) from settings")[0][0])


def put_read_by(store: Store, number: int) -> None:
    """Remember that all is read by the settings with this number."""
    if number != read_by(store):
        store.put_meta(READ_BY, str(number))


def ask(store: Store, name: str, at: int, *, withdraw: bool = False, since: int | None = None) -> None:
    """Leave word that a file or a feed is to be read again, or to be taken back and left alone from then on."""
    with store.writing() as conn:
        conn.execute(
            "insert into reread_asked (name, withdraw, since, at) values (?, ?, ?, ?)",
            (name, int(withdraw), read_by(store) if since is None else since, at),
        )


def asked(store: Store) -> list[Asked]:
    """What is to be read again or taken back and was not yet, in the order in which it was asked."""
    rows = fetch(store, "select id, name, withdraw, since, tried from reread_asked where done_at is null order by id")
    return [Asked(number, name, bool(withdraw), *rest) for number, name, withdraw, *rest in rows]


def tried(store: Store, number: int, settings: int) -> None:
    """What was asked could not be done by the settings with this number: it waits for others."""
    with store.writing() as conn:
        conn.execute("update reread_asked set tried = ? where id = ?", (settings, number))


def put_done(store: Store, numbers: Iterable[int], at: int) -> None:
    """What was asked is done."""
    with store.writing() as conn:
        conn.executemany("update reread_asked set done_at = ? where id = ?", [(at, number) for number in numbers])


def withdrawn(store: Store) -> set[str]:
    """The files that are left alone, as somebody has taken back what they gave."""
    return {row["file"] for row in fetch(store, "select file from withdrawn")}


def put_withdrawn(store: Store, files: Iterable[str], at: int, *, withdraw: bool) -> None:
    """From now on leave some files alone, or no more."""
    with store.writing() as conn:
        if withdraw:
            conn.executemany("insert or ignore into withdrawn (file, at) values (?, ?)", [(one, at) for one in files])
        else:
            conn.executemany("delete from withdrawn where file = ?", [(one,) for one in files])


def files_read(store: Store) -> list[ReadFile]:
    """Each file of which a reading counts, with its feed, in the order in which they were first read."""
    sql = "select feed, file from files where void = 0 and file <> '' group by feed, file order by min(id)"
    return [ReadFile(*row) for row in fetch(store, sql)]
