"""How the tables of one file are made: which cells become which column, by which converter; made once per file."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sentinel.flow.feeds.check_map import fields_of, meaning
from sentinel.flow.feeds.feed_map import FeedMap, TableMap
from sentinel.flow.feeds.field_map import LEAVE_OUT, FieldMap
from sentinel.flow.feeds.formats.raw import Chunk, plain_title
from sentinel.flow.feeds.origins.file_names import of_name
from sentinel.flow.feeds.origins.flags import FlagColumn, flagged_column
from sentinel.flow.feeds.origins.stays import Clocks, pairing, read_end, stay_column
from sentinel.flow.feeds.parts import Parts
from sentinel.flow.feeds.times import LocalTimes, join_date_and_time, read_time, time_column
from sentinel.flow.feeds.units import Conversion, conversion, span_named
from sentinel.flow.feeds.values import (
    FLAG_WORDS,
    Convert,
    Faults,
    as_text,
    number_column,
    span_column,
    text_column,
    why_of,
    word_column,
)
from sentinel.flow.model import QUARTERS
from sentinel.flow.reasons import Reason
from sentinel.flow.tables import QUARTER_VALUES, TIMES, UNKNOWN, VISITS, Column, table_named


@dataclass(slots=True)
class Work:
    """What the plans of one file share: `index` says at which place a title stands, `file` is its name.

    `pass_marks`: of each column of times what was found of the hour that a clock change repeats (`times.LocalTimes`).
    """

    feed: FeedMap
    zone: str
    stamp: int | None
    index: Mapping[str, int]
    file: str = ""
    locals: list[LocalTimes] = field(default_factory=list)
    listen: bool = False
    pass_marks: Sequence[Sequence[bool | None]] = ()
    made: dict[tuple[int, str, str], _Cells] = field(default_factory=dict)


Join = Callable[[Sequence[Any]], Any]
"""Makes one cell of several."""


@dataclass(slots=True)
class _Cells:
    """One source of values: the places of its cells in a row, how to read them, and the last chunk's result."""

    places: tuple[int, ...]
    convert: Convert
    constant: Any = None
    join: Join = join_date_and_time
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
        elif len(self.places) == 1 and self.join is join_date_and_time:
            place = self.places[0]
            self.values = self.convert([row[place] for row in rows], self.faults)
        else:
            joined = [self.join([row[p] for p in self.places]) for row in rows]
            self.values = self.convert(joined, self.faults)
        return self.values


@dataclass(slots=True)
class TablePlan:
    """How one table is made: for `each` quarter, or once, the sources of its columns.

    `only_key`: alike for two tables that are made of the same rows of the file. `said`: what the file's name says, by
    field; `unsaid`: why it does not say others that it should, whose columns are left out.
    """

    name: str
    map: TableMap
    only_key: str
    columns: tuple[str, ...] = ()
    sources: list[list[_Cells]] = field(default_factory=list)
    required: list[int] = field(default_factory=list)
    optional: list[int] = field(default_factory=list)
    only_place: int = -1
    only_words: frozenset[str] = frozenset()
    left_out: dict[int, frozenset[str]] = field(default_factory=dict)
    said: dict[str, Any] = field(default_factory=dict)
    unsaid: dict[str, Reason] = field(default_factory=dict)
    parts: Parts = field(default_factory=lambda: Parts("", ()))

    @property
    def keys(self) -> tuple[str, ...]:
        """The columns that tell one row of the table from another."""
        return table_named(self.name).key

    def titles(self) -> list[str]:
        """Every column title it needs."""
        titles = [t for f in self.map.fields().values() for t in titles_of(f, self.map)]
        return titles + ([plain_title(self.map.only.column)] if self.map.only else [])

    def prepare(self, work: Work) -> None:
        """Make the converters, once for a file."""
        table = table_named(self.name)
        fields = self._said_fields(work)
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
        self.parts = Parts(self.name, self.columns)
        self.required = [i for i, n in enumerate(names) if n in table.key]
        if self.map.each is not None:
            self.optional = [i for i, n in enumerate(names) if n in QUARTER_VALUES]
        if self.map.only:
            self.only_place = work.index[plain_title(self.map.only.column)]
            self.only_words = self.map.only.words
        for _, one in fields.values():
            if one.column is not None and (words := one.left_out()):
                self.left_out[work.index[plain_title(one.column)]] = words

    def _said_fields(self, work: Work) -> dict[str, tuple[Column, FieldMap]]:
        """The fields without those that the file's name should say and does not."""
        fields = fields_of(self.map, table_named(self.name))
        for name, (column, one) in fields.items():
            said = None if one.file_name is None else _said_by_name(column, one, work)
            if isinstance(said, Reason):
                self.unsaid[name] = said
            self.said[name] = said
        return {name: one for name, one in fields.items() if name not in self.unsaid}

    def choose(self, chunk: Chunk) -> list[int] | None:
        """The indexes of the rows that belong to this table; None for all of them."""
        if self.only_place < 0 and not self.left_out:
            return None
        return [i for i, row in enumerate(chunk.rows) if self._belongs(row)]

    def _belongs(self, row: Sequence[Any]) -> bool:
        if self.only_place >= 0 and as_text(row[self.only_place]) not in self.only_words:
            return False
        return not any(as_text(row[place]).casefold() in words for place, words in self.left_out.items())

    def tells(self, row: Sequence[Any]) -> bool:
        """Whether a row says anything: of a quarter at least one value, or that it was withdrawn."""
        if not self.optional or any(row[i] is not None for i in self.optional):
            return True
        return "deleted" in self.columns and bool(row[self.columns.index("deleted")])

    def add(self, row: Sequence[Any], line: int, unread: Iterable[str]) -> None:
        """Add one row without the columns that could not be read."""
        without = set(unread)
        if self.name == VISITS.name and "outcome" in without:
            place = self.columns.index("outcome")
            row = (*row[:place], UNKNOWN, *row[place + 1 :])
            without.remove("outcome")
        self.parts.add(row, line, without)


def titles_of(field_map: FieldMap, table: TableMap) -> list[str]:
    """The titles a field needs, `{quarter}` filled in."""
    if field_map.column is not None and table.each is not None and "{quarter}" in field_map.column:
        return [plain_title(field_map.column.replace("{quarter}", called)) for called in table.called().values()]
    return [plain_title(name) for name in field_map.names()]


def title_of(field_map: FieldMap, table: TableMap, quarter: str = "") -> str:
    """What the export calls a field, of a quarter if it is of one; "" if it has no column."""
    return " + ".join(_titles(field_map, table, quarter))


def _titles(field_map: FieldMap, table: TableMap, quarter: str) -> list[str]:
    """The titles of the columns that hold one field's values."""
    if isinstance(field_map.columns, dict):
        titles = [field_map.columns[quarter]]
    elif quarter and field_map.column is not None:
        titles = [field_map.column.replace("{quarter}", table.called().get(quarter, quarter))]
    else:
        titles = list(field_map.names())
    return [plain_title(t) for t in titles]


def _source(column: Column, field_map: FieldMap, quarter: str, plan: TablePlan, work: Work) -> _Cells:
    """The source of one column, shared where two tables or quarters mean the same cells."""
    if field_map.stamp:
        return _Cells((), _nothing, constant=work.stamp)
    per_quarter = isinstance(field_map.columns, dict) or "{quarter}" in (field_map.column or "")
    key = (id(field_map), quarter if per_quarter else "", plan.only_key)
    if key in work.made:
        return work.made[key]
    titles = _titles(field_map, plan.map, quarter)
    if field_map.end is not None or field_map.flags is not None:
        work.made[key] = _stay(column, field_map, plan, work) if field_map.end else _flagged(column, field_map, work)
        return work.made[key]
    convert = _converter(column, field_map, " + ".join(titles) or column.name, work)
    if field_map.file_name is not None:
        made = _Cells((), _nothing, constant=plan.said[column.name])
    elif field_map.value is not None:
        made = _Cells((), _nothing, constant=convert([field_map.value], {})[0])
    else:
        made = _Cells(tuple(work.index[t] for t in titles), convert)
    work.made[key] = made
    return made


def _said_by_name(column: Column, field_map: FieldMap, work: Work) -> Any:
    """The value that the file's name says of a column, or the reason why it does not."""
    text = of_name(field_map, work.file)
    if isinstance(text, Reason):
        return text
    faults: Faults = {}
    [value] = _converter(column, field_map, column.name, work)([text], faults)
    return why_of(faults[0]) if faults else value


def _stay(column: Column, field_map: FieldMap, plan: TablePlan, work: Work) -> _Cells:
    """The source of a length of time that two moments tell."""
    table = table_named(plan.name)
    of_row = plan.map.fields()[table.happened]
    begin = list(field_map.begin or of_row.names())
    form = work.feed.times if field_map.begin or of_row.format is None else of_row.format
    ends_form = field_map.format or work.feed.times
    missing = _missing(work.feed)
    clocks = Clocks(_local_times("time", work), _local_times("time", work))
    longest = column.expected.possible[1] if column.expected else float("inf")
    convert = stay_column(
        " + ".join(plain_title(title) for title in field_map.names()),
        read_time(form, missing),
        read_end(ends_form, missing, read_time(ends_form, missing)),
        clocks,
        longest,
    )
    places = tuple(work.index[plain_title(title)] for title in (*begin, *(field_map.end or ())))
    return _Cells(places, convert, join=pairing(len(begin)))


def _flagged(column: Column, field_map: FieldMap, work: Work) -> _Cells:
    """The source of a word that flags tell, perhaps beside a column of words."""
    flags, places = [], []
    missing = _missing(work.feed)
    for word, several in field_map.flags or ():
        for flag in several:
            title = plain_title(flag.column)
            words = {
                **FLAG_WORDS,
                **{one: FLAG_WORDS[str(meant).casefold()] for one, meant in (flag.words or {}).items()},
            }
            flags.append(FlagColumn(word, word_column(title, missing, words, "set_aside")))
            places.append(work.index[title])
    beside = None
    if field_map.column is not None:
        title = plain_title(field_map.column)
        beside = _converter(column, field_map, title, work)
        places.append(work.index[title])
    none_set = field_map.otherwise if field_map.otherwise in column.words else None
    return _Cells(tuple(places), flagged_column(flags, none_set, beside), join=tuple)


def _nothing(cells: Sequence[Any], faults: Faults) -> list[Any]:
    return [None] * len(cells)


def _missing(feed: FeedMap) -> frozenset[str]:
    return frozenset(("", *(m.strip() for m in feed.missing)))


def _local_times(kind: str, work: Work) -> LocalTimes:
    """How one column's local times become moments; its place among those of the file is kept in `work`."""
    # a day begins at its first midnight where a clock change gives it two
    repeated = work.feed.clock_change.repeated if kind == "time" else "first"
    local = LocalTimes(work.zone, repeated, work.feed.clock_change.skipped)
    local.listen = work.listen
    local.pass_marks = iter(work.pass_marks[len(work.locals)]) if work.pass_marks else None
    work.locals.append(local)
    return local


def _converter(column: Column, field_map: FieldMap, title: str, work: Work) -> Convert:
    """The converter of one column by its kind."""
    feed = work.feed
    missing = _missing(feed)
    if column.kind == "text":
        return text_column(title, missing)
    if column.kind in TIMES:
        form = field_map.format or (feed.dates if column.kind == "date" else feed.times)
        local = _local_times(column.kind, work)
        return time_column(title, read_time(form, missing), local, midnight=column.kind == "date")
    if column.kind in ("word", "flag"):
        words: Mapping[str, object] = FLAG_WORDS if column.kind == "flag" else {w: w for w in column.words}
        ours = field_map.words or words
        table = {given: meaning(column, meant) for given, meant in ours.items() if meant != LEAVE_OUT}
        otherwise = (
            field_map.otherwise
            if field_map.otherwise in ("set_aside", "missing")
            else meaning(column, field_map.otherwise)
        )
        return word_column(title, missing, table, otherwise)
    if field_map.unit and span_named(field_map.unit):
        return span_column(title, missing, span_named(field_map.unit))
    change = (
        conversion(field_map.unit, column.unit, field_map.density_kg_per_l or 0.0) if field_map.unit else Conversion()
    )
    thousands = "" if feed.thousands == "none" else feed.thousands
    return number_column(title, missing, feed.decimal, thousands, change, whole=column.kind == "count")
