"""A process killed while it opens a store and brings it up to date: at each of the database's statements in turn.

    python killed_at_opening.py FOLDER OLD_STORE [EVERY [FIRST [STEP]]]

Makes `FOLDER/killed_0001.db`, `killed_0002.db`, ... out of a store of an earlier schema: the first is left by a process
that died at its first statement, the next by one that died at its second, and so on until one gets through, which is
killed too, just before it closes, so that what it wrote still stands in the write-ahead log; prints how many there are.
With EVERY each so many of the database's own steps within a statement count as one too. FIRST leaves out those before,
STEP all but each so-many-th.

Nothing of sentinel is replaced for it: Python tells of each call, so of those of a connection to a database, and
the database of each statement and step.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import sqlite3
import sys
from pathlib import Path
from types import FrameType
from typing import Any

from sentinel.edges.store import Store

WORKING = ("execute", "executemany", "executescript", "commit", "rollback", "backup")
"""What is called of a connection for the database to do something; each time, as another may have taken its place."""


def die_at(count: int, every: int) -> None:
    """From now on this process dies without a word at the `count`-th statement or step that counts."""
    left = count

    def done(statement: str = "") -> int:
        nonlocal left
        left -= 1
        if left == 0:
            os.kill(os.getpid(), signal.SIGKILL)
        return 0

    def called(frame: FrameType, event: str, given: Any) -> None:
        connection = getattr(given, "__self__", None) if event == "c_call" else None
        if isinstance(connection, sqlite3.Connection) and given.__name__ in WORKING:
            with contextlib.suppress(sqlite3.ProgrammingError):  # it is closed already, and says so itself
                connection.set_trace_callback(done)
                if every:
                    connection.set_progress_handler(done, every)

    sys.setprofile(called)


def opened_and_killed(path: Path, count: int, every: int) -> bool:
    """Whether a process that dies at the `count`-th statement died before the store was open."""
    opened, told = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(opened)
            die_at(count, every)
            store = Store(path)
            os.write(told, b"open")
            os.kill(os.getpid(), signal.SIGKILL)
            store.close()
        except BaseException as error:
            os.write(told, f"{type(error).__name__}: {error}".encode())
        os._exit(1)
    os.close(told)
    with os.fdopen(opened, "rb") as end:
        said = end.read()
    _, status = os.waitpid(child, 0)
    if said not in (b"", b"open") or not os.WIFSIGNALED(status):
        raise RuntimeError(f"the store could not be opened: {said.decode()}")
    return said == b""


def main(folder: Path, old: Path, every: int = 0, first: int = 1, step: int = 1) -> None:
    """Leave a store for each statement at which a process died."""
    count, died = first - step, True
    while died:
        count += step
        path = folder / f"killed_{count:04}.db"
        shutil.copyfile(old, path)
        died = opened_and_killed(path, count, every)
    sys.stdout.write(f"{(count - first) // step + 1}\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), *(int(one) for one in sys.argv[3:]))
