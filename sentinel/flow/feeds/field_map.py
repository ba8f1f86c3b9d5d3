"""Where one field of a table comes from, as a feed map says it: `Cow`, `{column: Milk, unit: lb}`, `{end: Left}`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

LEAVE_OUT = "leave_out"
"""What a word stands for in a word table whose rows do not matter: they are left out, and nobody is told."""


class Strict(BaseModel):
    """A part of a feed map: unknown keys are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


def _texts(value: Any) -> Any:
    """A text or a list of texts as a list; plain numbers become the text they were written as."""
    items = value if isinstance(value, list) else [value]
    return [str(item) if isinstance(item, int) and not isinstance(item, bool) else item for item in items]


def _text_keys(value: Any) -> Any:
    """Keys as text, so that `1: milked` needs no quotes."""
    return {str(k): v for k, v in value.items()} if isinstance(value, dict) else value


def _text(value: Any) -> Any:
    """A plain number as the text it was written as, so that a column may be called 2026."""
    return str(value) if isinstance(value, int) and not isinstance(value, bool) else value


Texts = Annotated[
    tuple[str, ...], Field(max_length=2000), BeforeValidator(_texts, json_schema_input_type=str | list[str])
]
ColumnName = Annotated[str, BeforeValidator(_text)]
Moment = Annotated[
    tuple[ColumnName, ...],
    Field(min_length=1, max_length=2),
    BeforeValidator(_texts, json_schema_input_type=str | list[str]),
]
"""A column of moments, or a day's and a time's."""


class Flag(Strict):
    """A column that says yes or no: `Inc`, or `{column: Inc, words: {x: yes}}`."""

    column: ColumnName
    words: Annotated[dict[str, str | bool], BeforeValidator(_text_keys)] | None = Field(
        None, description="The export's word to yes or no, where it is not one of 1, x, yes, ja ... and 0, no, nein ..."
    )


def _flags(value: Any) -> Any:
    """One flag or several, each by its title or with its words."""
    items = value if isinstance(value, list) else [value]
    return [{"column": _text(item)} if isinstance(item, str | int) else item for item in items]


Flags = Annotated[
    tuple[Flag, ...],
    Field(min_length=1, max_length=20),
    BeforeValidator(_flags, json_schema_input_type=str | Flag | list[str | Flag]),
]


def _in_order(value: Any) -> Any:
    """Words with their flags as pairs: their order counts, and so a map with another order is another map."""
    return [(str(word), flags) for word, flags in value.items()] if isinstance(value, Mapping) else value


class FieldMap(Strict):
    """Where one field comes from: `Cow`, or `{column: Milk, unit: lb}`.

    Exactly one of `column`, `columns`, `value` (the same for every row), `stamp: true` (the moment of
    `complete_until`), `end` (the time up to that moment), `flags` and `file_name` says where; `flags` may stand beside
    a `column`, of which they then go first.
    """

    column: ColumnName | None = Field(None, description="The export's column, by its title.")
    columns: list[ColumnName] | dict[str, ColumnName] | None = Field(
        None, description="A date and a time column to be joined, or one column for each quarter."
    )
    value: str | int | float | bool | None = Field(None, description="The same value for every row.")
    stamp: bool = Field(False, description="Take the moment of complete_until.")
    end: Moment | None = Field(
        None, description="Of a length of time: the column of the moment, or time of day, at which it ended."
    )
    begin: Moment | None = Field(None, description="The moment at which it began; by default that of the row.")
    flags: (
        Annotated[
            tuple[tuple[str, Flags], ...],
            Field(min_length=1),
            BeforeValidator(_in_order, json_schema_input_type=dict[str, Flags]),
        ]
        | None
    ) = Field(None, description="Our word to the columns that say yes or no to it; the first word that is set counts.")
    file_name: str | None = Field(
        None, description='What stands at the place of its name in the path of the file, such as "box{box}/*".'
    )
    is_: Texts = Field((), alias="is", description="With file_name: only these can stand there.")
    format: str | None = Field(None, description="iso, epoch_s, epoch_ms, or a strptime format.")
    unit: str | None = Field(None, description="The export's unit, also min:sec, h:min and h:min:sec.")
    reference_temperature_C: float | None = Field(
        None, description="The temperature at which the export states conductivity."
    )
    density_kg_per_l: float | None = Field(None, gt=0.9, lt=1.2, description="To turn litres of milk into kg.")
    words: Annotated[dict[str, str | bool], BeforeValidator(_text_keys)] | None = Field(
        None, description="The export's word to ours, or leave_out: its rows matter not; '' stands for an empty cell."
    )
    otherwise: str = Field(
        "set_aside", description="For a word not in the table, or no flag set: set_aside, missing, or a word."
    )

    @model_validator(mode="after")
    def _one_origin(self) -> FieldMap:
        given = [n for n in ("column", "columns", "value", "end", "flags", "file_name") if getattr(self, n) is not None]
        given += ["stamp"] if self.stamp else []
        if len(given) != 1 and given != ["column", "flags"]:
            what = f"found {' and '.join(given)}" if given else "found none"
            known = "column, columns, value, stamp, end, flags and file_name"
            raise ValueError(f"say where it comes from by exactly one of {known} ({what})")
        if self.begin is not None and self.end is None:
            raise ValueError("begin belongs to end: both are columns of moments")
        if self.is_ and self.file_name is None:
            raise ValueError("is belongs to file_name: it says what can stand at the place in the name")
        return self

    def left_out(self) -> frozenset[str]:
        """The words whose rows do not matter, in small letters."""
        return frozenset(given.strip().casefold() for given, meant in (self.words or {}).items() if meant == LEAVE_OUT)

    def names(self) -> tuple[str, ...]:
        """The export's columns it needs."""
        if isinstance(self.columns, dict):
            return tuple(self.columns.values())
        if self.end is not None:
            return (*(self.begin or ()), *self.end)
        flagged = [flag.column for _, flags in self.flags or () for flag in flags]
        if self.column is not None:
            return (*flagged, self.column)
        return (*flagged, *(self.columns or ()))


def short_field(value: Any) -> Any:
    """`Cow` is short for `{column: Cow}`."""
    if isinstance(value, str) or (isinstance(value, int) and not isinstance(value, bool)):
        return {"column": str(value)}
    if isinstance(value, Mapping | FieldMap):
        return value
    raise ValueError("give the export's column by its title, or more in braces, such as {column: Milk, unit: lb}")


AnyField = Annotated[FieldMap, BeforeValidator(short_field, json_schema_input_type=str | FieldMap)]
