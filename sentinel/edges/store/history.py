"""What was known when, so that the past can be told again.

The ticks, the settings they went by, and each file's rows as they were when it was first known.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from itertools import groupby
from typing import Any, NamedTuple

from sentinel.edges.store.database import Store, fetch
from sentinel.flow.again_and_pages import Reread
from sentinel.flow.model import Batch, Rows, SetAside, Tick
from sentinel.flow.reasons import from_json
from sentinel.flow.tables import MEASURED, Table

Row = dict[str, Any]
ASIDE = ("line", "row", "reason", "kept", "tab", "who", "box", "begins", "ends")
"""The columns that a `SetAside` is kept in, in its order."""
LINE = "first_line"
"""Beside a row's columns: the line of its file."""


class TickRecord(NamedTuple):
    """A tick as it was recorded; `files_to` and `settings_to` are the last file and settings that it knew."""

    at: int
    kind: str
    jumped_s: int
    files_to: int
    settings_to: int


def tick_records(store: Store) -> list[TickRecord]:
    """Every tick that changed something, in the order in which they came."""
    rows = fetch(store, "select at, kind, jumped_s, files_to, settings_to from ticks order by number")
    return [TickRecord(*row) for row in rows]


def tick_by(store: Store, at: int) -> TickRecord | None:
    """The last tick that changed something up to a moment; None if there was none."""
    sql = "select at, kind, jumped_s, files_to, settings_to from ticks where at <= ? order by number desc limit 1"
    rows = fetch(store, sql, (at,))
    return TickRecord(*rows[0]) if rows else None


def file_numbers(store: Store) -> list[int]:
    """The number of every file that was read, in the order in which they were."""
    return [row["id"] for row in fetch(store, "select id from files order by id")]


def put_tick(store: Store, tick: Tick) -> None:
    """Keep a tick, as the next one, with the files and the settings known at it."""
    with store.writing() as conn:
        conn.execute(
            "insert into ticks (at, kind, jumped_s, files_to, settings_to) select ?, ?, ?, "
            "(select coalesce(max(id), 0) from files), (select coalesce(max(number), 0) from settings)",
            (tick.at, tick.kind.value, tick.jumped_s),
        )


def unused_from(store: Store, at: int) -> int:
    """The first moment from `at` on at which there was no tick: a clock put back comes by some of them again."""
    while fetch(store, "select 1 from ticks where at = ?", (at,)):
        at += 1
    return at


def last_tick(store: Store) -> int | None:
    """The moment of the last tick that changed something."""
    rows = fetch(store, "select at from ticks order by number desc limit 1")
    return int(rows[0]["at"]) if rows else None


def last_known(store: Store) -> int | None:
    """The last moment at which anything became known: a tick, or an export that was read and not yet decided on."""
    since = fetch(store, "select coalesce(max(files_to), 0) from ticks where number = (select max(number) from ticks)")
    read = fetch(store, "select at from files where id > ? order by id desc limit 1", (since[0][0],))
    return max((at for at in (last_tick(store), *(row["at"] for row in read)) if at is not None), default=None)


def put_settings(store: Store, at: int, texts: Mapping[str, str]) -> None:
    """Keep the settings' texts as they are from `at` on, unless they are the last ones kept."""
    text = json.dumps(dict(texts), sort_keys=True)
    with store.writing() as conn:
        last = conn.execute("select text from settings order by number desc limit 1").fetchone()
        if last is None or last["text"] != text:
            conn.execute("insert into settings (at, text) values (?, ?)", (at, text))


def settings_used(store: Store) -> list[tuple[int, dict[str, str]]]:
    """The settings' texts and from when they were used, oldest first."""
    rows = fetch(store, "select at, text from settings order by number")
    return [(row["at"], json.loads(row["text"])) for row in rows]


# --- the files, told again ---------------------------------------------------------------------------


def recorded_batches(store: Store) -> Iterator[tuple[int, Batch]]:
    """Every file that was read, oldest first: when it was first known, and what it gave at the time."""
    rewound, renewed = _changes(store)
    streams = {table.name: _by_file(store, table, rewound) for table in MEASURED}
    waiting = {name: next(stream, None) for name, stream in streams.items()}
    for file in fetch(store, "select * from files order by id"):
        parts: list[Rows] = []
        for table in MEASURED:
            ahead = waiting[table.name]
            if ahead is not None and ahead[0] == file["id"]:
                parts += _parts(table, ahead[1])
                waiting[table.name] = next(streams[table.name], None)
            parts += _parts(table, renewed.get((file["id"], table.name), []))
        aside = fetch(store, f"select {', '.join(ASIDE)} from set_aside where file_id = ? order by id", (file["id"],))
        yield (
            file["at"],
            Batch(
                file["feed"],
                file["file"],
                tuple(parts),
                tuple(
                    SetAside(line, row, from_json(reason), bool(kept), *known)
                    for line, row, reason, kept, *known in aside
                ),
                file["complete_until"],
                file["sha256"],
                file["rows_read"],
                bool(file["continues"]),
                file["newest"],
                Reread(**json.loads(file["reread"])) if file["reread"] else None,
            ),
        )


def _changes(store: Store) -> tuple[dict[tuple[str, str], list[Row]], dict[tuple[int, str], list[Row]]]:
    """Per row what its changes replaced, newest first; and per file and table the changed rows it brought."""
    keys = {table.name: table.key for table in MEASURED}
    rewound: dict[tuple[str, str], list[Row]] = {}
    renewed: dict[tuple[int, str], list[Row]] = {}
    for change in fetch(store, "select file_id, tab, key, old, new, line from changes order by id desc"):
        rewound.setdefault((change["tab"], change["key"]), []).append(json.loads(change["old"]))
        key = dict(zip(keys[change["tab"]], json.loads(change["key"]), strict=True))
        row = {**key, **json.loads(change["new"]), LINE: change["line"]}
        renewed.setdefault((change["file_id"], change["tab"]), []).insert(0, row)
    return rewound, renewed


def _by_file(store: Store, table: Table, rewound: dict[tuple[str, str], list[Row]]) -> Iterator[tuple[int, list[Row]]]:
    """The table's rows in their first version, grouped by the file that brought them."""
    cursor = store.conn.execute(f'select * from "{table.name}" order by first_file')
    for file_id, rows in groupby(cursor, key=lambda row: row["first_file"]):
        first = []
        for row in map(dict, rows):
            key = json.dumps([row[name] for name in table.key])
            for old in rewound.get((table.name, key), ()):
                row.update(old)
            for name in ("first_file", "told_by", "apart"):
                del row[name]
            first.append(row)
        yield file_id, first


def _parts(table: Table, rows: list[Row]) -> list[Rows]:
    """Tidy rows, a part for as long as the columns stay the same: the log tells the corrections in the file's order."""
    parts = []
    for names, run in groupby(rows, key=tuple):
        columns, same = tuple(name for name in names if name != LINE), list(run)
        values = tuple(tuple(row[name] for name in columns) for row in same)
        parts.append(Rows(table.name, columns, values, tuple(row[LINE] or 0 for row in same)))
    return parts
