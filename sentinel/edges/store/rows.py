"""Rows of the declared tables as frames with the declared types."""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Sequence
from functools import cache
from typing import Any

import numpy as np
import pandas as pd

from sentinel.edges.store.database import Store, fetch
from sentinel.flow.reasons import from_json
from sentinel.flow.tables import CHORES, COWS, DELIVERIES, OWN, Table, frame_types
from sentinel.flow.tables.herd_list import filled_in

AT_ONCE = 5000
"""So many rows are fetched at once on their way into a frame: as Python objects they take ten times the memory."""

MANY = 20_000
"""Of so many rows a frame's columns stay apart, as they were read."""


def _column_of(values: Sequence[Any], kind: str, texts: dict[str, Any]) -> np.ndarray:
    """A column with its declared type; None becomes NaN in a number column. Of `texts` that are alike one is kept."""
    if kind == "object":
        column = np.empty(len(values), dtype=object)
        column[:] = [texts.setdefault(value, value) for value in values]
        return column
    return np.array(values, dtype=kind)


def all_rows(store: Store, table: Table) -> pd.DataFrame:
    """The table's rows as a frame with its declared types, in order of time, then key.

    Left out is what does not count: rows that were withdrawn, and what somebody said that no tick has taken yet.
    """
    frame = _frame(store, table, _known(table), ())
    return filled_in(frame) if table is COWS else frame


def recent_rows(
    store: Store,
    table: Table,
    begin: int,
    *,
    latest: bool = False,
    names: Collection[str] = (),
    earliest: int | None = None,
) -> pd.DataFrame:
    """The same, of what happened from `begin` on.

    `latest`: besides, the newest older row of each name (a cow, a box's event, a chore's place). Of all these only what
    happened from `earliest` on, and only of the cows or boxes in `names`, if any are given.
    """
    if table is COWS and _says_changes(store):
        return _changes_filled_in(store, begin, latest=latest, names=names, earliest=earliest)
    where, values = f'"{table.happened}" >= ?', [begin]
    if latest and (earliest is None or earliest < begin):
        about = ", ".join(f'"{name}"' for name in table.key if name != table.happened)
        where = (
            f'({where} or ({about}, "{table.happened}") in (select {about}, max("{table.happened}") '
            f'from "{table.name}" where "{table.happened}" < ? and {_known(table)} group by {about}))'
        )
        values.append(begin)
    if earliest is None:
        return _frame(store, table, f"{where} and {_known(table)}", values)
    where += f' and "{table.happened}" >= ?'
    if names:
        where += f' and "{table.key[0]}" in ({", ".join("?" * len(names))})'
    return _frame(store, table, f"{where} and {_known(table)}", [*values, earliest, *sorted(names)])


def _says_changes(store: Store) -> bool:
    """Whether some rows of the herd list must be filled in from those before them."""
    return bool(fetch(store, "select 1 from cows where partial = 1 or withheld_until is not null limit 1"))


def _changes_filled_in(
    store: Store, begin: int, *, latest: bool, names: Collection[str], earliest: int | None
) -> pd.DataFrame:
    """The herd list's rows as `recent_rows` gives them, each whole: that takes all rows of a cow, however old."""
    where = f'"cow" in ({", ".join("?" * len(names))}) and ' if names else ""
    frame = filled_in(_frame(store, COWS, f"{where}{_known(COWS)}", sorted(names)))
    at = frame[COWS.happened].to_numpy(np.int64)
    kept = at >= begin
    if latest:
        old = np.flatnonzero(~kept)
        kept[old[~frame.iloc[old].duplicated("cow", keep="last").to_numpy(bool)]] = True
    if earliest is not None:
        kept &= at >= earliest
    return frame[kept].reset_index(drop=True)


def rows_after(store: Store, table: Table, moment: int) -> pd.DataFrame:
    """The same, of what happened later than a moment."""
    return _frame(store, table, f'"{table.happened}" > ? and {_known(table)}', (moment,))


def rows_between(store: Store, table: Table, begin: int, end: int, having: str = "") -> pd.DataFrame:
    """The same, of what happened from `begin` until before `end`; with `having` only where that column has a value.

    Of a table of which the newest older row of each name counts, that one as well.
    """
    key = f'"{table.happened}"'
    where, values = f"({key} >= ? and {key} < ?)", [begin, end]
    if table.latest:
        about = ", ".join(f'"{name}"' for name in table.key if name != table.happened)
        newest = f'select {about}, max({key}) from "{table.name}" where {key} < ? and {_known(table)} group by {about}'
        where, values = f"({where} or ({about}, {key}) in ({newest}))", [*values, begin]
    where += f' and "{table.column(having).name}" is not null' if having else ""
    return _frame(store, table, f"{where} and {_known(table)}", values)


def count_rows(store: Store, table: Table, begin: int = 0, end: int = 2**62) -> int:
    """How many rows a table has from a moment until before another, withdrawn ones too."""
    sql = f'select count(*) from "{table.name}" where "{table.happened}" >= ? and "{table.happened}" < ?'
    return int(fetch(store, sql, (begin, end))[0][0])


def _known(table: Table) -> str:
    """The condition that a row counts: it was not withdrawn; what somebody said a tick has taken, none taken back."""
    if table is CHORES:
        return "known_at is not null and undoes is null and undone_at is null"
    if table is DELIVERIES:
        return "known_at is not null"
    return "1" if table in OWN else "deleted = 0"


def _frame(store: Store, table: Table, where: str, values: Sequence[Any]) -> pd.DataFrame:
    with store.reading() as conn:
        return _frame_of(conn, table, where, values)


def _frame_of(conn: sqlite3.Connection, table: Table, where: str, values: Sequence[Any]) -> pd.DataFrame:
    """The table's rows of which `where` holds as a frame with its declared types, in order of time, then key."""
    types = frame_types(table)
    names = ", ".join(f'"{name}"' for name in types)
    order = ", ".join(f'"{c}"' for c in dict.fromkeys((table.happened, *table.key)))
    texts: dict[str, Any] = {}
    reasons = {column.name: cache(from_json) for column in table.columns if column.kind == "reason"}
    cursor = conn.cursor()
    cursor.row_factory = None
    rest = f'from "{table.name}" where {where}'
    rows = cursor.execute(f"select {names} {rest} order by {order}", values).fetchmany(AT_ONCE)
    many = len(rows)
    if many == AT_ONCE:  # whole columns are made once: pieces put together would take the memory twice
        many = int(conn.execute(f"select count(*) {rest}", values).fetchone()[0])
    data = {name: np.empty(many, dtype=kind) for name, kind in types.items()}
    begin = 0
    while rows:
        for (name, kind), column in zip(types.items(), zip(*rows, strict=True), strict=True):
            values = [value and reasons[name](value) for value in column] if name in reasons else column
            data[name][begin : begin + len(rows)] = _column_of(values, kind, texts)
        begin += len(rows)
        rows = cursor.fetchmany(AT_ONCE)
    series = {name: pd.Series(column, dtype=column.dtype, copy=False) for name, column in data.items()}
    return pd.DataFrame(series, copy=many < MANY)  # pandas would put the columns together, into a second whole
