"""What a feed's files no longer give: its rows are withdrawn, its earlier readings count no more.

Nothing is removed: what stood is kept as with corrections, so that the past can be told as it was known.
"""

from __future__ import annotations

import json
import sqlite3

from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.edges.store.exports.ingest import Ingested, insert_file, reread_as_kept, rows_by_key, store_rows
from sentinel.edges.store.exports.provenance import NOBODY, Provenance
from sentinel.edges.store.log import append_entries
from sentinel.flow.model import Batch, Entry
from sentinel.flow.tables import MEASURED, Table, table_named

NAMED = 20
"""So many files, and rows, are named in the log's entry; of others it has the number."""


def take_back(store: Store, batch: Batch, at: int) -> Ingested:
    """Store that a feed no longer says some rows or columns, known at `at` (see `Batch`), or nothing of it.

    Its known-until, and what tables it fills, become those of the readings and rows that still count.
    """
    assert batch.reread is not None and batch.reread.files is not None
    with store.writing() as conn:
        merged = dict(rows_by_key(batch.rows))
        many = sum(map(len, merged.values()))
        columns = {"feed": batch.feed, "file": batch.file, "at": at, "sha256": "", "rows_read": many}
        columns |= {"rows_set_aside": 0, "reason": "", "mended": 1, "reread": reread_as_kept(batch.reread)}
        done = Ingested(insert_file(conn, columns), many, unread=True)
        provenance = Provenance(conn, batch)
        changes = [
            change
            for name, rows in merged.items()
            for change in store_rows(conn, table_named(name), rows, done, at, provenance, takes_back=True)
        ]
        done.corrected = len(changes)
        for file, newest_counts in batch.reread.files.items():
            _count_no_more(conn, batch.feed, file, newest_counts)
        _note_feed_anew(conn, batch.feed, at)
        withdrawn = [change for change in changes if change.new.get("deleted")]
        body = {
            "because": batch.reread.because,
            "files": len(batch.reread.files),
            "named": sorted(batch.reread.files)[:NAMED],
            "gone": len(batch.reread.gone),
            "gone_named": list(batch.reread.gone)[:NAMED],
            "withdrawn": len(withdrawn),
            "changed": batch.reread.changed,
            "rows": [[change.table, *change.key] for change in changes[:NAMED]],
        }
        append_entries(store, [Entry(at, "reread", subject=f"feed:{batch.feed}", body=body)])
    return done


def _count_no_more(conn: sqlite3.Connection, feed: str, file: str, newest_counts: bool) -> None:
    """The feed's readings of a file count no more, all of them or all but the newest."""
    conn.execute(
        "update files set void = 1, mended = 1 where feed = ? and file = ? "
        "and (not ? or id < (select max(id) from files where feed = ? and file = ?))",
        (feed, file, newest_counts, feed, file),
    )


def _note_feed_anew(conn: sqlite3.Connection, feed: str, at: int) -> None:
    """What is known of a feed, worked out anew from what still counts of it; a feed of nothing is let go."""
    noted = conn.execute("select tables from feeds where feed = ?", (feed,)).fetchone()
    if noted is None:
        return
    until = conn.execute(
        "select max(max(coalesce(newest, complete_until), coalesce(complete_until, newest))) from files "
        "where feed = ? and void = 0",
        (feed,),
    ).fetchone()[0]
    filled = [
        name for name in json.loads(noted["tables"]) if _fills(conn, feed, table_named(table_named(name).stored_as))
    ]
    conn.execute(
        "update feeds set tables = ?, known_until = ?, last_at = ? where feed = ?",
        (json.dumps(filled), until, at, feed),
    )
    if until is None and not filled:
        conn.execute("delete from feeds where feed = ?", (feed,))


def _fills(conn: sqlite3.Connection, feed: str, table: Table) -> bool:
    """Whether a row of a table that counts was told by a feed."""
    sql = (
        f'select 1 from "{table.name}" t where deleted = 0 and case when told_by is null '
        "then (select feed from files where id = t.first_file) = ? "
        "else exists (select 1 from tellers where id = t.told_by and feed = ?) end limit 1"
    )
    return conn.execute(sql, (feed, feed)).fetchone() is not None


def rows_from(store: Store, feed: str, file: str | None = None) -> dict[str, list[tuple[object, ...]]]:
    """Per table the keys of the rows that count and that a feed told, or that first came with a file of it."""
    found = {}
    for table in MEASURED:
        key = ", ".join(f't."{name}"' for name in table.key)
        sql = (
            f'select {key} from "{table.name}" t join files f on f.id = t.first_file where t.deleted = 0 '
            f"and coalesce(t.told_by, -1) <> {NOBODY} and (? is null or f.file = ?) and (f.feed = ? or exists "
            "(select 1 from tellers where id = t.told_by and feed = ?))"
        )
        rows = fetch(store, sql, (file, file, feed, feed))
        if rows:
            found[table.name] = [tuple(row) for row in rows]
    return found
