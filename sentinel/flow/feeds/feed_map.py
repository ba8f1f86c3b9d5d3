"""What a feed map can say: the YAML file on how one export is read, and its JSON Schema.

    feed: milkings
    files: "milkings_*.csv"
    form: delimited
    delimiter: ";"
    decimal: ","
    times: "%d.%m.%Y %H:%M"
    tables:
      visits:
        cow: Cow
        start: Start
        milk_kg: {column: Milk, unit: lb}

The shape stands here; what a shape cannot say (units, words, keys) is checked in `check_map`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from fnmatch import fnmatchcase
from typing import Annotated, Any, Literal
from zoneinfo import ZoneInfo, available_timezones

from pydantic import BeforeValidator, Field, create_model, field_validator, model_validator

from sentinel.flow.feeds.durations import Span, seconds_of
from sentinel.flow.feeds.field_map import AnyField, ColumnName, FieldMap, Strict, Texts
from sentinel.flow.model import HOUR_S, QUARTERS
from sentinel.flow.tables import EXPORTED, Table
from sentinel.flow.yaml.text import did_you_mean

_NO_ENCODINGS = ("punycode", "idna", "unicode_escape", "raw_unicode_escape", "undefined")
"""Of texts inside programs: they take very long for a long file, or read a backslash as something else."""

Form = Literal["delimited", "xlsx", "json_lines"]
Pace = Literal["hourly", "daily", "weekly", "monthly"]


class Only(Strict):
    """Which of the file's rows belong to a table: `{column: Type, is: [M, I]}`.

    `leave_out`: kinds of rows that are no rows of any table; they need be named only where two maps share a file.
    """

    column: ColumnName
    is_: Texts = Field(alias="is", min_length=1)
    leave_out: Texts = ()

    @property
    def words(self) -> frozenset[str]:
        """The kinds that belong to the table."""
        return frozenset(word.strip() for word in self.is_)

    @property
    def known(self) -> frozenset[str]:
        """The kinds that the map knows of."""
        return self.words | {word.strip() for word in self.leave_out}


class TableMap(Strict):
    """How the rows of one table are made; the fields themselves are the table's own columns.

    `each: quarter` makes four rows of one row of the file; `each: {LF: VL, RF: VR, LR: HL, RR: HR}` also says
    what `{quarter}` in a column's title stands for.
    """

    each: Literal["quarter"] | dict[str, ColumnName] | None = Field(
        None, description="quarter, or what each quarter is called in the column titles."
    )
    only: Only | None = None
    modified: AnyField | None = Field(None, description="When the export's row was last corrected.")
    deleted: AnyField | None = Field(None, description="Whether the row was withdrawn.")

    @field_validator("each")
    @classmethod
    def _four(cls, value: Any) -> Any:
        if isinstance(value, dict):
            for key in value:
                if key not in QUARTERS:
                    raise ValueError(f"{key} is not a quarter{did_you_mean(key, QUARTERS)}")
        return value

    def fields(self) -> dict[str, FieldMap]:
        """The mapped columns of the table, in the table's order, and `modified` and `deleted` if they are mapped."""
        own = [n for n in type(self).model_fields if n not in TableMap.model_fields]
        fields = {n: getattr(self, n) for n in (*own, "modified", "deleted")}
        return {n: f for n, f in fields.items() if f is not None}

    def rows_key(self) -> str:
        """Alike for two tables that are made of the same rows of the file."""
        left_out = sorted((one.names(), sorted(words)) for one in self.fields().values() if (words := one.left_out()))
        return repr((self.only, left_out))

    def called(self) -> Mapping[str, str]:
        """What `{quarter}` stands for in the column titles, by quarter code."""
        return self.each if isinstance(self.each, dict) else {q: q for q in QUARTERS}


def _model_of(table: Table) -> type[TableMap]:
    """The model of one table's part of a map, made from the table's declaration."""
    fields: dict[str, Any] = {}
    for column in table.columns:
        doc = f"{column.doc} ({column.unit})" if column.unit else column.doc
        fields[column.name] = (AnyField | None, Field(None, description=doc))
    return create_model(f"Map_{table.name}", __base__=TableMap, __doc__=table.doc, **fields)


class _Tables(Strict):
    """The tables a file fills."""

    def given(self) -> dict[str, TableMap]:
        """The tables that are mapped, by name."""
        tables = {name: getattr(self, name) for name in type(self).model_fields}
        return {name: one for name, one in tables.items() if one is not None}


_TABLE_FIELDS: dict[str, Any] = {t.name: (_model_of(t) | None, Field(None, description=t.doc)) for t in EXPORTED}
TablesMap: type[_Tables] = create_model("TablesMap", __base__=_Tables, **_TABLE_FIELDS)


def _span(value: Any) -> Span | None:
    return value if value is None or isinstance(value, Span) else Span.of(value)


def _every(value: Any) -> int | None:
    return None if value is None else seconds_of(value)


class ClockChange(Strict):
    """What becomes of a naive time in the hour that a clock change repeats or skips (see `times.LocalTimes`)."""

    repeated: Literal["order", "first", "second", "set_aside"] = "order"
    skipped: Literal["shift", "set_aside"] = "shift"


class CompleteUntil(Strict):
    """The file's own stamp, which promises that everything up to it is in the feed's files.

    `from: file_name` reads it from the name with `pattern` (a strptime format); `from: file_time` takes the
    moment the file was last written. `plus`: it is complete until so much later, as of a file that is named by the day
    it holds; whole days are those of the calendar.
    """

    from_: Literal["file_name", "file_time"] = Field("file_name", alias="from")
    pattern: str | None = None
    plus: Annotated[Span | None, BeforeValidator(_span, json_schema_input_type=str)] = None

    @model_validator(mode="after")
    def _needs_pattern(self) -> CompleteUntil:
        if self.plus is not None and self.from_ != "file_name":
            raise ValueError("plus belongs to from: file_name; the moment a file was written is not moved")
        if self.from_ == "file_name" and not self.pattern:
            raise ValueError('from: file_name needs a pattern, such as "boxlog_%Y-%m-%d_%H%M"')
        return self


class FeedMap(Strict):
    """One feed map: which files, how they are written, and what becomes which field."""

    feed: str = Field(description="The feed's name.")
    files: Texts = Field(min_length=1, description="File names under the inbox folder, with * and ?.")
    form: Form = Field("delimited", description="delimited text, xlsx, or json_lines (one JSON object a line).")
    delimiter: str = Field(",", description="What parts the columns: one character, or tab.")
    decimal: Literal[".", ","] = "."
    thousands: Literal["none", ".", ",", " ", "'"] = Field("none", description="Only if the numbers really have it.")
    encoding: str = Field("utf-8", description="utf-8, cp1252, ...; a byte order mark is always understood.")
    zone: str | None = Field(None, description="Of times without a zone; default: the farm's.")
    clock_change: ClockChange = ClockChange()
    times: str = Field("iso", description="iso, epoch_s, epoch_ms, or a strptime format such as %d.%m.%Y %H:%M.")
    dates: str = Field("iso", description="The same for days without a time.")
    missing: Texts = Field((), description="Texts that mean that nothing is known, such as - or n/a.")
    pace: Pace = Field("hourly", description="How often a file should come.")
    every: Annotated[int | None, BeforeValidator(_every, json_schema_input_type=str)] = Field(
        None, description="The same as a length of time, such as 2 h; with neither it is learned from the files."
    )
    complete_until: CompleteUntil | None = None
    header_line: int = Field(
        1, ge=0, le=10_000, description="The line of the column titles; 0: there is none, see columns."
    )
    columns: Texts = Field((), description="Titles for a file without them, left to right.")
    skip_lines: Texts = Field((), description="Lines that begin with one of these texts are no rows.")
    sheet: str | None = Field(None, description="Of an xlsx file; default: the first.")
    tables: TablesMap  # type: ignore[valid-type]

    @property
    def says_pace(self) -> bool:
        """Whether it says how often a file should come."""
        return self.every is not None or "pace" in self.model_fields_set

    @property
    def comes_hourly(self) -> bool:
        """Whether a file should come every hour or more often."""
        return self.pace == "hourly" and (self.every is None or self.every <= HOUR_S)

    @property
    def table_maps(self) -> dict[str, TableMap]:
        """The mapped tables by name; `quarters` has what it takes over from `visits` filled in."""
        given: dict[str, TableMap] = self.tables.given()  # type: ignore[attr-defined]
        if "visits" in given and "quarters" in given and given["quarters"].each is not None:
            given["quarters"] = _inherit(given["quarters"], given["visits"])
        return given

    @property
    def table_names(self) -> tuple[str, ...]:
        """The tables it fills."""
        return tuple(self.table_maps)

    @field_validator("feed")
    @classmethod
    def _plain_name(cls, value: str) -> str:
        if not re.fullmatch(r"[\w-]+", value):
            raise ValueError(f'"{value}" may hold only letters, digits, _ and -')
        return value

    @field_validator("files")
    @classmethod
    def _not_blank(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        if any(not pattern.strip() for pattern in value):
            raise ValueError('a file name is empty; give a pattern such as "milkings_*.csv"')
        if len(value) > 100 or any(len(pattern) > 250 for pattern in value):
            raise ValueError("these are no file names: a feed has at most 100 patterns of at most 250 characters")
        return value

    @field_validator("delimiter")
    @classmethod
    def _one_mark(cls, value: str) -> str:
        value = {"tab": "\t", "\\t": "\t"}.get(value, value)
        if len(value) != 1 or value in '"\r\n':
            raise ValueError(f'"{value}" is not one character; give , or ; or | or tab')
        return value

    @field_validator("encoding")
    @classmethod
    def _known_encoding(cls, value: str) -> str:
        try:
            text = None if value.casefold() in _NO_ENCODINGS else bytes([0x41, 0]).decode(value, "ignore")
        except (LookupError, ValueError) as error:
            raise ValueError(f'"{value}" is not a text encoding; usual ones are utf-8 and cp1252') from error
        if not isinstance(text, str):
            raise ValueError(f'"{value}" is not a text encoding; usual ones are utf-8 and cp1252')
        return value

    @field_validator("zone")
    @classmethod
    def _known_zone(cls, value: str | None) -> str | None:
        try:
            if value is not None:
                ZoneInfo(value)
        except (KeyError, ValueError, OSError) as error:
            near = did_you_mean(value or "", available_timezones())
            near = near if "did you mean" in near else " (write it like Europe/Dublin)"
            raise ValueError(f'"{value}" is not a time zone{near}') from error
        return value

    @model_validator(mode="after")
    def _belongs_together(self) -> FeedMap:
        if self.every is not None and "pace" in self.model_fields_set:
            raise ValueError("pace and every say the same; keep one of them")
        if self.thousands == self.decimal:
            raise ValueError("decimal and thousands cannot be the same mark")
        if bool(self.columns) != (self.header_line == 0) and self.form != "json_lines":
            raise ValueError("header_line: 0 and columns belong together: a file without titles needs them here")
        for key, form in (("delimiter", "delimited"), ("skip_lines", "delimited"), ("sheet", "xlsx")):
            if key in self.model_fields_set and self.form != form:
                raise ValueError(f"{key} means nothing in a file of form {self.form}")
        return self


def _inherit(quarters: TableMap, visits: TableMap) -> TableMap:
    """`quarters` with cow, start, box, rows, modified and deleted taken over from `visits` where it has none."""
    taken = {
        name: getattr(visits, name)
        for name in ("cow", "start", "box", "only", "modified", "deleted")
        if getattr(quarters, name) is None
    }
    return quarters.model_copy(update=taken)


def matches(feed: FeedMap, file_name: str) -> bool:
    """Whether a file (its path under the inbox folder, with forward slashes) belongs to the feed.

    A pattern without a slash looks at the last part of the path only; capitals do not matter.
    """
    path = file_name.casefold()
    last = path.rpartition("/")[2]
    return any(fnmatchcase(path if "/" in p else last, p) for p in (one.strip().casefold() for one in feed.files))


def feed_map_schema() -> dict[str, Any]:
    """The JSON Schema of a feed map, for editors that complete and check YAML."""
    schema = FeedMap.model_json_schema(by_alias=True, mode="validation")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "sentinel feed map", **schema}
