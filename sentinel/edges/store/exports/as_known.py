"""The store as it was known at a moment, made again in memory; and the files and lines that rows came from.

Rows that came later are left out, and what was changed later is as it was before. Only a stretch of rows is brought, as
far back as decisions look, so that it costs the same on a farm of many years.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from sentinel.edges.store.database import Store, fetch
from sentinel.flow.model import DAY_S
from sentinel.flow.tables import MEASURED, Table

OWN_REACH_S = 70 * DAY_S
"""Chores, deliveries and what was set aside are brought from so long before."""


class RowSource(NamedTuple):
    """Where a row stands: the export file, its line (None: not kept then), when it was read, what it changed."""

    file: str
    line: int | None
    read_at: int
    changed: tuple[str, ...] = ()


def as_known(store: Store, at: int, files_to: int) -> Store:
    """A store in memory with what was known at a tick at `at` that knew files up to a number; see `bring_rows`."""
    past = Store(None)
    with past.writing() as conn:
        _copy(past, "files", fetch(store, "select * from files where id <= ?", (files_to,)))
        whole_later = (
            "select 1 from files g where g.feed = files.feed and g.file = files.file and g.id > files.id "
            "and g.continues = 0"
        )
        conn.execute(f"update files set mended = 0 where mended = 1 and file <> '' and not exists ({whole_later})")
        again = "select 1 from files g where g.feed = files.feed and g.id > files.id and g.reread <> ''"
        conn.execute(f"update files set void = 0 where void = 1 and not exists ({again})")
        since = at - OWN_REACH_S
        aside = "select s.* from set_aside s join files f on f.id = s.file_id where s.file_id <= ? and f.at >= ?"
        _copy(past, "set_aside", fetch(store, aside, (files_to, since)))
        _copy(past, "chores", fetch(store, "select * from chores where known_at <= ?", (at,)))
        conn.execute("update chores set undone_at = null where undone_at > ?", (at,))
        _copy(past, "notices", fetch(store, "select * from notices where at between ? and ?", (since, at)))
        ended = "select d.* from deliveries d join notices n on n.id = d.notice where d.known_at <= ? "
        ended += "and n.at between ? and ?"
        _copy(past, "deliveries", fetch(store, ended, (at, since, at)))
        _copy(past, "meta", fetch(store, "select * from meta where key = 'watched_since'"))
        feeds = fetch(store, "select * from feeds where feed in (select feed from files where id <= ?)", (files_to,))
        _copy(past, "feeds", feeds)
        known = (
            "select max(coalesce(max(newest, complete_until), newest, complete_until)) from files f "
            "where f.feed = feeds.feed and f.void = 0"
        )
        conn.execute(f"update feeds set known_until = ({known})")
    return past


def bring_rows(store: Store, past: Store, table: Table, files_to: int, begin: int) -> None:
    """Bring a measured table's rows of `begin` and later as they stood; all of one whose newest older row counts."""
    stretch = "1" if table.latest else f'"{table.happened}" >= {int(begin)}'
    place = table.key.index(table.happened)
    with past.writing() as conn:
        rows = fetch(store, f'select * from "{table.name}" where first_file <= ? and {stretch}', (files_to,))
        _copy(past, table.name, rows)
        where = " and ".join(f'"{name}" = ?' for name in table.key)
        later = (
            "select key, old from changes where file_id > ? and tab = ? "
            + ("" if table.latest else f"and json_extract(key, '$[{place}]') >= {int(begin)} ")
            + "order by id desc"
        )
        for key, old in fetch(store, later, (files_to, table.name)):
            was = json.loads(old)
            sets = ", ".join(f'"{name}" = ?' for name in was)
            conn.execute(f'update "{table.name}" set {sets} where {where}', (*was.values(), *json.loads(key)))


def row_sources(store: Store, table: Table, keys: Iterable[Sequence[Any]], files_to: int) -> list[list[RowSource]]:
    """For each row of a measured table, by its key, where it stands: its first file, then those that changed it."""
    if table not in MEASURED:
        return [[] for _ in keys]
    wanted = [tuple(key) for key in keys]
    where = " and ".join(f't."{name}" = ?' for name in table.key)
    first = f'select f.file, t.first_line, f.at from "{table.name}" t join files f on f.id = t.first_file where {where}'
    sources = {json.dumps(list(key)): [RowSource(*row) for row in fetch(store, first, key)] for key in wanted}
    changed = (
        "select c.key, f.file, c.line, f.at, c.new from changes c join files f on f.id = c.file_id where c.tab = ? "
        "and c.file_id <= ? and c.key in (select value from json_each(?)) order by c.id"
    )
    for key_text, file, line, at, new in fetch(store, changed, (table.name, files_to, json.dumps(list(sources)))):
        sources[key_text].append(RowSource(file, line, at, tuple(json.loads(new))))
    return [sources[json.dumps(list(key))] for key in wanted]


def _copy(past: Store, table: str, rows: Sequence[Any]) -> None:
    """Write rows of another store into the same table."""
    if rows:
        names = rows[0].keys()
        columns, marks = ", ".join(f'"{name}"' for name in names), ", ".join("?" * len(names))
        past.conn.executemany(f'insert into "{table}" ({columns}) values ({marks})', map(tuple, rows))
