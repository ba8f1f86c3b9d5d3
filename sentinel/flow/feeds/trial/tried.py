"""What one map gives of a few files: rows, what is set aside and why, and the figures of each field."""

from __future__ import annotations

import statistics
from array import array
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from sentinel.flow.feeds.check_map import load_feed_map
from sentinel.flow.feeds.feed_map import FeedMap
from sentinel.flow.feeds.field_map import FieldMap
from sentinel.flow.feeds.possible import IMPOSSIBLE, left_out, only_possible
from sentinel.flow.model import Batch, Problem, SetAside, Source
from sentinel.flow.reasons import Reason
from sentinel.flow.tables import EXPORTED, Column, table_named
from sentinel.flow.tables.expected import ANY
from sentinel.flow.yaml.text import Document, Path, read_yaml

NEWEST = 3
"""So many of each feed's newest files are tried: what is wrong with a map is wrong with each."""

OLDER = 8
"""About so many of its older files too, spread over all of them: a rare word or a winter's figures stand in few."""

MOST_ROWS = 10_000
"""So many rows of each table are kept of a file to compare them with another feed's."""

_MOST_WHYS = 8
"""So many different reasons of one feed are told."""


@dataclass(frozen=True, slots=True)
class MapFile:
    """A feed map, and where each thing stands in its file; without `feed` the feed needs none (ICAR ADE).

    `name` is the feed's.
    """

    name: str
    feed: FeedMap | None = None
    document: Document = field(default_factory=lambda: Document("", None))

    def place(self, *steps: str | int) -> Source:
        """Where something stands in the map; if it is not there, where what it would stand in does."""
        return self.document.source(steps)

    def mapped(self, table: str, column: str) -> FieldMap | None:
        """Where a field comes from, if the map says."""
        tables = self.feed.table_maps if self.feed is not None else {}
        return tables[table].fields().get(column) if table in tables else None

    def steps(self, table: str, column: str) -> Path:
        """Where a field stands in the map; what quarters take over from visits stands there."""
        tables = self.document.data.get("tables") if isinstance(self.document.data, Mapping) else None
        own = tables.get(table) if isinstance(tables, Mapping) else None
        taken_over = table == "quarters" and not (isinstance(own, Mapping) and column in own)
        return ("tables", "visits" if taken_over else table, column)


def map_files(texts: Mapping[str, str], feeds: Sequence[FeedMap]) -> list[MapFile]:
    """The maps with their files: `texts` are the farm's settings by name, `feeds` its maps in the same order."""
    names = sorted(name for name in texts if name.startswith("feeds/"))
    return [MapFile(feed.feed, feed, read_yaml(texts[name], name)[0]) for name, feed in zip(names, feeds, strict=True)]


def draft_map(text: str, name: str) -> tuple[MapFile | None, list[Problem]]:
    """A map by itself, such as a draft, and what keeps it from being read."""
    feed, problems = load_feed_map(text, name)
    return (MapFile(feed.feed, feed, read_yaml(text, name)[0]) if feed is not None else None), problems


@dataclass(frozen=True, slots=True)
class Why:
    """One reason why rows could not be read, or not wholly: how many at least, and the first with its file and line.

    `kept`: the rows stand without some cells. `files`: in so many of the files tried there is such a row.
    """

    reason: Reason
    number: int
    at: Source
    kept: bool
    files: int = 1


@dataclass(frozen=True, slots=True)
class TriedFile:
    """One file as its map reads it: rows by table, and how many could not be read, or not wholly."""

    file: str
    modified_at: int
    rows: Mapping[str, int]
    aside: int
    in_part: int
    refused: Reason | None


@dataclass(frozen=True, slots=True)
class Figures:
    """The values of one field over all files tried: how many rows, how many say nothing, and how many figures there are
    (moments are UTC seconds) with the lowest and highest, or how often each word of ours was met.

    `judged` are the figures but for 0, which is as often nothing measured or nothing given: how many, their middle one,
    and how many of them are not usual. `impossible`: how many figures would be left out.
    """

    table: str
    column: Column
    rows: int
    missing: int
    number: int = 0
    lowest: float | None = None
    highest: float | None = None
    judged: int = 0
    median: float | None = None
    unusual: int = 0
    impossible: int = 0
    words: Mapping[str, int] = field(default_factory=dict)


@dataclass(slots=True)
class _Field:
    """The values of one field, while they are gathered."""

    table: str
    column: Column
    rows: int = 0
    missing: int = 0
    impossible: int = 0
    values: array[float] = field(default_factory=lambda: array("d"))
    words: Counter[str] = field(default_factory=Counter)

    def figures(self) -> Figures:
        """What is kept of them."""
        low, high = self.column.expected.usual if self.column.expected else ANY
        judged = [value for value in self.values if value]
        return Figures(
            self.table,
            self.column,
            self.rows,
            self.missing,
            len(self.values),
            min(self.values, default=None),
            max(self.values, default=None),
            len(judged),
            statistics.median(judged) if judged else None,
            sum(not low <= value <= high for value in judged),
            self.impossible,
            dict(self.words.most_common()),
        )


@dataclass(frozen=True, slots=True)
class Tried:
    """What a map gives of a few files, the newest first; `there` is how many files it is for.

    `batches` are what was read, each figure as it stands in the export, of each table at most `MOST_ROWS` rows a file.
    """

    map: MapFile
    there: int
    files: Sequence[TriedFile]
    fields: Sequence[Figures]
    whys: Sequence[Why]
    batches: Sequence[Batch]


def tried(of_map: MapFile, there: int, read: Iterable[tuple[int, Batch]]) -> Tried:
    """What was read of some files, each with the moment at which it was last written."""
    files, batches = [], []
    fields: dict[tuple[str, str], _Field] = {}
    whys: dict[tuple[object, ...], Why] = {}
    for modified_at, batch in read:
        rows: dict[str, int] = {}
        for part in batch.rows:
            rows[part.table] = rows.get(part.table, 0) + len(part.values)
        _add_figures(fields, batch)
        set_aside = only_possible(batch, of_map.feed).set_aside
        _add_whys(whys, batch.file, set_aside)
        in_part = sum(one.kept for one in set_aside)
        refused = next((one.reason for one in set_aside if one.line == 0), None)
        aside = len(set_aside) - in_part - (refused is not None)
        files.append(TriedFile(batch.file, modified_at, rows, aside, in_part, refused))
        batches.append(_some_rows(batch))
    told = sorted(whys.values(), key=lambda why: -why.number)[:_MOST_WHYS]
    return Tried(of_map, there, files, [one.figures() for one in _in_order(fields)], told, batches)


def _some_rows(batch: Batch) -> Batch:
    """A batch with no more rows of each table than are compared: the last ones."""
    left, kept = dict.fromkeys((table.name for table in EXPORTED), MOST_ROWS), []
    for part in reversed(batch.rows):
        most = left[part.table]
        left[part.table] = max(0, most - len(part.values))
        if len(part.values) <= most:
            kept.append(part)
        elif most:
            kept.append(replace(part, values=part.values[-most:], lines=part.lines[-most:]))
    return replace(batch, rows=tuple(reversed(kept)), set_aside=())


def _add_figures(fields: dict[tuple[str, str], _Field], batch: Batch) -> None:
    """Add what the rows of one file say to the fields."""
    carried = {(part.table, name) for part in batch.rows for name in part.columns}
    for part in batch.rows:
        declared, impossible = table_named(part.table), left_out(part)
        for column in declared.columns:
            if (part.table, column.name) not in carried:
                continue
            one = fields.setdefault((part.table, column.name), _Field(part.table, column))
            one.rows += len(part.values)
            one.impossible += impossible[column.name]
            if column.name not in part.columns:  # in these rows it could not be read
                one.missing += len(part.values)
                continue
            place = part.columns.index(column.name)
            known = [row[place] for row in part.values if row[place] is not None]
            one.missing += len(part.values) - len(known)
            if column.kind in ("number", "count", "time", "date"):
                one.values.extend(known)
            elif column.kind in ("word", "flag"):
                one.words.update({True: "yes", False: "no"}.get(value, str(value)) for value in known)


def _in_order(fields: Mapping[tuple[str, str], _Field]) -> Iterator[_Field]:
    """The fields in the order in which tables and columns are declared; those without rows are left out."""
    for table in EXPORTED:
        for column in table.columns:
            if (table.name, column.name) in fields and fields[table.name, column.name].rows:
                yield fields[table.name, column.name]


def _add_whys(whys: dict[tuple[object, ...], Why], file: str, set_aside: Iterable[SetAside]) -> None:
    """Add why rows of one file could not be read, each reason once, whatever the cell said."""
    met: set[tuple[object, ...]] = set()
    for aside in set_aside:
        if aside.line == 0 or aside.reason is None:
            continue
        for reason in each_reason(aside.reason):
            key = (alike(reason), aside.kept)
            before = whys.get(key)
            at = Source(file, aside.line) if before is None else before.at
            values = dict(reason.values)
            number = int(str(values["n"])) if reason.code in IMPOSSIBLE else 1
            number += 0 if before is None else before.number
            files = (0 if before is None else before.files) + (key not in met)
            whys[key] = Why(reason if before is None else before.reason, number, at, aside.kept, files)
            met.add(key)


def each_reason(reason: Reason) -> Iterator[Reason]:
    """The reasons of a row one by one, without the number of its item."""
    if reason.code == "several":
        for part in reason.parts():
            yield from each_reason(part)
    elif reason.code == "item":
        for part in reason.parts():
            yield from each_reason(part)
    elif reason.code != "and-more":
        yield reason


def alike(reason: Reason) -> tuple[object, ...]:
    """Equal for reasons that say the same of another cell of the same column."""
    values: Mapping[str, Any] = dict(reason.values)
    of_field = values.get("what") if reason.code in IMPOSSIBLE else None
    return reason.code, values.get("place"), of_field, *(alike(part) for part in reason.parts())
