"""The store's database: one SQLite file (WAL), one writer at a time, every write inside `writing()`.

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

from sentinel.edges.private import make_private
from sentinel.edges.whole import Whole
from sentinel.edges.write_lock import WAIT_S, write_lock


class Store:
    """A farm's store. Opening it brings its schema up to date. `undone` counts the transactions that were given up.

    `whole` knows what was found damaged; `conn` is for the modules of this package alone. Raises DamagedError if the
    file is no whole store, StoreError if it cannot be opened, or was written by a newer sentinel.
    """

    def __init__(self, path: Path | None) -> None:
        """Open the store at `path`, or one in memory for None."""
        self.path = path
        self.undone = 0
        self.whole = Whole(path)
        self._lock = threading.RLock()
        self.conn: sqlite3.Connection = self.whole.opened().conn

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
        self.whole.raise_if_damaged()
        with write_lock(self.conn, self._lock, patience_s):
            try:
                yield self.conn
                self.conn.commit()
            except BaseException as error:
                self.whole.note(error)
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
                self.whole.note(error)
                raise

    def verify(self) -> tuple[int, str]:
        """Check the log's chain and SQLite's own integrity; the number of entries and the last hash.

        Raises LogChainError at the first entry that does not fit, DamagedError if the file is damaged.
        """
        with self._lock:
            return self.whole.verify(self.conn)

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
