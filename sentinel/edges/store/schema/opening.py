"""Opening the store's file: brought up to date, its owner's alone, and refused where it is damaged or newer."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from sqlite_utils import Database

from sentinel.edges.private import keep_private, make_private
from sentinel.edges.store.damage import at_first_sight, mark, refuse_what_is_gone, way_back
from sentinel.edges.store.schema.declared_columns import add_columns, columns_to_add, noted_columns
from sentinel.edges.store.schema.migrations import migrations
from sentinel.edges.store.write_lock import WAIT_S, impatient, tries
from sentinel.errors import DamagedError, StoreError


def open_database(path: Path | None) -> Database:
    """Open the store's file, or one in memory for None, and bring its schema up to date.

    Several processes may do so at once. The file is its owner's alone, and so are those that SQLite makes beside it,
    which take their rights from it. Raises StoreError if the file was written by a newer sentinel, DamagedError if it
    is damaged, or gone where there was one, before anything is written, and what else sqlite3 raises.
    """
    if path is not None:
        refuse_what_is_gone(path)
        damage = at_first_sight(path) if path.is_file() and path.stat().st_size else ""
        if damage:
            raise DamagedError(way_back(path, damage))
        make_private(path)
        for beside in ("-wal", "-shm", "-journal"):
            keep_private(path.with_name(path.name + beside))
    conn = sqlite3.connect(path or ":memory:", check_same_thread=False, timeout=WAIT_S, isolation_level=None)
    _use_wal(conn)
    conn.execute("pragma synchronous = full")  # a farm's computer loses power; a commit must outlive it
    conn.execute("pragma foreign_keys = on")
    conn.execute("pragma cache_size = -16384")  # 16 MB: more makes nothing faster
    conn.row_factory = sqlite3.Row
    db = Database(conn)
    known = {m.name for m in migrations._migrations} | noted_columns()
    newer = [m.name for m in migrations.applied(db) if m.name not in known]
    if newer:
        raise StoreError(f"{path} was written by a newer sentinel (it knows {newer[-1]}); update this one")
    if migrations.pending(db) or columns_to_add(conn):
        _migrate(db, conn)
    if path is not None:
        mark(path)
    return db


def lacking(conn: sqlite3.Connection) -> str:
    """The first table or column that the migrations make and that is not there; "" if all are."""
    fresh = open_database(None).conn
    for (name,) in fresh.execute("select name from sqlite_master where type = 'table'").fetchall():
        there = {row[1] for row in conn.execute(f'pragma table_info("{name}")')}
        for row in fresh.execute(f'pragma table_info("{name}")'):
            if row[1] not in there:
                return f"there is no {name}.{row[1]}" if there else f"there is no table {name}"
    return ""


def _use_wal(conn: sqlite3.Connection) -> None:
    """Switch the file to a write-ahead log.

    Of two processes that do so at once SQLite refuses one without waiting, so it is tried again; where another one
    keeps the file to itself each try would wait as well.
    """
    for left in tries(WAIT_S):
        try:
            with impatient(conn):
                conn.execute("pragma journal_mode = wal")
            return
        except sqlite3.OperationalError as error:
            if not left or "locked" not in str(error):
                raise


def _migrate(db: Database, conn: sqlite3.Connection) -> None:
    """Bring the schema up to date, unless another process has done so while this one waited to write."""
    conn.execute("begin immediate")
    try:
        migrations.apply(db)  # asks again what is missing
        add_columns(conn, migrations.name)
    except BaseException:
        conn.rollback()
        raise
    conn.commit()
