"""Copies of a store as files: a backup that was looked into, and one put back where a damaged store stood."""

from __future__ import annotations

import os
import shutil
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from sentinel.edges.store import Store
from sentinel.edges.store.damage import check_file, reading, way_back
from sentinel.errors import DamagedError, LogChainError, UsageError

PARTS = ("", "-wal", "-shm", "-journal")
"""What SQLite keeps of one store: the file, and what it writes beside it."""

WORK = ".restoring"
"""The folder in the farm folder in which the copy is made ready; one that was left over is made anew."""


@dataclass(frozen=True, slots=True)
class Reach:
    """Up to where a store goes: the number of entries in its log, the moment of the last, and its last hash."""

    entries: int
    at: int | None
    head: str


def back_up(store: Store, target: Path) -> None:
    """Copy a store that may be in use to a new file, which is whole or not there.

    The copy is looked into, so that no damaged store takes the place of good backups: DamagedError then. One whose log
    was changed is copied all the same, as nothing that is decided rests on that; LogChainError when it is done.
    """
    part = target.with_name(target.name + ".part")
    changed = ""
    try:
        store.backup(part)
        try:
            check_file(part, still=True)
        except DamagedError as error:
            raise DamagedError(way_back(store.path or part, str(error))) from error
        except LogChainError as error:
            changed = f"{target} was copied, but {error}, and `sentinel restore` does not take it"
        _sync(part)
        os.replace(part, target)
    except sqlite3.DatabaseError as error:
        store.integrity.raise_if_damaged(error)
        raise
    finally:
        for end in PARTS:
            part.with_name(part.name + end).unlink(missing_ok=True)
    if changed:
        raise LogChainError(changed)


def reach_of(path: Path) -> Reach:
    """How far a store goes that is looked into and not changed; raises as `check_file` does."""
    entries, head = check_file(path, still=True)
    return Reach(entries, _last_at(path), head)


def _last_at(path: Path) -> int | None:
    with reading(path, still=True) as conn:
        row = conn.execute("select at from log order by seq desc limit 1").fetchone()
    return None if row is None else int(row[0])


def last_heard(path: Path) -> int | None:
    """The moment of the last entry of a store that may be damaged; None if it cannot be told."""
    try:
        return _last_at(path)
    except (sqlite3.Error, ValueError, TypeError, OSError):
        return None


def lost_since(path: Path, number: int) -> dict[str, int]:
    """How many entries of each kind the log of a store that may be damaged has after a number, as far as it tells."""
    try:
        with reading(path, still=True) as conn:
            sql = "select kind, count(*) from log where seq > ? group by kind order by min(seq)"
            return {str(kind): int(count) for kind, count in conn.execute(sql, (number,)).fetchall()}
    except (sqlite3.Error, ValueError, TypeError, OSError):
        return {}


def looked_over(backup: Path) -> Reach:
    """A backup that may be put back; raises UsageError with what speaks against it."""
    if not backup.is_file():
        raise UsageError(f"{backup} is not a file; name a copy that `sentinel backup` made")
    try:
        return reach_of(backup)
    except (DamagedError, LogChainError, sqlite3.DatabaseError) as error:
        raise UsageError(
            f"the backup {backup} is not whole ({error}); nothing was changed; try an older one"
        ) from error


def made_ready(backup: Path, farm: Path, name: str) -> Path:
    """A copy of a backup inside the farm folder, brought up to date, not yet in its place."""
    room = farm / WORK
    shutil.rmtree(room, ignore_errors=True)
    room.mkdir(mode=0o700)
    with (
        reading(backup, still=True) as source,
        closing(sqlite3.connect(room / name)) as copy,
        copy,
    ):
        source.backup(copy)
    return room / name


def put_in_place(ready: Path, path: Path, aside: Path) -> list[str]:
    """Set what stands at `path` aside, then let the copy take its place; the names of what was set aside.

    In this order a store is there whole, or none is, and then its mark says that there was one: never a new file beside
    an old write-ahead log, which SQLite would take for its own.
    """
    moved = []
    for end in PARTS:
        part = path.with_name(path.name + end)
        if part.exists():
            aside.mkdir(mode=0o700, parents=True, exist_ok=True)
            os.replace(part, aside / part.name)
            moved.append(part.name)
    _sync(ready)
    os.replace(ready, path)
    _sync(path.parent)
    shutil.rmtree(ready.parent, ignore_errors=True)
    return moved


def _sync(path: Path) -> None:
    """Let the disk have it; folders cannot be told so everywhere."""
    if path.is_dir() and os.name != "posix":
        return
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
