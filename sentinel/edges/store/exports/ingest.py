"""One export file into the store: new rows, corrections, withdrawals, and what was set aside, in one transaction.

A row read twice changes nothing. A row that differs from what stands replaces only the columns its export
carries, unless it is an older version; the old and the new values are kept, so that the past can be told again.
Of a row that several feeds tell see `provenance`.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field, fields, replace
from operator import attrgetter, itemgetter
from typing import Any

from sentinel.edges.store import Store
from sentinel.edges.store.exports.provenance import Provenance, older
from sentinel.edges.store.log import append_entries
from sentinel.flow.again_and_pages import Reread
from sentinel.flow.model import QUARTERS, Batch, Entry, Rows, SetAside
from sentinel.flow.reasons import in_english, to_json
from sentinel.flow.tables import EXPORTED, QUARTER_ROWS, QUARTER_VALUES, UNKNOWN, VISITS, Table, table_named

Key = tuple[Any, ...]
Row = tuple[Any, ...]
RANGE_FROM = 2000
"""From so many rows on, existing rows are fetched as one stretch of time instead of by their keys."""
AT_ONCE = 250
"""So many keys are looked up in one query."""
LINE = "first_line"
"""Beside a row's columns: the first line of its file at which it stands, None if that is not known."""


_PLAIN = attrgetter(*(one.name for one in fields(SetAside)))
"""What was set aside, in parts; fifty thousand of them may come at once."""


@dataclass(slots=True)
class Ingested:
    """What one export file did to the store.

    `touched`: per table the first key part (cow or box) of every row that is new or changed. `earliest`: the
    earliest moment of such a row, None if there is none; `latest`: per table the latest one. `unread`: whether what
    could not be read has changed.
    """

    file_id: int
    rows_read: int = 0
    new: int = 0
    corrected: int = 0
    touched: dict[str, set[str]] = field(default_factory=dict)
    earliest: int | None = None
    latest: dict[str, int] = field(default_factory=dict)
    unread: bool = False

    def with_(self, other: Ingested) -> Ingested:
        """What both have touched, as if one file had."""
        tables = self.touched.keys() | other.touched.keys()
        touched = {name: self.touched.get(name, set()) | other.touched.get(name, set()) for name in sorted(tables)}
        earliest = min((at for at in (self.earliest, other.earliest) if at is not None), default=None)
        new, unread = self.new + other.new, self.unread or other.unread
        return Ingested(other.file_id, new=new, touched=touched, earliest=earliest, unread=unread)


@dataclass(frozen=True, slots=True)
class Change:
    """A row that stood and now differs: only the columns that do; `line`: where its file says so."""

    table: str
    key: Key
    old: Mapping[str, Any]
    new: Mapping[str, Any]
    line: int | None = None

    @property
    def is_correction(self) -> bool:
        """Whether something that was known changed; filling in what was missing is not a correction."""
        known = (value for name, value in self.old.items() if name not in ("modified", "deleted"))
        return any(value not in (None, UNKNOWN) for value in known) or bool(self.new.get("deleted"))


def ingest(store: Store, batch: Batch, at: int) -> Ingested:
    """Store what one export file gave, first known at `at`; nothing of it is stored if anything fails."""
    with store.writing() as conn:
        read = batch.rows_read
        if read is None:
            whole = [rows for rows in batch.rows if rows.table != QUARTER_ROWS.name]
            read = sum(len(rows.values) for rows in whole or batch.rows)
        merged = dict(rows_by_key(batch.rows))
        newest = _newest(batch, merged)
        reason = to_json(_first_told(batch.set_aside).reason) if batch.set_aside else ""
        in_part = sum(one.kept for one in batch.set_aside)
        aside = new_aside = len(batch.set_aside) - in_part
        mended = False
        if batch.continues:  # what was set aside of the earlier lines still waits for its mending
            before = conn.execute(
                "select rows_set_aside, rows_in_part, reason from files where feed = ? and file = ? "
                "order by id desc limit 1",
                (batch.feed, batch.file),
            ).fetchone()
            aside += before["rows_set_aside"] if before else 0
            in_part += before["rows_in_part"] if before else 0
            reason = (before["reason"] if before else "") or reason
        else:
            same = "where feed = ? and file = ? and mended = 0"
            had = conn.execute(f"select max(rows_set_aside) from files {same}", (batch.feed, batch.file)).fetchone()[0]
            mended = bool(had)
            conn.execute(f"update files set mended = 1 {same}", (batch.feed, batch.file))
        columns = {
            "feed": batch.feed,
            "file": batch.file,
            "at": at,
            "sha256": batch.sha256,
            "rows_read": read,
            "rows_set_aside": aside,
            "rows_in_part": in_part,
            "reason": reason,
            "complete_until": batch.complete_until,
            "newest": newest,
            "continues": int(batch.continues),
            "reread": reread_as_kept(batch.reread),
        }
        done = Ingested(insert_file(conn, columns), read, unread=mended or new_aside > 0)
        known_before = conn.execute("select known_until from feeds where feed = ?", (batch.feed,)).fetchone()
        began = known_before["known_until"] if known_before else None
        conn.executemany(
            "insert into set_aside (file_id, line, row, reason, kept, tab, who, box, begins, ends) "
            "values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            [(done.file_id, *_as_kept(_placed(one, began, at))) for one in batch.set_aside],
        )
        entries = []
        provenance = Provenance(conn, batch)
        for name, rows in merged.items():
            for change in store_rows(conn, table_named(name), rows, done, at, provenance):
                if change.is_correction:
                    done.corrected += 1
                    if batch.reread is None:  # of one read once more all may be: the changes keep them
                        entries.append(_correction(at, batch, change))
        _note_feed(conn, batch, newest, at, provenance.columns)
        append_entries(store, [_read_entry(at, batch, done), *_set_aside_entries(at, batch), *entries])
    return done


def insert_file(conn: sqlite3.Connection, columns: Mapping[str, Any]) -> int:
    """Note a file that was read, by its columns; the number under which it is kept."""
    marks = ", ".join(f":{name}" for name in columns)
    return conn.execute(f"insert into files ({', '.join(columns)}) values ({marks})", columns).lastrowid or 0


def reread_as_kept(reread: Reread | None) -> str:
    """Why an export was read once more, as JSON; "" if it was not."""
    return json.dumps(asdict(reread)) if reread else ""


def _as_kept(aside: SetAside) -> tuple[Any, ...]:
    """What was set aside as the columns of a row."""
    line, row, reason, *rest = _PLAIN(aside)
    return line, row, to_json(reason), *rest


def _placed(aside: SetAside, known_until: int | None, at: int) -> SetAside:
    """What was set aside, with the moments between which it must have happened: after all that the feed had given, if
    the file does not say, and before it was read."""
    if not aside.tab:
        return aside
    end = at if aside.end is None else aside.end
    begin = min(known_until or 0, end) if aside.begin is None else aside.begin
    return replace(aside, begin=begin, end=end)


def _newest(batch: Batch, merged: Mapping[str, Mapping[Key, Mapping[str, Any]]]) -> int | None:
    """The moment of the file's newest row; one that it withdraws says nothing of how far the file comes.

    Of a recorded file that is told again it is known, and cannot be seen any more from the rows that changed something.
    """
    if batch.rows_read is not None:
        return batch.newest
    moments = []
    for name, rows in merged.items():
        place = table_named(name).key.index(table_named(name).happened)
        moments += [key[place] for key, row in rows.items() if not row.get("deleted")]
    return max(moments, default=None)


def rows_by_key(parts: Iterable[Rows]) -> Iterator[tuple[str, dict[Key, dict[str, Any]]]]:
    """The rows of each stored table by key, each with its `LINE`; quarters become wide columns of their visit; within a
    file the newest version of a row wins, and of equals the later line."""
    merged_by_table: dict[str, dict[Key, dict[str, Any]]] = {}
    for part in parts:
        declared = table_named(part.table)
        table = VISITS if declared is QUARTER_ROWS else declared
        merged = merged_by_table.setdefault(table.name, {})
        key_of = itemgetter(*(part.columns.index(name) for name in table.key))
        side = part.columns.index("quarter") if declared is QUARTER_ROWS else -1
        told_by = [i for i in range(len(part.columns)) if i != side]
        own = [i for i in told_by if part.columns[i] not in table.key]
        whole, rest = _columns_of(part, told_by), _columns_of(part, own)
        version = part.columns.index("modified") if "modified" in part.columns else -1
        for values, line in zip(part.values, part.lines, strict=True):
            key = key_of(values)
            standing = merged.get(key)
            names, take = (whole if standing is None else rest)[values[side] if side >= 0 else ""]
            if standing is None:
                merged[key] = dict(zip(names, take(values), strict=True))
                merged[key][LINE] = line or None
            elif version < 0 or not older(values[version], standing.get("modified")):
                fresh = zip(names, take(values), strict=True)
                standing.update(_worth_more(dict(fresh), standing.get("outcome")) if "outcome" in names else fresh)
    for table in EXPORTED:
        if table.name in merged_by_table:
            yield table.name, merged_by_table[table.name]


def _columns_of(part: Rows, places: Sequence[int]) -> dict[str, tuple[tuple[str, ...], Callable[[Row], Row]]]:
    """Some columns of a part by the names they are stored under, and what takes them from a row; by quarter, if the
    part is of quarters."""
    names = [part.columns[i] for i in places]

    def take(values: Row) -> Row:
        return tuple([values[i] for i in places])

    taking = itemgetter(*places) if len(places) > 1 else take
    if part.table != QUARTER_ROWS.name:
        return {"": (tuple(names), taking)}
    wide = {q: tuple(f"{q.lower()}_{n}" if n in QUARTER_VALUES else n for n in names) for q in QUARTERS}
    return {quarter: (called, taking) for quarter, called in wide.items()}


def _worth_more(row: Mapping[str, Any], outcome: str | None) -> Mapping[str, Any]:
    """A row without an outcome that could not be read where it is known how the visit ended."""
    if row.get("outcome") == UNKNOWN and outcome is not None:
        return {name: value for name, value in row.items() if name != "outcome"}
    return row


def store_rows(
    conn: sqlite3.Connection,
    table: Table,
    merged: Mapping[Key, dict[str, Any]],
    done: Ingested,
    at: int,
    provenance: Provenance,
    takes_back: bool = False,
) -> list[Change]:
    """Insert the new rows, change those that differ, and say which did; with `takes_back` only what stands changes."""
    existing = _existing(conn, table, merged.keys())
    settle = provenance.taken_back if takes_back else provenance.settled
    changes: list[Change] = []
    fresh: dict[tuple[str, ...], list[tuple[Any, ...]]] = {}
    happened = table.key.index(table.happened)
    touched = done.touched.setdefault(table.name, set())
    for key, row in merged.items():
        standing = existing.get(key)
        if standing is None and takes_back:
            continue
        if standing is None:
            whole = {**row, "deleted": int(bool(row.get("deleted")))}
            fresh.setdefault(tuple(whole), []).append((*whole.values(), done.file_id))
            done.new += 1
        else:
            line = row.pop(LINE, None)
            settled = settle(table, key, standing, row)
            if "outcome" in settled and not takes_back:
                settled = _worth_more(settled, standing["outcome"])
            differs = {name: value for name, value in settled.items() if standing[name] != value}
            if not differs:
                continue
            changes.append(Change(table.name, key, {name: standing[name] for name in differs}, differs, line))
        touched.add(str(key[0]))
        moment = key[happened]
        done.earliest = moment if done.earliest is None else min(done.earliest, moment)
        done.latest[table.name] = max(done.latest.get(table.name, moment), moment)
    for columns, rows in fresh.items():
        names = ", ".join(f'"{name}"' for name in (*columns, "first_file"))
        marks = ", ".join("?" * (len(columns) + 1))
        conn.executemany(f'insert into "{table.name}" ({names}) values ({marks})', rows)
    where = " and ".join(f'"{name}" = ?' for name in table.key)
    for change in changes:
        sets = ", ".join(f'"{name}" = ?' for name in change.new)
        conn.execute(f'update "{table.name}" set {sets} where {where}', (*change.new.values(), *change.key))
    provenance.note(table)
    conn.executemany(
        "insert into changes (file_id, at, tab, key, old, new, correction, line) values (?, ?, ?, ?, ?, ?, ?, ?)",
        [
            (
                done.file_id,
                at,
                c.table,
                json.dumps(list(c.key)),
                json.dumps(dict(c.old)),
                json.dumps(dict(c.new)),
                int(c.is_correction),
                c.line,
            )
            for c in changes
        ],
    )
    return changes


def _existing(conn: sqlite3.Connection, table: Table, keys: Iterable[Key]) -> dict[Key, sqlite3.Row]:
    """The rows that stand under these keys."""
    wanted = list(keys)
    happened = table.key.index(table.happened)
    if len(wanted) >= RANGE_FROM:
        moments = [key[happened] for key in wanted]
        sql = f'select * from "{table.name}" where "{table.happened}" between ? and ?'
        place, having = itemgetter(*table.key), set(wanted)  # of what lies between, only these are kept in memory
        return {key: row for row in conn.execute(sql, (min(moments), max(moments))) if (key := place(row)) in having}
    fits = " and ".join(f'have."{name}" = wanted.column{place}' for place, name in enumerate(table.key, 1))
    row_by_key: dict[Key, sqlite3.Row] = {}
    for begin in range(0, len(wanted), AT_ONCE):
        some = wanted[begin : begin + AT_ONCE]
        marks = ", ".join([f"({', '.join('?' * len(table.key))})"] * len(some))
        sql = f'select have.* from (values {marks}) wanted cross join "{table.name}" have on {fits}'
        rows = conn.execute(sql, [part for key in some for part in key])
        row_by_key |= {tuple(row[name] for name in table.key): row for row in rows}
    return row_by_key


def _note_feed(conn: sqlite3.Connection, batch: Batch, newest: int | None, at: int, columns: str) -> None:
    """Move the feed's known-until to its newest row; a re-sent old file never makes it look fresh."""
    row = conn.execute("select tables, known_until from feeds where feed = ?", (batch.feed,)).fetchone()
    tables = set(json.loads(row["tables"])) if row else set()
    tables |= {rows.table for rows in batch.rows if rows.values}
    before = row["known_until"] if row else None
    moments = [m for m in (newest, batch.complete_until, before) if m is not None]
    conn.execute(
        "insert or replace into feeds (feed, tables, known_until, last_at, columns) values (?, ?, ?, ?, ?)",
        (batch.feed, json.dumps(sorted(tables)), max(moments, default=None), at, columns),
    )


def _read_entry(at: int, batch: Batch, done: Ingested) -> Entry:
    body = {"file": batch.file, "rows": done.rows_read, "new": done.new, "corrected": done.corrected}
    return Entry(at, "read", subject=f"feed:{batch.feed}", body=body)


def _set_aside_entries(at: int, batch: Batch) -> list[Entry]:
    """One entry per file: how many rows were set aside, and the first of them."""
    if not batch.set_aside:
        return []
    first = _first_told(batch.set_aside)
    body = {"file": batch.file, "rows": len(batch.set_aside), "line": first.line, "reason": in_english(first.reason)}
    in_part = sum(one.kept for one in batch.set_aside)
    if in_part:
        body["in_part"] = in_part
    return [Entry(at, "set-aside", subject=f"file:{batch.feed}/{batch.file}", body=body)]


def _first_told(aside: Sequence[SetAside]) -> SetAside:
    """The first that says why: of so many rows that could not be read in one file only some are kept at length."""
    return next((one for one in aside if one.reason), aside[0])


def _correction(at: int, batch: Batch, change: Change) -> Entry:
    body = {
        "file": batch.file,
        "table": change.table,
        "key": list(change.key),
        "old": dict(change.old),
        "new": dict(change.new),
    }
    kind = "cow" if "cow" in table_named(change.table).key else table_named(change.table).key[0]
    return Entry(at, "correction", subject=f"{kind}:{change.key[0]}", body=body)
