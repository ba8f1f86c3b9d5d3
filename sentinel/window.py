"""The rows an engine looks at: the last month, kept as frames in memory and refreshed row by row from the store.

Its size depends on the herd, never on how long the farm has been watched.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd

from sentinel.edges.ingest import Ingested
from sentinel.edges.store import Store
from sentinel.flow.model import DAY_S, QUARTERS, Batch
from sentinel.flow.reasons import Reason
from sentinel.flow.tables import (
    BOX_LOG,
    CHORES,
    COW_TESTS,
    COWS,
    DELIVERIES,
    FILES,
    QUARTER_ROWS,
    TANK,
    UNREAD,
    VISITS,
    FarmFacts,
    Table,
    Tables,
    frame_types,
    table_named,
)

KEEP_S = {
    VISITS.name: 32 * DAY_S,
    BOX_LOG.name: 60 * DAY_S,
    COWS.name: 60 * DAY_S,
    TANK.name: 120 * DAY_S,
    COW_TESTS.name: 400 * DAY_S,
    CHORES.name: 60 * DAY_S,
    FILES.name: 32 * DAY_S,
    DELIVERIES.name: 32 * DAY_S,
    UNREAD.name: 32 * DAY_S,
}
"""How much of each table is kept, counted back from the moment up to which the rules that look at it can be decided:
on a farm whose exports stopped months ago that is months ago. Of `LATEST` tables also the newest older row of each
name (a cow, a box's event, a chore's place): a herd list's latest row counts however old it is, and some chores are
done once a year. So the lookback of every measure fits."""

LATEST = (COWS, BOX_LOG, CHORES)
MEASURED = (VISITS, BOX_LOG, COWS, TANK, COW_TESTS)
TOO_MANY = Reason("memory-full")

MOST_A_BOX = 10_000
"""So many rows for each box may always lie in the window: in a month a box serves some six thousand visits."""

FEW_ROWS = 2000
"""A file of so few rows is taken whatever there is: a day's exports may not be shut out by what came before."""

FEW = 400
"""Up to so many touched cows or boxes, only their rows are read again; else all from the earliest on."""

FEW_NEW = 5000
"""Up to so many new rows: putting more together with those that are there takes the memory of both several times."""


def is_large(batch: Batch) -> bool:
    """Whether a file gave so many rows that it must be seen whether there is room for them."""
    return sum(len(part.values) for part in batch.rows) > FEW_ROWS


def room_for(store: Store, batch: Batch, decided_until: Mapping[str, int], most: int) -> Reason | None:
    """Why what a large file gave cannot be taken; None if it can.

    Each file is within its bounds, and yet many of them together would fill the memory, as all that lies in the window
    is kept there. So a large one may take half of the room that is left of `most` rows: the larger they are the
    sooner there is none. Rows count by their columns; those of quarters are columns of their visits.
    """
    weight = {table.name: len(frame_types(table)) / len(frame_types(VISITS)) for table in MEASURED}
    begins = {name: decided_until[name] - KEEP_S[name] for name in weight}
    brought = dict.fromkeys(weight, 0.0)
    for part in batch.rows:
        table = table_named(part.table)
        name, each = (VISITS.name, len(QUARTERS)) if table is QUARTER_ROWS else (table.name, 1)
        place = part.columns.index(table.happened)
        inside = sum(values[place] >= begins[name] for values in part.values)
        brought[name] = max(brought[name], weight[name] * inside / each)
    held = sum(weight[table.name] * store.count(table, begins[table.name]) for table in MEASURED)
    left = most - held
    return None if sum(brought.values()) <= max(FEW_ROWS, left / 2) else TOO_MANY


class Window:
    """The frames of the recent past, as known at the last tick."""

    def __init__(self, store: Store, decided_until: Mapping[str, int]) -> None:
        """Read the recent past from the store: per table, of the time before the moment up to which it is decided."""
        self._store = store
        self._from = {name: decided_until[name] - keep for name, keep in KEEP_S.items()}
        read: dict[str, Any] = {name: self._read(table_named(name)) for name in KEEP_S}
        self.tables = Tables(**read)

    def _read(self, table: Table, who: Collection[str] = (), earliest: int | None = None) -> pd.DataFrame:
        """The table's rows as known, or those from `earliest` on, of some cows or boxes or of all."""
        begin = self._from[table.name]
        alive = (
            "known_at is not null"
            if table in (CHORES, DELIVERIES)
            else "1"
            if table in (FILES, UNREAD)
            else "deleted = 0"
        )
        where, values = f'"{table.happened}" >= ?', [begin]
        if table in LATEST and (earliest is None or earliest < begin):
            names = ", ".join(f'"{name}"' for name in _names(table))
            where = (
                f'({where} or ({names}, "{table.happened}") in (select {names}, max("{table.happened}") '
                f'from "{table.name}" where "{table.happened}" < ? and {alive} group by {names}))'
            )
            values.append(begin)
        if earliest is None:
            return self._store.frame(table, f"{where} and {alive}", values)
        where += f' and "{table.happened}" >= ?'
        if who:
            where += f' and "{table.key[0]}" in ({", ".join("?" * len(who))})'
        return self._store.frame(table, f"{where} and {alive}", [*values, earliest, *sorted(who)])

    def reaches(self, decided_until: Mapping[str, int]) -> bool:
        """Whether it goes back far enough for what is decided up to these moments."""
        return all(self._from[name] <= decided_until[name] - keep for name, keep in KEEP_S.items())

    def forget(self, decided_until: Mapping[str, int]) -> None:
        """Let go of what has become too old; done once a day is enough."""
        frames: dict[str, Any] = {}
        for name, keep in KEEP_S.items():
            begin = decided_until[name] - keep
            if self._from[name] + DAY_S > begin:
                continue
            self._from[name] = begin
            table, frame = table_named(name), getattr(self.tables, name)
            kept = frame[table.happened].to_numpy(np.int64) >= begin
            if table in LATEST:
                old = np.flatnonzero(~kept)
                kept[old[~frame.iloc[old].duplicated(_names(table), keep="last").to_numpy(bool)]] = True
            frames[name] = frame[kept].reset_index(drop=True)
        self.tables = replace(self.tables, **frames)

    def within(self, done: Ingested) -> Ingested:
        """Of what one export file has touched that which may lie here: years of old rows have nothing read again."""
        lies_here = any(
            touched and (table_named(name) in LATEST or done.latest[name] >= self._from[name])
            for name, touched in done.touched.items()
        )
        return done if lies_here else Ingested(done.file_id, unread=done.unread)

    def take(self, done: Ingested) -> None:
        """Refresh what export files have touched."""
        frames: dict[str, Any] = {}
        for name, touched in done.touched.items():
            if touched:
                many = len(touched) > FEW or done.new > FEW_NEW
                frames[name] = self._refreshed(table_named(name), touched, done.earliest or 0, many)
        self.tables = replace(self.tables, **frames)

    def take_own(self, names: Collection[str]) -> None:
        """Refresh some of the tables that sentinel fills itself; of the files read by the new ones."""
        frames: dict[str, Any] = {name: self._read(table_named(name)) for name in names if name != FILES.name}
        if FILES.name in names:
            frames[FILES.name] = self._grown(FILES)
        self.tables = replace(self.tables, **frames)

    def _grown(self, table: Table) -> pd.DataFrame:
        """A table's frame with the rows that came since; each tick's have a moment of their own, after all others."""
        frame: pd.DataFrame = getattr(self.tables, table.name)
        if frame.empty:
            return self._read(table)
        last = int(frame[table.happened].iloc[-1])
        new = self._store.frame(table, f'"{table.happened}" > ?', [last])
        return frame if new.empty else pd.concat([frame, new], ignore_index=True)

    def with_farm(self, farm: FarmFacts) -> None:
        """Keep what is known of the farm besides its rows."""
        self.tables = replace(self.tables, farm=farm)

    def _refreshed(self, table: Table, touched: set[str], earliest: int, many: bool) -> pd.DataFrame:
        """The table's frame with the rows of those touched, if `many` of all, read again from `earliest` on."""
        frame: pd.DataFrame = getattr(self.tables, table.name)
        if many and table in LATEST:
            return self._read(table)
        touched = set() if many else touched
        fresh = self._read(table, touched, earliest)
        begin = int(np.searchsorted(frame[table.happened].to_numpy(np.int64), earliest))
        later = frame.iloc[begin:] if touched else frame.iloc[:0]
        later = later[~later[table.key[0]].isin(touched).to_numpy()]
        if not later.empty:
            order = list(dict.fromkeys((table.happened, *table.key)))
            fresh = later if fresh.empty else pd.concat([later, fresh]).sort_values(order, kind="stable")
        if not touched and begin == 0:
            return fresh
        if fresh.empty or begin == 0:
            return frame.iloc[:begin] if fresh.empty else fresh.reset_index(drop=True)
        return pd.concat([frame.iloc[:begin], fresh], ignore_index=True)


def _names(table: Table) -> list[str]:
    """What a table's rows are about: its key without the moment."""
    return [name for name in table.key if name != table.happened]
