"""Whether a store is whole: what is looked at before it is opened, what an error means, and the way back.

A damaged store is not worked on: SQLite goes on reading and writing beside a broken page, and what is decided on the
rest of the rows is wrong without anybody seeing it. What can be told quickly is told before anything is written; what
only all of the rows can tell, by `verify`, by every backup, and when something fails.
"""

from __future__ import annotations

import json
import shlex
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, suppress
from pathlib import Path

from sentinel.edges.private import make_private
from sentinel.errors import DamagedError, LogChainError
from sentinel.flow.alerts.chain import START, Logged, Replaced, first_break
from sentinel.flow.model import Entry

MARK = "-was-here"
"""What the name of the file beside the store ends in that says that there was one."""

MARK_TEXT = """\
There is a store beside this file. If it is gone or empty one day, sentinel says so instead of beginning anew:
`sentinel restore BACKUP` brings it back. Only delete this file to begin with an empty store.
"""

WAIT_S = 30.0
"""How long a file that another process is writing to is waited for."""

_CORRUPT = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_FORMAT)
_NOT_THE_FILE = (
    *(sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN),
    *(sqlite3.SQLITE_NOMEM, sqlite3.SQLITE_INTERRUPT, sqlite3.SQLITE_PERM, sqlite3.SQLITE_AUTH),
)
"""What SQLite says of the disk, the memory or other processes, and not of what stands in the file."""

_SAID = ("malformed", "unsupported file format", "not a database", "Could not decode to UTF-8")
"""What errors say that have no number of their own."""

_JSON = {
    "alerts": ("facts", "look_first", "covered_by", "caution"),
    "changes": ("key", "old", "new"),
    "feeds": ("tables",),
    "notices": ("alerts",),
    "settings": ("text",),
}
"""Columns that hold JSON, by table; what stands in the log is checked with its chain."""


def way_back(path: Path, damage: str) -> str:
    """One sentence: what is damaged, and how to come back."""
    return (
        f"the store {path} is damaged ({damage}); `{command(path)}` sets it aside and puts "
        "a backup in its place, and exports still in the inbox are read again by themselves"
    )


def command(path: Path) -> str:
    """The command that brings a store back, as it is typed."""
    return f"sentinel restore BACKUP --farm {shlex.quote(str(path.parent))}"


def is_damage(error: BaseException) -> bool:
    """Whether SQLite says of the file that it is no whole database."""
    if not isinstance(error, sqlite3.Error):
        return False
    code = getattr(error, "sqlite_errorcode", None)
    return (code is not None and code & 0xFF in _CORRUPT) or any(phrase in str(error) for phrase in _SAID)


def reading(path: Path, still: bool = False) -> closing[sqlite3.Connection]:
    """A connection that changes nothing in a store's file.

    `still`: a copy that nobody writes to, perhaps on a disk that can only be read; nothing is written beside it then.
    """
    alone = still and not path.with_name(path.name + "-wal").exists()
    uri = f"{path.resolve().as_uri()}?mode=ro" + ("&immutable=1" if alone else "")
    return closing(sqlite3.connect(uri, uri=True, timeout=WAIT_S))


def refuse_what_is_gone(path: Path) -> None:
    """Raise DamagedError if the store is missing or empty where there was one before: that is no new farm."""
    if path.is_file() and path.stat().st_size:
        return
    beside = (path.with_name(path.name + MARK), path.with_suffix(".lock"), path.parent / "photos")
    traces = [trace for trace in beside if trace.exists()]
    traces += [log for log in (path.with_name(path.name + "-wal"),) if log.is_file() and log.stat().st_size]
    if traces:
        names = ", ".join(trace.name for trace in traces)
        gone = f"{path} is empty" if path.is_file() else f"there is no {path.name} in {path.parent} any more"
        raise DamagedError(
            f"{gone}, but there was a store here before ({names}); `{command(path)}` "
            f"brings it back; to begin with an empty one instead, move away {names}"
        )


def mark(path: Path) -> None:
    """Leave word beside the store that it is there."""
    beside = make_private(path.with_name(path.name + MARK))
    with suppress(OSError):  # the folder may be full or only be read from; the store itself is there
        if not beside.stat().st_size:
            beside.write_text(MARK_TEXT, encoding="utf-8")


def at_first_sight(path: Path) -> str:
    """In words, what SQLite's quick check finds wrong with a store's file, of which nothing is written; "" if nothing.

    A quarter of a second for 80 MB. What is no fault of the file (a full disk, a lock) is left to whoever opens it.
    """
    try:
        with reading(path) as conn:
            return _checked(conn, "quick_check")
    except sqlite3.DatabaseError as error:
        return _words(error) if is_damage(error) else ""


def looked_into(path: Path, error: BaseException) -> str:
    """In words, what is damaged in a store whose use ended in an error; "" if it is whole or the error is another's."""
    if isinstance(error, sqlite3.Error) and getattr(error, "sqlite_errorcode", 0) & 0xFF in _NOT_THE_FILE:
        return ""
    if is_damage(error):
        return _words(error)
    try:
        check_file(path)
    except (DamagedError, LogChainError) as damage:
        return str(damage)
    except sqlite3.Error:
        return ""
    return ""


def check_file(path: Path, still: bool = False) -> tuple[int, str]:
    """As `check`, of a file that is only read."""
    with reading(path, still) as conn:
        return check(conn)


def check(conn: sqlite3.Connection) -> tuple[int, str]:
    """Look into all of a store; the number of entries in its log, and the last hash.

    Raises DamagedError with what is damaged, LogChainError with the first entry that does not fit.
    """
    try:
        damage = _checked(conn, "integrity_check") or _checked(conn, "foreign_key_check") or _unreadable(conn)
    except sqlite3.DatabaseError as error:
        if getattr(error, "sqlite_errorcode", 0) & 0xFF in _NOT_THE_FILE:
            raise
        damage = _words(error)
    if damage:
        raise DamagedError(damage)
    last: tuple[int, str] = (0, START)

    def passing() -> Iterator[Logged]:
        nonlocal last
        for one in _log(conn):
            last = one.seq, one.hash
            yield one

    broken = first_break(passing(), _replaced(conn))
    if broken:
        raise LogChainError(f"the log is not whole: {broken}")
    return last


def _checked(conn: sqlite3.Connection, pragma: str) -> str:
    """What one of SQLite's own checks finds first."""
    first = conn.execute(f"pragma {pragma}" + ("(1)" if pragma != "foreign_key_check" else "")).fetchone()
    if first is None or first[0] == "ok":
        return ""
    answer = str(first[0]).strip().splitlines()[-1]
    return f"a row of {answer} belongs to none" if pragma == "foreign_key_check" else f"SQLite says: {answer}"


def _unreadable(conn: sqlite3.Connection) -> str:
    """The first row that cannot be read, though the pages it stands on are whole."""
    names = [name for (name,) in conn.execute("select name from sqlite_master where type = 'table'")]
    for name in names:
        cursor = conn.execute(f'select * from "{name}"')
        columns = [column[0] for column in cursor.description]
        texts = [columns.index(column) for column in _JSON.get(name, ()) if column in columns]
        for number, row in enumerate(cursor, 1):
            for place in texts:
                if not _is_json(row[place]):
                    return f"what row {number} of {name} says in {columns[place]} cannot be read"
    return ""


def _is_json(text: object) -> bool:
    try:
        json.loads(text)  # type: ignore[arg-type]
    except (ValueError, TypeError):
        return False
    return True


def _log(conn: sqlite3.Connection) -> Iterator[Logged]:
    """The log's entries; raises LogChainError for one whose body is no JSON."""
    columns = "seq, at, kind, alert, rule, subject, person, body, previous, hash"
    rows: Iterable[tuple[object, ...]] = conn.execute(f"select {columns} from log order by seq")
    for seq, at, kind, alert, rule, subject, person, body, previous, own in (tuple(row) for row in rows):
        try:
            values = dict(json.loads(str(body)))
        except (ValueError, TypeError) as error:
            raise LogChainError(f"the log is not whole: entry {seq} was changed after it was written") from error
        yield Logged(seq, Entry(at, kind, alert, rule, subject, person, values), previous, own)  # type: ignore[arg-type]


def _replaced(conn: sqlite3.Connection) -> list[Replaced]:
    """Where a name was replaced; a store of an earlier version, which is only looked into, knows of none."""
    if not conn.execute("select 1 from sqlite_master where name = 'replaced'").fetchone():
        return []
    return [tuple(row) for row in conn.execute("select by, seq, digest from replaced")]


def _words(error: BaseException) -> str:
    return f"SQLite says: {str(error).strip().splitlines()[-1]}"
