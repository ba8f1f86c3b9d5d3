"""The rows an engine looks at: the last month, kept as frames in memory and refreshed row by row from the store.

Its size depends on the herd, never on how long the farm has been watched.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd

from sentinel.edges.store import Store
from sentinel.edges.store.exports.ingest import Ingested
from sentinel.edges.store.rows import count_rows, recent_rows, rows_after
from sentinel.flow.model import DAY_S, QUARTERS, Batch
from sentinel.flow.reasons import Reason
from sentinel.flow.tables import (
    FILES,
    MEASURED,
    QUARTER_ROWS,
    STORED,
    VISITS,
    FarmFacts,
    Table,
    Tables,
    frame_types,
    table_named,
)

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
    """Whether a file gave so many rows that the room for them must be checked."""
    return sum(len(part.values) for one in batch.every for part in one.rows) > FEW_ROWS


def room_for(store: Store, batch: Batch, decided_until: Mapping[str, int], most: int) -> Reason | None:
    """Why what a large file gave cannot be taken; None if it can.

    Each file is within its bounds, and yet many of them together would fill the memory, as all that lies in the window
    is kept there. So a large one may take half of the room that is left of `most` rows: the larger they are the
    sooner there is none. Rows count by their columns; those of quarters are columns of their visits.
    """
    weight = {table.name: len(frame_types(table)) / len(frame_types(VISITS)) for table in MEASURED}
    begins = {table.name: decided_until[table.name] - table.kept_s for table in MEASURED}
    brought = dict.fromkeys(weight, 0.0)
    for part in (part for one in batch.every for part in one.rows):
        table = table_named(part.table)
        name, each = (VISITS.name, len(QUARTERS)) if table is QUARTER_ROWS else (table.name, 1)
        place = part.columns.index(table.happened)
        inside = sum(values[place] >= begins[name] for values in part.values)
        brought[name] = max(brought[name], weight[name] * inside / each)
    held = sum(weight[table.name] * count_rows(store, table, begins[table.name]) for table in MEASURED)
    left = most - held
    return None if sum(brought.values()) <= max(FEW_ROWS, left / 2) else TOO_MANY


class Window:
    """The frames of the recent past, as known at the last tick."""

    def __init__(self, store: Store, decided_until: Mapping[str, int]) -> None:
        """Read the recent past from the store: per table, of the time before the moment up to which it is decided."""
        self._store = store
        self._from = {table.name: decided_until[table.name] - table.kept_s for table in STORED}
        self._noted = Ingested(0)
        read: dict[str, Any] = {table.name: self._read(table) for table in STORED}
        self.tables = Tables(**read)

    def _read(self, table: Table, who: Collection[str] = (), earliest: int | None = None) -> pd.DataFrame:
        """The table's rows as known, or those from `earliest` on, of some cows or boxes or of all."""
        begin, latest = self._from[table.name], table.latest
        return recent_rows(self._store, table, begin, latest=latest, names=who, earliest=earliest)

    def reaches(self, decided_until: Mapping[str, int]) -> bool:
        """Whether it goes back far enough for what is decided up to these moments."""
        return all(self._from[table.name] <= decided_until[table.name] - table.kept_s for table in STORED)

    def forget(self, decided_until: Mapping[str, int]) -> None:
        """Let go of what has become too old; done once a day is enough."""
        frames: dict[str, Any] = {}
        for table in STORED:
            name, begin = table.name, decided_until[table.name] - table.kept_s
            if self._from[name] + DAY_S > begin:
                continue
            self._from[name] = begin
            frame = getattr(self.tables, name)
            kept = frame[table.happened].to_numpy(np.int64) >= begin
            if table.latest:
                old = np.flatnonzero(~kept)
                kept[old[~frame.iloc[old].duplicated(_names(table), keep="last").to_numpy(bool)]] = True
            frames[name] = frame[kept].reset_index(drop=True)
        self.tables = replace(self.tables, **frames)

    def note(self, done: Ingested) -> None:
        """Remember what one export file has touched, to be read at the next `take`."""
        self._noted = self._noted.with_(self._within(done))

    def _within(self, done: Ingested) -> Ingested:
        """Of what one export file has touched that which may lie here: years of old rows have nothing read again."""
        lies_here = any(
            touched and (table_named(name).latest or done.latest[name] >= self._from[name])
            for name, touched in done.touched.items()
        )
        return done if lies_here else Ingested(done.file_id, unread=done.unread)

    def take(self) -> None:
        """Refresh what the export files noted since the last time have touched."""
        done, self._noted = self._noted, Ingested(0)
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
        new = rows_after(self._store, table, last)
        return frame if new.empty else pd.concat([frame, new], ignore_index=True)

    def with_farm(self, farm: FarmFacts) -> None:
        """Keep what is known of the farm besides its rows."""
        self.tables = replace(self.tables, farm=farm)

    def _refreshed(self, table: Table, touched: set[str], earliest: int, many: bool) -> pd.DataFrame:
        """The table's frame with the rows of those touched, if `many` of all, read again from `earliest` on."""
        frame: pd.DataFrame = getattr(self.tables, table.name)
        if many and table.latest:
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
