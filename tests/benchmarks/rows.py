"""Reading a year from the store, and taking its exports in, beside the plainest code that does as much with sqlite3."""

from __future__ import annotations

import csv
import io
import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pandas as pd

from sentinel.edges.store import Store
from sentinel.edges.store.exports.ingest import ingest
from sentinel.edges.store.rows import all_rows
from sentinel.edges.store.schema.opening import open_database
from sentinel.flow.tables import MEASURED, frame_types
from sentinel.runtime.record.replay import past_of
from sentinel.simulator.exports.visit_list import COLUMNS, ENCODING

from .figures import Figure, best_of
from .year import Year, visit_batches

NUMBERED = ("Cups on s", "Tries", "Kilos", *(c for c in COLUMNS if c[3:] in ("mS/cm 25 °C", "kg")), *(
    c for c in COLUMNS if c.endswith(" mm")
))  # fmt: skip
OUTCOMES = {"done": "milked", "cut short": "incomplete", "no cups": "failed", "sent on": "refused"}
OF_QUARTER = ("conductivity_mS_cm", "milk_kg", "kicked_off", "x_mm", "y_mm", "z_mm")
FILLED = (
    *("cow", "start", "box", "duration_s", "outcome", "milk_kg", "attach_s", "attempts"),
    *(f"{quarter}_{name}" for quarter in ("lf", "rf", "lr", "rr") for name in OF_QUARTER),
)
INSERT = f"insert into visits ({', '.join(FILLED)}, first_file) values ({', '.join('?' * len(FILLED))}, 1)"


def reading(path: Path, year: Year, times: int) -> tuple[list[Figure], float]:
    """All measured rows as frames, beside fetching the same rows; and the seconds of the former."""
    store = Store(path)
    try:
        raw = best_of(times, lambda: fetched(path))
        read = best_of(times, lambda: [all_rows(store, table) for table in MEASURED])
        whole = best_of(1, lambda: past_of(store, year.setup))
    finally:
        store.close()
    rows = f"{len(year.tables.visits):,} visits, {year.quarters:,} quarter readings"
    return [
        Figure(f"read the year ({rows})", read, "sqlite3 fetches the same rows", raw),
        Figure("read the year and how its exports came", whole, "sqlite3 fetches the same rows", raw),
    ], read


def fetched(path: Path) -> list[list[tuple[Any, ...]]]:
    """The same rows in the same order, as sqlite3 gives them."""
    conn = sqlite3.connect(path)
    conn.execute("pragma cache_size = -65536")
    found = []
    for table in MEASURED:
        names = ", ".join(f'"{name}"' for name in frame_types(table))
        order = ", ".join(f'"{name}"' for name in dict.fromkeys((table.happened, *table.key)))
        found.append(conn.execute(f'select {names} from "{table.name}" where deleted = 0 order by {order}').fetchall())
    conn.close()
    return found


def taking_in(folder: Path, year: Year, times: int) -> list[Figure]:
    """The year's visits from their exports into a store, a transaction a file, beside parsing and inserting alone."""
    batches = list(visit_batches(year))
    number = iter(range(100))

    def into(work: str) -> float:
        def once() -> None:
            path = folder / f"into_{next(number)}.db"
            if work == "ours":
                _ours(path, year)
            elif work == "batches":
                _stored(path, batches)
            else:
                _plain(path, year, parsed if work == "plain" else parsed_by_pandas)
            path.unlink()

        return best_of(times, once)

    plain, fast, ours, stored = (into(work) for work in ("plain", "pandas", "ours", "batches"))
    again = _again(folder, batches)
    day = len(year.exports)
    return [
        Figure(f"read {day} exports by their map and take them in", ours, "csv module, plain insert", plain, 3.0),
        Figure("of that, take them in", stored, "csv module, plain insert", plain),
        Figure("read exports by their map and take them in", ours, "pandas read_csv, plain insert", fast),
        Figure("take the same exports in once more", again, "csv module, plain insert", plain),
    ]


def _ours(path: Path, year: Year) -> None:
    store = Store(path)
    for batch in visit_batches(year):
        ingest(store, batch, (batch.complete_until or 0) + 60)
    store.close()


def _stored(path: Path, batches: list[Any]) -> None:
    store = Store(path)
    for batch in batches:
        ingest(store, batch, (batch.complete_until or 0) + 60)
    store.close()


def _again(folder: Path, batches: list[Any]) -> float:
    path = folder / "again.db"
    _stored(path, batches)
    took = best_of(1, lambda: _stored(path, batches))
    path.unlink()
    return took


def _plain(path: Path, year: Year, parse: Any) -> None:
    """Parse each file and insert its rows into the same table, a transaction a file; nothing else is looked at."""
    conn = open_database(path).conn
    conn.execute("insert into files (id, feed, file, at, sha256, rows_read, rows_set_aside, reason) "
                 "values (1, '', '', 0, '', 0, 0, '')")  # fmt: skip
    for export in year.exports:
        conn.execute("begin immediate")
        conn.executemany(INSERT, parse(export.content))
        conn.commit()
    conn.close()


def parsed(content: bytes) -> Iterator[tuple[Any, ...]]:
    """The rows of one file by the csv module: times by slices at a fixed offset, numbers by float, nothing checked."""
    lines = csv.reader(io.StringIO(content.decode(ENCODING)), delimiter=";")
    place = {title: i for i, title in enumerate(next(lines))}
    came, box, cow, ended, stay, cups, tries, kilos = (place[t] for t in COLUMNS[:8])
    for row in lines:
        t = row[came]
        moment = datetime(int(t[6:10]), int(t[3:5]), int(t[:2]), int(t[11:13]), int(t[14:16]), int(t[17:]), tzinfo=UTC)
        minutes, _, seconds = row[stay].partition(":")
        quarters = []
        for at in range(8, 32, 6):
            read, kg, off, x, y, z = row[at : at + 6]
            quarters += [_number(read), _number(kg), {"yes": 1, "no": 0}.get(off), _number(x), _number(y), _number(z)]
        yield (
            row[cow],
            int(moment.timestamp()),
            row[box],
            60 * int(minutes) + int(seconds),
            OUTCOMES[row[ended]],
            _number(row[kilos]),
            _number(row[cups]),
            int(row[tries]) if row[tries] else None,
            *quarters,
        )


def _number(cell: str) -> float | None:
    return float(cell.replace(",", ".")) if cell else None


def parsed_by_pandas(content: bytes) -> list[tuple[Any, ...]]:
    """The rows of one file by pandas' own parser, which says nothing of a row it cannot read."""
    frame = pd.read_csv(
        io.BytesIO(content), sep=";", decimal=",", encoding=ENCODING, dtype={"Cow no": str, "Stand": str}
    )
    moment = pd.to_datetime(frame["Came in"], format="%d.%m.%Y %H:%M:%S").dt.as_unit("s").astype("int64")
    stay = frame["Stay min:s"].str.partition(":")
    columns = [
        frame["Cow no"],
        moment,
        frame["Stand"],
        60.0 * stay[0].astype(int) + stay[2].astype(int),
        frame["Ended"].map(OUTCOMES),
        frame["Kilos"],
        frame["Cups on s"],
        frame["Tries"],
    ]
    for title in COLUMNS[8:]:
        columns.append(frame[title].map({"yes": 1, "no": 0}) if title.endswith(" off") else frame[title])
    values = [column.astype(object).where(column.notna(), None).tolist() for column in columns]
    values[7] = [None if v is None else int(v) for v in values[7]]
    return list(zip(*values, strict=True))
