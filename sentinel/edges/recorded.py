"""What was once read, told again from the store: each file's rows as they were when it was first known."""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import groupby
from typing import Any

from sentinel.edges.store import Store
from sentinel.flow.model import Batch, Rows, SetAside
from sentinel.flow.reasons import from_json
from sentinel.flow.tables import EXPORTED, QUARTER_ROWS, Table

Row = dict[str, Any]
ASIDE = ("line", "row", "reason", "kept", "tab", "who", "box", "begins", "ends")
"""The columns that a `SetAside` is kept in, in its order."""
STORED = tuple(table for table in EXPORTED if table is not QUARTER_ROWS)


def recorded_batches(store: Store) -> Iterator[tuple[int, Batch]]:
    """Every file that was read, oldest first: when it was first known, and what it gave at the time."""
    rewound, renewed = _changes(store)
    streams = {table.name: _by_file(store, table, rewound) for table in STORED}
    waiting = {name: next(stream, None) for name, stream in streams.items()}
    for file in store.rows("select * from files order by id"):
        parts: list[Rows] = []
        for table in STORED:
            ahead = waiting[table.name]
            if ahead is not None and ahead[0] == file["id"]:
                parts += _parts(table, ahead[1])
                waiting[table.name] = next(streams[table.name], None)
            parts += _parts(table, renewed.get((file["id"], table.name), []))
        aside = store.rows(f"select {', '.join(ASIDE)} from set_aside where file_id = ? order by id", (file["id"],))
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
            ),
        )


def _changes(store: Store) -> tuple[dict[tuple[str, str], list[Row]], dict[tuple[int, str], list[Row]]]:
    """Per row what its changes replaced, newest first; and per file and table the changed rows it brought."""
    keys = {table.name: table.key for table in STORED}
    rewound: dict[tuple[str, str], list[Row]] = {}
    renewed: dict[tuple[int, str], list[Row]] = {}
    for change in store.rows("select file_id, tab, key, old, new from changes order by id desc"):
        rewound.setdefault((change["tab"], change["key"]), []).append(json.loads(change["old"]))
        key = dict(zip(keys[change["tab"]], json.loads(change["key"]), strict=True))
        renewed.setdefault((change["file_id"], change["tab"]), []).insert(0, {**key, **json.loads(change["new"])})
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
    for columns, run in groupby(rows, key=tuple):
        values = tuple(tuple(row.values()) for row in run)
        parts.append(Rows(table.name, columns, values, (0,) * len(values)))
    return parts
