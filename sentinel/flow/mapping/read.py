"""Reading one export by its feed map: tidy rows by table, and what was set aside.

A row of the file is kept or set aside as a whole: if one quarter of a milking cannot be read, neither the visit nor
its other quarters are stored, so that after the map or the file is mended it is read again whole.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from itertools import compress
from typing import Any

from sentinel.flow.mapping.check_map import fields_of, meaning
from sentinel.flow.mapping.delimited import open_delimited
from sentinel.flow.mapping.feed_map import FeedMap, FieldMap, TableMap
from sentinel.flow.mapping.json_lines import open_json_lines
from sentinel.flow.mapping.raw import Chunk, Opened, plain_title, set_aside, storable
from sentinel.flow.mapping.sheet import open_sheet
from sentinel.flow.mapping.times import LocalTimes, join_date_and_time, local_seconds, read_time, time_column
from sentinel.flow.mapping.units import Conversion, conversion, span_named
from sentinel.flow.mapping.values import (
    FLAG_WORDS,
    Convert,
    Faults,
    as_text,
    number_column,
    span_column,
    text_column,
    word_column,
)
from sentinel.flow.model import QUARTERS, Batch, Export, Rows, SetAside
from sentinel.flow.tables import QUARTER_VALUES, Column, table_named
from sentinel.flow.yaml_text import did_you_mean


def read_export(feed: FeedMap, export: Export, zone: str) -> Batch:
    """Read one export by its feed map; `zone` is the farm's, for naive times if the map names none.

    Never raises for what is in the file.
    """
    batch, saw_repeated = _read(feed, export, zone)
    if saw_repeated and export.read_from and feed.clock_change.repeated == "order":
        # Which pass of the repeated hour a row belongs to can hang on the rows before it: read them too, drop them.
        whole, _ = _read(feed, replace(export, read_from=0), zone)
        return _rows_of(batch, whole)
    return batch


def _rows_of(part: Batch, whole: Batch) -> Batch:
    """The rows of `whole` that stand on the lines of `part`."""
    rows = []
    for one in part.rows:
        lines = set(one.lines)
        of_all = next(o for o in whole.rows if o.table == one.table)
        keep = [line in lines for line in of_all.lines]
        values, kept = compress(of_all.values, keep), compress(of_all.lines, keep)
        rows.append(replace(of_all, values=tuple(values), lines=tuple(kept)))
    return replace(part, rows=tuple(rows))


def _read(feed: FeedMap, export: Export, zone: str) -> tuple[Batch, bool]:
    """The batch, and whether a naive time fell into an hour that a clock change repeated."""
    stamp = complete_until(feed, export, zone)
    batch = Batch(feed.feed, export.name, (), (), stamp, hashlib.sha256(export.content).hexdigest())
    plans = [_TablePlan(name, one, repr(one.only)) for name, one in feed.table_maps.items()]
    opened = _open(feed, export, plans)
    reason = opened.refused or _missing_titles(opened.titles, plans)
    if not reason and stamp is None and any(f.stamp for plan in plans for f in plan.map.fields().values()):
        reason = f"its name does not fit the map's pattern {feed.complete_until and feed.complete_until.pattern}"
    if reason:
        # A file that was not read keeps no promise: its rows are missing, so nothing is known up to its stamp.
        return replace(batch, set_aside=(SetAside(0, "", storable(reason)),), complete_until=None), False
    work = _Work(feed, feed.zone or zone, stamp, {title: i for i, title in enumerate(opened.titles)})
    for plan in plans:
        plan.prepare(work)
    for chunk in opened.chunks:
        opened.set_aside.extend(_convert(chunk, plans))
    rows = tuple(plan.rows() for plan in plans)
    aside = tuple(sorted(opened.set_aside, key=lambda one: one.line))
    return replace(batch, rows=rows, set_aside=aside), any(local.saw_repeated for local in work.locals)


def _open(feed: FeedMap, export: Export, plans: Sequence[_TablePlan]) -> Opened:
    if feed.form == "xlsx":
        return open_sheet(feed, export)
    if feed.form == "json_lines":
        return open_json_lines(feed, export, list(dict.fromkeys(t for plan in plans for t in plan.titles())))
    return open_delimited(feed, export)


def _missing_titles(titles: Sequence[str], plans: Sequence[_TablePlan]) -> str:
    """Why the file's columns are not the map's, or ""."""
    there = [t for t in titles if t]
    missing = [t for t in dict.fromkeys(t for plan in plans for t in plan.titles()) if t not in titles]
    if not missing:
        return ""
    named = ", ".join(f'"{title}"{did_you_mean(title, there)}' for title in missing)
    if len(there) <= 1:
        named += "; is the map's delimiter right?"
    return f"its titles lack {named}"


def complete_until(feed: FeedMap, export: Export, zone: str) -> int | None:
    """The moment up to which the file's own stamp promises completeness, in UTC seconds, or None.

    The pattern is compared with the file's name, with and without its last extension.
    """
    promise = feed.complete_until
    if promise is None:
        return None
    if promise.from_ == "file_time":
        return export.modified_at
    name = export.name.rpartition("/")[2]
    for part in (name, name.rpartition(".")[0]):
        try:
            moment = datetime.strptime(part, promise.pattern or "")  # noqa: DTZ007  (the zone is the map's)
            if moment.tzinfo is not None:
                return int(moment.timestamp())
            return LocalTimes(feed.zone or zone, "first", "shift").utc(local_seconds(moment))
        except (ValueError, OverflowError):
            continue
    return None


# --- plans: what is converted how, made once for a file ---------------------------------------------------


@dataclass(slots=True)
class _Work:
    """What the plans of one file share: `index` says at which place a title stands."""

    feed: FeedMap
    zone: str
    stamp: int | None
    index: Mapping[str, int]
    locals: list[LocalTimes] = field(default_factory=list)
    made: dict[tuple[int, str, str], _Cells] = field(default_factory=dict)


@dataclass(slots=True)
class _Cells:
    """One source of values: the places of its cells in a row, how to read them, and the last chunk's result."""

    places: tuple[int, ...]
    convert: Convert
    constant: Any = None
    chunk: Chunk | None = None
    values: list[Any] = field(default_factory=list)
    faults: Faults = field(default_factory=dict)

    def read(self, chunk: Chunk, chosen: Sequence[int] | None) -> list[Any]:
        """The values of the chosen rows of a chunk; two tables that share a source share its result."""
        if self.chunk is chunk:
            return self.values
        self.chunk, self.faults = chunk, {}
        rows = chunk.rows if chosen is None else [chunk.rows[i] for i in chosen]
        if not self.places:
            self.values = [self.constant] * len(rows)
        elif len(self.places) == 1:
            place = self.places[0]
            self.values = self.convert([row[place] for row in rows], self.faults)
        else:
            joined = [join_date_and_time([row[p] for p in self.places]) for row in rows]
            self.values = self.convert(joined, self.faults)
        return self.values


@dataclass(slots=True)
class _TablePlan:
    """How one table is made: for `each` quarter, or once, the sources of its columns."""

    name: str
    map: TableMap
    only_key: str
    columns: tuple[str, ...] = ()
    sources: list[list[_Cells]] = field(default_factory=list)
    required: list[int] = field(default_factory=list)
    optional: list[int] = field(default_factory=list)
    only_place: int = -1
    only_words: frozenset[str] = frozenset()
    values: list[tuple[Any, ...]] = field(default_factory=list)
    lines: list[int] = field(default_factory=list)

    def titles(self) -> list[str]:
        """Every column title it needs."""
        found = [t for f in self.map.fields().values() for t in _titles_of(f, self.map)]
        return found + ([plain_title(self.map.only.column)] if self.map.only else [])

    def prepare(self, work: _Work) -> None:
        """Make the converters, once for a file."""
        table = table_named(self.name)
        fields = fields_of(self.map, table)
        quarters = QUARTERS if self.map.each is not None else ("",)
        for quarter in quarters:
            sources = []
            for column, one in fields.values():
                if quarter and isinstance(one.columns, dict) and quarter not in one.columns:
                    sources.append(_Cells((), _nothing))
                else:
                    sources.append(_source(column, one, quarter, self, work))
            if quarter:
                sources.insert(list(fields).index("start") + 1, _Cells((), _nothing, constant=quarter))
            self.sources.append(sources)
        names = list(fields)
        if self.map.each is not None:
            names.insert(names.index("start") + 1, "quarter")
        self.columns = tuple(names)
        self.required = [i for i, n in enumerate(names) if n in table.key]
        if self.map.each is not None:
            self.optional = [i for i, n in enumerate(names) if n in QUARTER_VALUES]
        if self.map.only:
            self.only_place = work.index[plain_title(self.map.only.column)]
            self.only_words = frozenset(word.strip() for word in self.map.only.is_)

    def choose(self, chunk: Chunk) -> list[int] | None:
        """The indexes of the rows that belong to this table; None for all of them."""
        if self.only_place < 0:
            return None
        return [i for i, row in enumerate(chunk.rows) if as_text(row[self.only_place]) in self.only_words]

    def rows(self) -> Rows:
        """Everything read so far."""
        return Rows(self.name, self.columns, tuple(self.values), tuple(self.lines))


def _convert(chunk: Chunk, plans: Sequence[_TablePlan]) -> list[SetAside]:
    """Convert a chunk for all tables, keep the rows that are whole, and return the others."""
    faults: Faults = {}
    read: list[tuple[_TablePlan, Sequence[int], list[list[list[Any]]]]] = []
    for plan in plans:
        chosen = plan.choose(chunk)
        indexes: Sequence[int] = range(len(chunk.rows)) if chosen is None else chosen
        values = []
        for sources in plan.sources:
            columns = [source.read(chunk, chosen) for source in sources]
            for source in sources:
                for at, reason in source.faults.items():
                    faults.setdefault(indexes[at], reason)
            for place in plan.required:
                if None in columns[place]:
                    for at, value in enumerate(columns[place]):
                        if value is None:
                            faults.setdefault(indexes[at], _empty_key(plan, place))
            values.append(columns)
        read.append((plan, indexes, values))
    for plan, indexes, values in read:
        _keep(plan, chunk, indexes, values, faults)
    return [set_aside(chunk.lines[i], chunk.raws[i], reason) for i, reason in sorted(faults.items())]


def _keep(
    plan: _TablePlan, chunk: Chunk, indexes: Sequence[int], values: list[list[list[Any]]], faults: Faults
) -> None:
    """Add the rows without a fault to a table; a quarter of which nothing is known gives no row."""
    lines: Sequence[int] = [chunk.lines[i] for i in indexes]
    keep = [i not in faults for i in indexes] if faults else None
    if plan.map.each is None:
        made = zip(*values[0], strict=True)
        plan.values.extend(made if keep is None else compress(made, keep))
        plan.lines.extend(lines if keep is None else compress(lines, keep))
        return
    told = [not plan.optional or any(None not in columns[i] for i in plan.optional) for columns in values]
    fours = zip(*(zip(*columns, strict=True) for columns in values), strict=True)
    if keep is None and all(told):  # every quarter has something: nothing to choose
        plan.values.extend(row for four in fours for row in four)
        plan.lines.extend(line for line in lines for _ in QUARTERS)
        return
    deleted = plan.columns.index("deleted") if "deleted" in plan.columns else -1
    for at, four in enumerate(fours):
        if keep is not None and not keep[at]:
            continue
        for row in four:
            if any(row[i] is not None for i in plan.optional) or (deleted >= 0 and row[deleted]):
                plan.values.append(row)
                plan.lines.append(lines[at])


def _empty_key(plan: _TablePlan, place: int) -> str:
    """The reason of a row whose key is empty."""
    name = plan.columns[place]
    titles = " and ".join(f'"{t}"' for t in _titles_of(getattr(plan.map, name), plan.map))
    return f"{titles or name} is empty, and without it a row of {plan.name} cannot be told from another"


def _titles_of(one: FieldMap, table: TableMap) -> list[str]:
    """The titles a field needs, `{quarter}` filled in."""
    if one.column is not None and table.each is not None and "{quarter}" in one.column:
        return [plain_title(one.column.replace("{quarter}", called)) for called in table.called().values()]
    return [plain_title(name) for name in one.names()]


def _source(column: Column, one: FieldMap, quarter: str, plan: _TablePlan, work: _Work) -> _Cells:
    """The source of one column, shared where two tables or quarters mean the same cells."""
    if one.stamp:
        return _Cells((), _nothing, constant=work.stamp)
    per_quarter = isinstance(one.columns, dict) or "{quarter}" in (one.column or "")
    key = (id(one), quarter if per_quarter else "", plan.only_key)
    if key in work.made:
        return work.made[key]
    if isinstance(one.columns, dict):
        titles = [one.columns[quarter]]
    elif quarter and one.column is not None:
        titles = [one.column.replace("{quarter}", plan.map.called().get(quarter, quarter))]
    else:
        titles = list(one.names())
    titles = [plain_title(t) for t in titles]
    convert = _converter(column, one, " + ".join(titles) or column.name, work)
    if one.value is not None:
        made = _Cells((), _nothing, constant=convert([one.value], {})[0])
    else:
        made = _Cells(tuple(work.index[t] for t in titles), convert)
    work.made[key] = made
    return made


def _nothing(cells: Sequence[Any], faults: Faults) -> list[Any]:
    return [None] * len(cells)


def _converter(column: Column, one: FieldMap, title: str, work: _Work) -> Convert:
    """The converter of one column by its kind."""
    feed = work.feed
    missing = frozenset(("", *(m.strip() for m in feed.missing)))
    if column.kind == "text":
        return text_column(title, missing)
    if column.kind in ("time", "date"):
        form = one.format or (feed.times if column.kind == "time" else feed.dates)
        local = LocalTimes(work.zone, feed.clock_change.repeated, feed.clock_change.skipped)
        work.locals.append(local)
        return time_column(title, read_time(form, missing), local, midnight=column.kind == "date")
    if column.kind in ("word", "flag"):
        words: Mapping[str, object] = FLAG_WORDS if column.kind == "flag" else {w: w for w in column.words}
        table = {given: meaning(column, meant) for given, meant in (one.words or words).items()}
        otherwise = one.otherwise if one.otherwise in ("set_aside", "missing") else meaning(column, one.otherwise)
        return word_column(title, missing, table, otherwise)
    if one.unit and span_named(one.unit):
        return span_column(title, missing, span_named(one.unit))
    change = conversion(one.unit, column.unit, one.density_kg_per_l or 0.0) if one.unit else Conversion()
    thousands = "" if feed.thousands == "none" else feed.thousands
    return number_column(title, missing, feed.decimal, thousands, change, whole=column.kind == "count")
