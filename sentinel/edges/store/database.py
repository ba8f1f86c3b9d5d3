"""The store's database: one SQLite file (WAL), whole or not used, one writer at a time, each write inside `writing()`.

Reads and writes go through one connection behind a lock, so that any thread may use it; other processes write
under SQLite's own lock. `sqlite-utils` migrates the schema; all else uses the connection directly.
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from sentinel.edges.private import make_private
from sentinel.edges.store.damage import check, command, is_damage, looked_into, reading, way_back
from sentinel.edges.store.schema.opening import lacking, open_database
from sentinel.edges.store.write_lock import WAIT_S, write_lock
from sentinel.errors import DamagedError, LogChainError, StoreError


class Integrity:
    """Whether a store's file is whole: opened only if it is, watched by what its use says, looked into when asked.

    `damage` says in words what was found damaged while it was in use.
    """

    def __init__(self, path: Path | None) -> None:
        self.path = path
        self.damage = ""
        self._looked: set[str] = set()
        self._file: tuple[int, int] | None = None

    def opened(self) -> Database:
        """The store's file, opened.

        Raises DamagedError if it is no whole store, StoreError if it cannot be opened or a newer sentinel wrote it.
        """
        try:
            db = open_database(self.path)
            missing = lacking(db.conn) if self.path is not None else ""
        except sqlite3.DatabaseError as error:
            if self.path is not None and is_damage(error):
                raise DamagedError(way_back(self.path, f"SQLite says: {error}")) from error
            raise StoreError(f"{self.path} cannot be opened as a store: {error}") from error
        if missing and self.path is not None:
            db.conn.close()
            raise DamagedError(way_back(self.path, missing))
        self._file = _file_of(self.path)
        return db

    def note(self, error: BaseException) -> None:
        """Remember that the file is damaged, if that is what an error says, whichever thread meets it."""
        if not self.damage and is_damage(error):
            self.damage = f"SQLite says: {error}"

    def raise_if_damaged(self, error: BaseException | None = None) -> None:
        """Raise DamagedError if damage was noted, or is found now that an error makes one look; once for each error."""
        if self.path is None:
            return
        if not self.damage and _file_of(self.path) != self._file:
            self.damage = "its file was taken away or replaced while it was in use"
        if error is not None and not self.damage and repr(error) not in self._looked:
            self._looked.add(repr(error))
            self.damage = looked_into(self.path, error) or self._lacks()
        if self.damage:
            raise DamagedError(way_back(self.path, self.damage)) from error

    def _lacks(self) -> str:
        """What is missing that every store has, as far as it can be asked."""
        try:
            with reading(self.path or Path()) as conn:
                return lacking(conn)
        except sqlite3.Error:
            return ""

    def verify(self, conn: sqlite3.Connection) -> tuple[int, str]:
        """Look into all of it; the number of entries in the log and the last hash.

        Raises LogChainError at the first entry that does not fit, DamagedError if anything else is damaged.
        """
        try:
            damage = lacking(conn)
            if not damage:
                return check(conn)
        except DamagedError as error:
            damage = str(error)
        except LogChainError as error:
            back = f"; `{command(self.path)}` puts a backup of before in its place" if self.path is not None else ""
            raise LogChainError(f"{error}{back}") from error
        except sqlite3.DatabaseError as error:
            if not is_damage(error):
                raise
            damage = f"SQLite says: {error}"
        raise DamagedError(way_back(self.path or Path(), damage))


class Store:
    """A farm's store. Opening it brings its schema up to date. `undone` counts the transactions that were given up.

    `integrity` knows what was found damaged; `conn` is for the modules of this package alone.

    Raises DamagedError if the file is no whole store, StoreError if it cannot be opened, or was written by a newer
    sentinel.
    """

    def __init__(self, path: Path | None) -> None:
        """Open the store at `path`, or one in memory for None."""
        self.path = path
        self.undone = 0
        self.integrity = Integrity(path)
        self._lock = threading.RLock()
        self.conn: sqlite3.Connection = self.integrity.opened().conn

    def close(self) -> None:
        """Close the file; what was written stays."""
        with self._lock:
            self.conn.close()

    @contextmanager
    def writing(self, patience_s: float = WAIT_S) -> Iterator[sqlite3.Connection]:
        """One transaction, begun as a writer at once (a deferred one fails when two writers meet); may nest.

        Raises sqlite3.OperationalError if another process writes all through `patience_s`.
        """
        with self._lock:
            if self.conn.in_transaction:
                yield self.conn
                return
        self.integrity.raise_if_damaged()
        with write_lock(self.conn, self._lock, patience_s):
            try:
                yield self.conn
                self.conn.commit()
            except BaseException as error:
                self.integrity.note(error)
                self.undone += 1
                self.conn.rollback()
                raise

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """The connection, for this thread alone meanwhile; damage that an error tells of is remembered."""
        with self._lock:
            try:
                yield self.conn
            except sqlite3.Error as error:
                self.integrity.note(error)
                raise

    def verify(self) -> tuple[int, str]:
        """Check the log's chain and SQLite's own integrity; the number of entries and the last hash.

        Raises LogChainError at the first entry that does not fit, DamagedError if the file is damaged.
        """
        with self._lock:
            return self.integrity.verify(self.conn)

    def backup(self, target: Path) -> None:
        """A whole copy of the store, taken while it is in use; one file, its owner's alone, with nothing beside it."""
        with closing(sqlite3.connect(make_private(target))) as copy, self._lock, copy:
            self.conn.backup(copy)
            copy.execute("pragma journal_mode = delete")

    def shrink_memory(self) -> None:
        """Let go of the pages kept at hand: they lie in the operating system's cache all the same."""
        fetch(self, "pragma shrink_memory")

    def meta(self, key: str) -> str | None:
        """The value that is kept under a key."""
        rows = fetch(self, "select value from meta where key = ?", (key,))
        return rows[0][0] if rows else None

    def put_meta(self, key: str, value: str) -> None:
        """Keep a value under a key."""
        with self.writing() as conn:
            conn.execute("insert or replace into meta (key, value) values (?, ?)", (key, value))


def fetch(store: Store, sql: str, values: Sequence[Any] | Mapping[str, Any] = ()) -> list[sqlite3.Row]:
    """All rows of a query, for the modules of this package, which give it a name."""
    with store.reading() as conn:
        return conn.execute(sql, values).fetchall()


def _file_of(path: Path | None) -> tuple[int, int] | None:
    """Which file stands at a path, whatever is in it; None if there is none."""
    try:
        stat = path.stat() if path is not None else None
    except OSError:
        return None
    return None if stat is None else (stat.st_dev, stat.st_ino)
