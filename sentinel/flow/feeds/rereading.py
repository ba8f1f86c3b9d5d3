"""What another feed map makes of files that were read before: which are read again, and what is no longer given."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sentinel.flow.again_and_pages import Reread
from sentinel.flow.feeds.feed_map import FeedMap
from sentinel.flow.model import QUARTERS, Batch, Rows
from sentinel.flow.tables import EXPORTED, QUARTER_ROWS, QUARTER_VALUES, VISITS, Table, table_named

Key = tuple[Any, ...]
VERSION, WITHDRAWN = "modified", "deleted"
MOST_SAID = 6
"""So many changed settings of a map are named; of more the number."""


def way_of_reading(feed: FeedMap, zone: str) -> tuple[Any, ...]:
    """Equal for two maps that read a file alike; `zone` is the farm's, for times where the map names none."""
    return feed.model_dump(exclude={"files", "pace", "every", "zone"}), feed.zone or zone


def map_changes(was: FeedMap | None, now: FeedMap | None) -> list[str]:
    """What differs between two maps, each as `tables.visits.milk_kg.unit lb → kg`; nothing if there is only one."""
    if was is None or now is None:
        return []
    before, after = (dict(_leaves(one.model_dump(exclude_defaults=True), "")) for one in (was, now))
    names = [*before, *(name for name in after if name not in before)]
    changes = [
        f"{name} {before.get(name, '-')} → {after.get(name, '-')}"
        for name in names
        if before.get(name) != after.get(name)
    ]
    return changes if len(changes) <= MOST_SAID else [*changes[:MOST_SAID], f"... ({len(changes)})"]


def _leaves(value: Any, path: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, Mapping):
        for name, one in value.items():
            yield from _leaves(one, f"{path}.{name}" if path else str(name))
    else:
        yield path, ", ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)


@dataclass
class Given:
    """What some readings gave, by table as it is stored: the keys of their rows, and their columns.

    `weights`: per row a number that differs where the cells do; of the readings that were weighed.
    """

    keys: dict[str, set[Key]] = field(default_factory=dict)
    columns: dict[str, set[str]] = field(default_factory=dict)
    weights: dict[str, dict[Key, int]] = field(default_factory=dict)

    def add(self, batch: Batch, *, weighed: bool = True) -> None:
        """Also what one reading gave."""
        for part in batch.rows:
            table = VISITS if part.table == QUARTER_ROWS.name else table_named(part.table)
            if not part.values:
                continue
            places = [part.columns.index(name) for name in table.key]
            withdrawn = part.columns.index(WITHDRAWN) if WITHDRAWN in part.columns else -1
            keys = self.keys.setdefault(table.name, set())
            keys.update(tuple(row[i] for i in places) for row in part.values if withdrawn < 0 or not row[withdrawn])
            self.columns.setdefault(table.name, set()).update(_as_stored(part, table))
            if weighed:
                self._weigh(part, table, places)

    def _weigh(self, part: Rows, table: Table, places: Sequence[int]) -> None:
        """In whatever order the rows come, also those of one row: its quarters, or a correction after it."""
        weights = self.weights.setdefault(table.name, {})
        quarter = part.columns.index("quarter") if part.table == QUARTER_ROWS.name else -1
        cells = [n for n in range(len(part.columns)) if n not in places and n != quarter]
        for row in part.values:
            key = tuple(row[n] for n in places)
            which = row[quarter] if quarter >= 0 else ""
            # Texts: hashes of tuples that end in near numbers are evenly apart, so that two swapped add up alike.
            own = sum(hash(f"{which} {part.columns[n]} {hash(row[n])}") for n in cells if row[n] is not None)
            weights[key] = weights.get(key, 0) + own


def _as_stored(part: Rows, table: Table) -> Iterator[str]:
    """The columns of a part besides the key, by the names under which they are stored."""
    for name in part.columns:
        if part.table == QUARTER_ROWS.name and name in QUARTER_VALUES:
            yield from (f"{quarter.lower()}_{name}" for quarter in QUARTERS)
        elif name not in (*table.key, "quarter"):
            yield name


def rows_changed(was: Given, now: Given) -> int:
    """How many rows are there in both and have other cells."""
    return sum(
        now.weights.get(name, {}).get(key, weight) != weight
        for name, weights in was.weights.items()
        for key, weight in weights.items()
    )


def no_longer_given(feed: str, was: Given, now: Given, reread: Reread) -> Batch:
    """What a feed takes back: rows of `was` that `now` has not, and columns that it no longer carries."""
    parts = []
    for table in EXPORTED:
        had = was.keys.get(table.name, set())
        gone = had - now.keys.get(table.name, set())
        if gone:
            parts.append(_rows(table, gone, (WITHDRAWN,), True))
        empty = was.columns.get(table.name, set()) - now.columns.get(table.name, set()) - {WITHDRAWN}
        kept = had - gone
        if empty and kept:
            parts.append(_rows(table, kept, tuple(sorted(empty)), None))
    return Batch(feed, "", tuple(parts), reread=reread)


def _rows(table: Table, keys: set[Key], columns: tuple[str, ...], value: Any) -> Rows:
    values = tuple((*key, *(value for _ in columns)) for key in sorted(keys))
    return Rows(table.name, (*table.key, *columns), values, (0,) * len(values))


def reads_versions_alike(was: FeedMap | None, now: FeedMap | None) -> bool:
    """Whether two maps of one feed read the versions of rows in the same way."""
    before, after = (
        {} if one is None else {name: table.modified for name, table in one.table_maps.items()} for one in (was, now)
    )
    times = {None if one is None else (one.times, one.zone) for one in (was, now)}
    return before == after and (len(times) == 1 or not any(before.values()))
