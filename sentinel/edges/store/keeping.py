"""What is let go once it was kept for as long as the farm says: rows, texts of what was set aside, the log's start.

A row that still counts stays however old it is: the newest of a cow, a box's event or a chore's place.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sentinel.edges.store.database import Store, fetch
from sentinel.edges.store.log import append_entries
from sentinel.flow.model import Entry
from sentinel.flow.tables import CHORES, MEASURED, Table

LET_GO_BEFORE = "let_go_before"
"""Under what it is kept up to when rows were let go: the past before is not told again whole."""


def old_rows(store: Store, before: int) -> dict[str, int]:
    """How many rows of each table of exports, and of chores, happened before a moment and count no more."""
    counts = {}
    for table in (*MEASURED, CHORES):
        [(number,)] = fetch(store, f'select count(*) from "{table.name}" t where {_past(table)}', {"before": before})
        counts[table.name] = int(number)
    return {name: number for name, number in counts.items() if number}


def let_go_rows(store: Store, before: int) -> dict[str, int]:
    """Delete them, with what once changed in them; how many of each table."""
    with store.writing() as conn:
        counts = old_rows(store, before)
        for table in (*MEASURED, CHORES):
            conn.execute(f'delete from "{table.name}" as t where {_past(table)}', {"before": before})
        for table in MEASURED:
            place = table.key.index(table.happened)
            fits = " and ".join(
                f"t.\"{name}\" = json_extract(changes.key, '$[{number}]')" for number, name in enumerate(table.key)
            )
            conn.execute(
                f"delete from changes where tab = ? and json_extract(key, '$[{place}]') < ? "
                f'and not exists (select 1 from "{table.name}" t where {fits})',
                (table.name, before),
            )
        store.put_meta(LET_GO_BEFORE, str(max(before, int(store.meta(LET_GO_BEFORE) or 0))))
    return counts


def _past(table: Table) -> str:
    """The condition that a row happened before `:before` and is not the newest of what it is about."""
    old = f't."{table.happened}" < :before'
    if table is CHORES:
        old += " and t.known_at is not null"
    if not table.latest:
        return old
    same = " and ".join(f'n."{name}" = t."{name}"' for name in table.key if name != table.happened)
    newer = f'select 1 from "{table.name}" n where {same} and n."{table.happened}" > t."{table.happened}"'
    return f'{old} and exists ({newer} and n."{table.happened}" <= :before)'


def old_aside(store: Store, before: int) -> int:
    """How many texts of rows that were set aside stem from files read before a moment."""
    sql = "select count(*) from set_aside s join files f on f.id = s.file_id where f.at < ? and s.row <> ''"
    return int(fetch(store, sql, (before,))[0][0])


def let_go_aside(store: Store, before: int) -> int:
    """Empty them: who it may have been and when stays, as alerts are weighed against that."""
    with store.writing() as conn:
        count = old_aside(store, before)
        conn.execute(
            "update set_aside set row = '' where row <> '' and file_id in (select id from files where at < ?)",
            (before,),
        )
    return count


def old_entries(store: Store, before: int) -> tuple[int, str]:
    """Up to which entry the log lies before a moment, and that one's hash; 0 if none does.

    An alert that stands keeps all of the log from when it was raised.
    """
    stands = fetch(store, "select min(raised_at) from alerts where over_at is null or over_at >= ?", (before,))[0][0]
    before = before if stands is None else min(before, int(stands))
    later = fetch(store, "select min(seq) from log where at >= ?", (before,))[0][0]
    rows = fetch(
        store, "select seq, hash from log where at < ? and (? is null or seq < ?) order by seq desc limit 1",
        (before, later, later),
    )  # fmt: skip
    return (int(rows[0]["seq"]), str(rows[0]["hash"])) if rows else (0, "")


def entries_up_to(store: Store, number: int) -> int:
    """How many entries the log has up to a number."""
    return int(fetch(store, "select count(*) from log where seq <= ?", (number,))[0][0])


def cut_log(store: Store, before: int, at: int) -> int:
    """Let go of the log's entries that lie before a moment, with the alerts that were over and the notices of then.

    An entry about it is added, which names the last one that is gone and its hash, so that what is left can still be
    proven to be the rest of what a seal once covered. How many are gone.
    """
    with store.writing() as conn:
        number, own = old_entries(store, before)
        if not number:
            return 0
        count = entries_up_to(store, number)
        with unguarded(conn):
            conn.execute("delete from log where seq <= ?", (number,))
        conn.execute("delete from replaced where by <= ?", (number,))
        limit = int(fetch(store, "select coalesce(min(at), ?) from log", (before,))[0][0])
        conn.execute("delete from deliveries where notice in (select id from notices where at < ?)", (limit,))
        conn.execute("delete from notices where at < ?", (limit,))
        conn.execute("delete from answers where known_at < ?", (limit,))
        named = "select alert from log where alert is not null"
        newest = "select max(id) from alerts group by rule, subject"
        conn.execute(f"delete from alerts where over_at < ? and id not in ({named}) and id not in ({newest})", (limit,))
        conn.execute("delete from ticks where at < ? and number < (select max(number) from ticks)", (limit,))
        append_entries(store, [Entry(at, "log-cut", body={"up_to": number, "hash": own, "entries": count})])
        store.put_meta(LET_GO_BEFORE, str(max(limit, int(store.meta(LET_GO_BEFORE) or 0))))
    return count


@contextmanager
def unguarded(conn: sqlite3.Connection) -> Iterator[None]:
    """Within a transaction, the log without the triggers that keep it from being changed; they are put back."""
    guards = conn.execute("select name, sql from sqlite_master where type = 'trigger' and tbl_name = 'log'").fetchall()
    for name, _ in guards:
        conn.execute(f'drop trigger "{name}"')
    yield
    for _, sql in guards:
        conn.execute(sql)


def photos_of_log(store: Store, before: int) -> list[str]:
    """The photos that were added before a moment and not again since, by their file's name."""
    rows = fetch(
        store,
        "select json_extract(body, '$.file') from log where kind = 'photo' group by 1 having max(at) < ? order by 1",
        (before,),
    )
    return [str(row[0]) for row in rows if row[0]]
