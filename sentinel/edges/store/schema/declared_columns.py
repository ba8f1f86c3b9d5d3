"""Columns of the measured tables that are declared and not in a store yet: they are added by themselves.

Any of them may be missing in a row, so a new column needs no migration, only its declaration in `flow/tables`. It is
noted among the migrations all the same, so that an older sentinel refuses a store with columns it does not know.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping

from sentinel.flow.tables import MEASURED, Kind, stored_columns

SQL_TYPES: Mapping[Kind, str] = {
    "text": "text",
    "word": "text",
    "time": "integer",
    "date": "integer",
    "moment": "integer",
    "number": "real",
    "count": "integer",
    "flag": "integer",
    "reason": "text",
}
"""What a column of each kind is stored as."""


def noted_columns() -> set[str]:
    """What adding each declared column is called among the migrations."""
    return {_note(table.name, name) for table in MEASURED for name in stored_columns(table)}


def _note(table: str, name: str) -> str:
    return f"column {table}.{name}"


def columns_to_add(conn: sqlite3.Connection) -> list[tuple[str, str, Kind]]:
    """The declared columns that are not there: table, name and kind; none of a table that is not there itself."""
    there: dict[str, set[str]] = {}
    for table, name in conn.execute(THERE):
        there.setdefault(table, set()).add(name)
    return [
        (table.name, name, kind)
        for table in MEASURED
        for name, kind in stored_columns(table).items()
        if table.name in there and name not in there[table.name]
    ]


THERE = "select m.name, c.name from sqlite_master m join pragma_table_info(m.name) c where m.type = 'table'"
"""Every table with each of its columns."""


def add_columns(conn: sqlite3.Connection, migration_set: str) -> None:
    """Add the declared columns that are not there, within the caller's transaction."""
    for table, name, kind in columns_to_add(conn):
        conn.execute(f'alter table "{table}" add column "{name}" {SQL_TYPES[kind]}')
        conn.execute(
            "insert into _sqlite_migrations (migration_set, name, applied_at) values (?, ?, '')",
            (migration_set, _note(table, name)),
        )
