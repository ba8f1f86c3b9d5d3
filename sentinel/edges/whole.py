"""Whether a store in use is whole: opened only if it is, watched by what its use says, looked into when asked."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from sqlite_utils import Database

from sentinel.edges.damage import check, command, is_damage, looked_into, reading, way_back
from sentinel.edges.schema import lacking, open_database
from sentinel.errors import DamagedError, LogChainError, StoreError


class Whole:
    """What is known of one store's file; `found` says in words what was found damaged while it was in use."""

    def __init__(self, path: Path | None) -> None:
        self.path = path
        self.found = ""
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
        if not self.found and is_damage(error):
            self.found = f"SQLite says: {error}"

    def raise_if_damaged(self, error: BaseException | None = None) -> None:
        """Raise DamagedError if damage was noted, or is found now that an error makes one look; once for each error."""
        if self.path is None:
            return
        if not self.found and _file_of(self.path) != self._file:
            self.found = "its file was taken away or replaced while it was in use"
        if error is not None and not self.found and repr(error) not in self._looked:
            self._looked.add(repr(error))
            self.found = looked_into(self.path, error) or self._lacks()
        if self.found:
            raise DamagedError(way_back(self.path, self.found)) from error

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
            found = lacking(conn)
            if not found:
                return check(conn)
        except DamagedError as error:
            found = str(error)
        except LogChainError as error:
            back = f"; `{command(self.path)}` puts a backup of before in its place" if self.path is not None else ""
            raise LogChainError(f"{error}{back}") from error
        except sqlite3.DatabaseError as error:
            if not is_damage(error):
                raise
            found = f"SQLite says: {error}"
        raise DamagedError(way_back(self.path or Path(), found))


def _file_of(path: Path | None) -> tuple[int, int] | None:
    """Which file stands at a path, whatever is in it; None if there is none."""
    try:
        found = path.stat() if path is not None else None
    except OSError:
        return None
    return None if found is None else (found.st_dev, found.st_ino)
