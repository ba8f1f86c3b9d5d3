"""The database's write lock: while another process holds it, those who only read need not wait as well."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager

WAIT_S = 30.0
"""How long another process that writes, or is just making the file, is waited for."""

TRY_S, PAUSE_S = 0.01, 0.04
"""So long each try waits for the other process, and so long in between the readers of this one come in."""


def locked(error: BaseException | None) -> bool:
    """Whether an error says that another process holds the file."""
    while error is not None:
        if getattr(error, "sqlite_errorcode", 0) & 0xFF in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
            return True
        error = error.__cause__
    return False


@contextmanager
def write_lock(conn: sqlite3.Connection, lock: threading.RLock, patience_s: float) -> Iterator[None]:
    """A transaction begun as a writer, with this process's lock held.

    Raises sqlite3.OperationalError if another process has not ended its own within `patience_s`.
    """
    for left in tries(patience_s):
        lock.acquire()
        try:
            with impatient(conn):
                conn.execute("begin immediate")
            break
        except BaseException as error:
            lock.release()
            if not left or not locked(error):
                raise
    try:
        yield
    finally:
        lock.release()


def tries(patience_s: float) -> Iterator[int]:
    """Tries that take `patience_s` in all, with a pause after each; gives how many are left."""
    pause = threading.Event()
    for left in range(round(patience_s / (TRY_S + PAUSE_S)), -1, -1):
        yield left
        pause.wait(PAUSE_S)


@contextmanager
def impatient(conn: sqlite3.Connection) -> Iterator[None]:
    """What is asked of the file here waits for another process no longer than a try does."""
    conn.execute(f"pragma busy_timeout = {round(1000 * TRY_S)}")
    try:
        yield
    finally:
        conn.execute(f"pragma busy_timeout = {round(1000 * WAIT_S)}")
