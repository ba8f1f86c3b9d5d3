"""Which feeds told a row, and what stands where they say it differently, whichever of them was read first.

Two feeds may make one row (visits, and their quarters in an export of their own), or tell the same one. Each says
its own columns. Of a column that several carry, the newest version counts, of equals the feed whose name comes first;
an empty cell takes nothing from what another feed says; and a row that one of them withdraws is withdrawn.
"""

from __future__ import annotations

import json
import sqlite3
from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

from sentinel.flow.model import QUARTERS, Batch, Rows
from sentinel.flow.tables import QUARTER_ROWS, QUARTER_VALUES, UNKNOWN, VISITS, Table, stored_columns

Key = tuple[Any, ...]
Row = Mapping[str, Any]
VERSION, WITHDRAWN = "modified", "deleted"
NOBODY = 0
"""Instead of a number of feeds: the row was told once, and no feed says so any more."""


class Provenance:
    """What one export says of rows that stand already, told by its own feed or by others.

    In the store `told_by` names the feeds of a row (null: only that of its first file; `NOBODY`: none any more), and
    `apart` has what a feed says otherwise than what stands (null: nothing). What is missing there a feed says as it
    stands, if it carries it.
    """

    def __init__(self, conn: sqlite3.Connection, batch: Batch) -> None:
        """Read which columns each feed carries; those of this export are added to its feed's."""
        self._conn, self._feed = conn, batch.feed
        self._told_again = batch.rows_read is not None  # what a recorded file changed is what had come of it
        self._any_version = self._told_again or (batch.reread is not None and batch.reread.versions)
        self._carried: dict[str, dict[str, set[str]]] = {}
        for feed, columns in conn.execute("select feed, columns from feeds where columns is not null"):
            self._carried[feed] = {table: set(names) for table, names in json.loads(columns).items()}
        carried_here = self._carried.setdefault(batch.feed, {})
        for part in batch.rows if not batch.takes_back else ():
            table, names = columns_as_stored(part)
            carried_here.setdefault(table, set()).update(names)
        self._sets: dict[frozenset[str], int] = {}
        self._by_id: dict[int, frozenset[str]] = {}
        self._first: dict[int, frozenset[str]] = {}
        self._in_common: dict[tuple[str, frozenset[str]], dict[str, list[str]]] = {}
        self._notes: list[tuple[Any, ...]] = []

    @property
    def columns(self) -> str:
        """Per table the columns that the export's feed has carried so far, as JSON."""
        return json.dumps({table: sorted(names) for table, names in sorted(self._carried[self._feed].items())})

    def settled(self, table: Table, key: Key, standing: sqlite3.Row, row: Row) -> Row:
        """What is so of a row that stands, now that this export says `row` of it; nothing if it says an older version.

        Remembers that its feed told the row; `note` writes that down.
        """
        if WITHDRAWN in row:
            row = {**row, WITHDRAWN: int(bool(row[WITHDRAWN]))}
        feeds = self._feeds_of(standing)
        if len(feeds) == 1 and self._feed in feeds:
            return {} if not self._any_version and older(row.get(VERSION), standing[VERSION]) else row
        if self._told_again:
            self._remember(key, standing, feeds | {self._feed}, standing["apart"])
            return row
        if not feeds:  # what was once said of it counts no more
            self._remember(key, standing, frozenset({self._feed}), None)
            return {**dict.fromkeys(_values_of(table)), WITHDRAWN: 0, **row}
        apart = json.loads(standing["apart"] or "{}")
        if self._feed in feeds:
            if not apart and all(standing[name] == value for name, value in row.items()):
                return {}
            said_version = apart.get(self._feed, {}).get(VERSION, standing[VERSION])
            if VERSION in row and not self._any_version and older(row[VERSION], said_version):
                return {}
        so, otherwise = _agreed(self._said(table, feeds, standing, row, apart))
        self._remember(key, standing, feeds | {self._feed}, otherwise)
        return {**{n: v for n, v in row.items() if n not in so}, **{n: so[n] for n in sorted(so)}}

    def taken_back(self, table: Table, key: Key, standing: sqlite3.Row, row: Row) -> Row:
        """What is so of a row that stands, now that the feed takes back what `row` says: see `Batch`.

        What the other feeds of a row say of it is what is so of one that this feed tells no more; without another it is
        withdrawn. Nothing if the feed has never told it.
        """
        feeds = self._feeds_of(standing)
        if self._feed not in feeds:
            return row if self._told_again else {}
        if not row.get(WITHDRAWN):
            return self.settled(table, key, standing, row)
        rest = feeds - {self._feed}
        if self._told_again or not rest:
            self._remember(key, standing, rest, None)
            return row if self._told_again else {WITHDRAWN: 1}
        apart = json.loads(standing["apart"] or "{}")
        names = {
            feed: {VERSION, WITHDRAWN, *self._carried.get(feed, {}).get(table.name, set()) - {*table.key}}
            for feed in rest
        }
        so, otherwise = _agreed(
            {feed: {name: apart.get(feed, {}).get(name, standing[name]) for name in names[feed]} for feed in rest}
        )
        self._remember(key, standing, rest, otherwise)
        return {**dict.fromkeys(_values_of(table)), **so}

    def note(self, table: Table) -> None:
        """Write down which feeds have told the rows gone through, and what they say apart."""
        where = " and ".join(f'"{name}" = ?' for name in table.key)
        self._conn.executemany(f'update "{table.name}" set told_by = ?, apart = ? where {where}', self._notes)
        self._notes = []

    def _said(
        self, table: Table, feeds: frozenset[str], standing: sqlite3.Row, row: Row, apart: Mapping[str, Row]
    ) -> dict[str, dict[str, Any]]:
        """Per feed what it says of the columns that several of them carry."""
        shared = self._shared(table, feeds | {self._feed})
        by_feed = {
            feed: {name: apart.get(feed, {}).get(name, standing[name]) for name in shared[feed]} for feed in feeds
        }
        by_this_feed = by_feed.setdefault(self._feed, {**dict.fromkeys(shared[self._feed]), WITHDRAWN: 0})
        by_this_feed.update({name: value for name, value in row.items() if name in by_this_feed})
        return by_feed

    def _shared(self, table: Table, feeds: frozenset[str]) -> dict[str, list[str]]:
        """Of each of some feeds the columns of a table that another of them carries too.

        Each also says its version and whether the row is withdrawn, if only by being silent about it.
        """
        if (table.name, feeds) not in self._in_common:
            carried = {feed: self._carried.get(feed, {}).get(table.name, set()) for feed in feeds}
            often = Counter(name for names in carried.values() for name in names if name not in table.key)
            self._in_common[table.name, feeds] = {
                feed: sorted({VERSION, WITHDRAWN, *(name for name in names if often[name] > 1)})
                for feed, names in carried.items()
            }
        return self._in_common[table.name, feeds]

    def _feeds_of(self, standing: sqlite3.Row) -> frozenset[str]:
        """The feeds that have told a row."""
        if standing["told_by"] == NOBODY:
            return frozenset()
        if standing["told_by"] is not None:
            self._read_sets()
            return self._by_id[standing["told_by"]]
        first = standing["first_file"]
        if first not in self._first:
            row = self._conn.execute("select feed from files where id = ?", (first,)).fetchone()
            self._first[first] = frozenset(row)
        return self._first[first]

    def _remember(self, key: Key, standing: sqlite3.Row, feeds: frozenset[str], apart: str | None) -> None:
        number = self._number(feeds)
        if (number, apart) != (standing["told_by"], standing["apart"]):
            self._notes.append((number, apart, *key))

    def _number(self, feeds: frozenset[str]) -> int:
        """The number under which some feeds together are kept."""
        if not feeds:
            return NOBODY
        self._read_sets()
        if feeds not in self._sets:
            number = max(self._by_id, default=0) + 1
            self._conn.executemany("insert into tellers (id, feed) values (?, ?)", [(number, f) for f in sorted(feeds)])
            self._sets[feeds], self._by_id[number] = number, feeds
        return self._sets[feeds]

    def _read_sets(self) -> None:
        if not self._sets:
            feeds_by_number: dict[int, set[str]] = {}
            for number, feed in self._conn.execute("select id, feed from tellers"):
                feeds_by_number.setdefault(number, set()).add(feed)
            self._by_id = {number: frozenset(feeds) for number, feeds in feeds_by_number.items()}
            self._sets = {feeds: number for number, feeds in self._by_id.items()}


def columns_as_stored(part: Rows) -> tuple[str, Iterable[str]]:
    """The table some rows are stored in, and their columns as they are called there."""
    if part.table != QUARTER_ROWS.name:
        return part.table, part.columns
    wide = [f"{q.lower()}_{name}" for q in QUARTERS for name in part.columns if name in QUARTER_VALUES]
    return VISITS.name, [*wide, *(name for name in part.columns if name not in (*QUARTER_VALUES, "quarter"))]


def older(version: int | None, other_version: int | None) -> bool:
    """Whether one says of itself that it is an older version than the other."""
    return version is not None and other_version is not None and version < other_version


def _values_of(table: Table) -> list[str]:
    """The columns of a row besides its key, as they are stored."""
    return [*(name for name in stored_columns(table) if name not in table.key), VERSION]


def _agreed(by_feed: Mapping[str, Mapping[str, Any]]) -> tuple[dict[str, Any], str | None]:
    """What is so of the columns of a row of which several feeds say something; and what each says apart, as JSON."""
    names = {name for said in by_feed.values() for name in said}
    by_age = sorted(by_feed, key=lambda feed: (-(by_feed[feed].get(VERSION) or 0), feed))
    so = {name: _settled(name, [by_feed[feed][name] for feed in by_age if name in by_feed[feed]]) for name in names}
    otherwise = {feed: {n: v for n, v in sorted(by_feed[feed].items()) if v != so[n]} for feed in sorted(by_feed)}
    otherwise = {feed: differs for feed, differs in otherwise.items() if differs}
    return so, json.dumps(otherwise) if otherwise else None


def _settled(name: str, values: list[Any]) -> Any:
    """What is so of one column, from what the feeds say of it, the one that counts most first."""
    known = [value for value in values if value is not None]
    if name in (VERSION, WITHDRAWN):
        return max(known, default=None)
    readable = [value for value in known if name != "outcome" or value != UNKNOWN]
    return next(iter(readable or known), None)
