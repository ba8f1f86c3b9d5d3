"""Rows that two feeds tell: what they say differently of the same row, and rows that are the same but for their key."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from typing import Any

from sentinel.flow.feeds.trial.figures import shown
from sentinel.flow.feeds.trial.tried import MOST_ROWS, Tried
from sentinel.flow.model import HOUR_S, Problem, Source
from sentinel.flow.tables import COWS, EXPORTED, Column, table_named

FEWEST = 5
"""Of fewer rows that both tell nothing is said."""

LIKE, LIKE_LEAST = 0.1, 0.11
"""Figures count as the same within a tenth of the larger, or within what an export rounds to (our choice)."""

MANY = 0.1
"""Of such a share of rows that differ the maps are asked about (our choice)."""

FARTHEST_S = 14 * HOUR_S
"""No two zones are farther apart on one farm's computers."""

MOST_OF_ONE = 50
"""So many moments of one name are compared."""

Key = tuple[Any, ...]


@dataclass(slots=True)
class _Told:
    """What a feed tells of one table: by key the values of each row."""

    rows: dict[Key, dict[str, Any]] = field(default_factory=dict)


def overlaps(feeds: Sequence[Tried]) -> Iterator[Problem]:
    """Every field that two feeds tell differently of the same rows, and keys that they write differently."""
    told = [_told(of) for of in feeds]
    for (one, mine), (other, theirs) in combinations(zip(feeds, told, strict=True), 2):
        for table in EXPORTED:
            first, second = mine.get(table.name), theirs.get(table.name)
            if first is not None and second is not None:
                yield from _differing(one, other, table.name, first, second)
        for table in EXPORTED:
            if table.within or table is COWS:  # a herd list is as of its own moment
                continue
            yield from _apart(one, other, table.name, _keys(mine, table.name), _keys(theirs, table.name))


def _told(of: Tried) -> dict[str, _Told]:
    """The rows of a feed by table."""
    told: dict[str, _Told] = {}
    for batch in reversed(of.batches):  # the oldest first: the newest file's word counts
        for part in batch.rows:
            rows = told.setdefault(part.table, _Told()).rows
            places = [part.columns.index(name) for name in table_named(part.table).key]
            for values in part.values:
                key = tuple(values[place] for place in places)
                if key in rows or len(rows) < MOST_ROWS:
                    rows.setdefault(key, {}).update(zip(part.columns, values, strict=True))
    return told


def _keys(told: Mapping[str, _Told], table: str) -> set[Key]:
    """The keys of the rows that are stored in a table."""
    length = len(table_named(table).key)
    parts = (rows for name, rows in told.items() if table_named(name).stored_as == table)
    return {key[:length] for rows in parts for key in rows.rows}


def _differing(one: Tried, other: Tried, table: str, first: _Told, second: _Told) -> Iterator[Problem]:
    """The fields of a table of which many rows that both feeds tell differ."""
    shared = [key for key in second.rows if key in first.rows]
    if len(shared) < FEWEST:
        return
    for column in table_named(table).columns:
        if column.name in table_named(table).key:
            continue
        pairs = [(first.rows[key].get(column.name), second.rows[key].get(column.name)) for key in shared]
        both = [(mine, theirs) for mine, theirs in pairs if mine is not None and theirs is not None]
        unlike = [(mine, theirs) for mine, theirs in both if not _alike(column, mine, theirs)]
        if len(both) < FEWEST or len(unlike) <= MANY * len(both):
            continue
        mine, theirs = unlike[0]
        place = _place(other, table, column.name)
        also = _place(one, table, column.name)
        yield Problem(
            place,
            f"{column.name}: {len(unlike)} of {len(both)} rows of {table} that {one.map.name} tells as well differ "
            f"({_said(theirs)} here, {_said(mine)} by {also}): is it the unit, the words or the column in one?",
        )


def _alike(column: Column, mine: Any, theirs: Any) -> bool:
    """Whether two values of the same row say the same, but for how they are rounded."""
    if column.kind in ("number", "count"):
        return bool(abs(mine - theirs) <= max(LIKE * max(abs(mine), abs(theirs)), LIKE_LEAST))
    if column.kind == "time":
        return bool(abs(mine - theirs) <= 60)
    return bool(mine == theirs)


def _apart(one: Tried, other: Tried, table: str, first: set[Key], second: set[Key]) -> Iterator[Problem]:
    """Rows that two feeds tell of the same cow at moments that differ alike, so that each would be stored twice."""
    declared = table_named(table)
    if min(len(first), len(second)) < FEWEST:
        return
    at = declared.key.index(declared.happened)
    mine, theirs = _moments(first, at), _moments(second, at)
    name = declared.key[0]
    if not mine.keys() & theirs.keys():
        short = {one.lstrip("0") for one in mine} & {one.lstrip("0") for one in theirs}
        if len(short) >= FEWEST:
            sentence = (
                f"{name}: its names are those of {one.map.name} but for leading zeros, so that no row is the same"
            )
            yield Problem(_place(other, table, name), f"{sentence}: have one of the two exports write them alike")
        return
    apart: Counter[int] = Counter()
    for who, moments in theirs.items():
        for moment in moments[:MOST_OF_ONE]:
            near = {
                round((moment - before) / 60)
                for before in mine.get(who, [])[:MOST_OF_ONE]
                if abs(moment - before) <= FARTHEST_S
            }
            apart.update(near)
    if not apart:
        return
    [(minutes, number), *others] = apart.most_common(2)
    if others and 4 * others[0][1] > 3 * number:
        return  # rows at every full hour lie as far from another feed's in many ways
    same = len(first & second)
    if number < max(FEWEST, 2 * same + 1) or number < min(len(first), len(second)) / 3:
        return
    if minutes:
        how = f"{abs(minutes)} min {'later' if minutes > 0 else 'earlier'} than"
        todo = "is the zone right in both maps?"
    else:
        how, todo = "within a minute of", "does one of the two exports leave out the seconds?"
    yield Problem(
        _place(other, table, declared.happened),
        f"{declared.happened}: {number} rows are {how} a row of the same {name} in {one.map.name}, so that each would "
        f"count as two: {todo}",
    )


def _moments(keys: set[Key], at: int) -> dict[str, list[int]]:
    """The moments of each name's rows."""
    moments: dict[str, list[int]] = {}
    for key in keys:
        moments.setdefault(str(key[0]), []).append(key[at])
    return {name: sorted(of_name) for name, of_name in moments.items()}


def _place(of: Tried, table: str, column: str) -> Source:
    """Where a field stands in a feed's map, or the feed."""
    if of.map.feed is None:
        return Source(of.map.name)
    known = [name for name in of.map.feed.table_names if table_named(name).stored_as == table or name == table]
    return of.map.place(*of.map.steps(table if table in known else (known or [table])[0], column))


def _said(value: Any) -> str:
    return shown(value) if isinstance(value, int | float) and not isinstance(value, bool) else str(value)
