"""Whether a store in use is whole: opened only if it is, watched by what its use says, looked into when asked."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from sqlite_utils import Database

from sentinel.edges.damage import check, is_damage, looked_into, way_back
from sentinel.edges.schema import lacking, open_database
from sentinel.errors import DamagedError, StoreError


class Whole:
    """What is known of one store's file; `found` says in words what was found damaged while it was in use."""

    def __init__(self, path: Path | None) -> None:
        self.path = path
        self.found = ""
        self._looked: set[str] = set()

    def opened(self) -> Database:
        """The store's file, opened.

        Raises DamagedError if it is no whole store, StoreError if it cannot be opened or a newer sentinel wrote it.
        """
        try:
            return open_database(self.path)
        except sqlite3.DatabaseError as error:
            if self.path is not None and is_damage(error):
                raise DamagedError(way_back(self.path, f"SQLite says: {error}")) from error
            raise StoreError(f"{self.path} cannot be opened as a store: {error}") from error

    def note(self, error: BaseException) -> None:
        """Remember that the file is damaged, if that is what an error says, whichever thread meets it."""
        if not self.found and is_damage(error):
            self.found = f"SQLite says: {error}"

    def raise_if_damaged(self, error: BaseException | None = None) -> None:
        """Raise DamagedError if damage was noted, or is found now that an error makes one look; once for each error."""
        if self.path is None:
            return
        if error is not None and not self.found and repr(error) not in self._looked:
            self._looked.add(repr(error))
            self.found = looked_into(self.path, error)
        if self.found:
            raise DamagedError(way_back(self.path, self.found)) from error

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
        except sqlite3.DatabaseError as error:
            if not is_damage(error):
                raise
            found = f"SQLite says: {error}"
        raise DamagedError(way_back(self.path or Path(), found))
