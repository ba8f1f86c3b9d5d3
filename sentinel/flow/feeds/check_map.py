"""Reading a feed map and checking what its shape cannot say: keys, units, words, quarters, all problems at once."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

from pydantic import ValidationError

from sentinel.flow.bounds import cut
from sentinel.flow.feeds.feed_map import FeedMap, TableMap
from sentinel.flow.feeds.field_map import LEAVE_OUT, FieldMap, short_field
from sentinel.flow.feeds.origins.file_names import place_of
from sentinel.flow.feeds.origins.stays import names_no_day
from sentinel.flow.feeds.units import SPANS, conversion, span_named
from sentinel.flow.feeds.values import FLAG_WORDS
from sentinel.flow.model import QUARTERS, Problem
from sentinel.flow.tables import EXPORTED, QUARTER_VALUES, TIMES, Column, Table
from sentinel.flow.yaml.text import Path, did_you_mean, read_yaml, validate

MODIFIED = Column("modified", "time", "when the row was last corrected")
DELETED = Column("deleted", "flag", "whether the row was withdrawn")

LONGEST_FORMAT = 200
"""So many characters may a format of times have."""

Found = Iterator[tuple[Path, str]]


def load_feed_map(text: str, name: str) -> tuple[FeedMap | None, list[Problem]]:
    """A feed map from YAML text, or None with every problem of the file, each with its line and column."""
    document, problems = read_yaml(text, name)
    if problems:
        return None, problems
    if not isinstance(document.data, Mapping):
        return None, [Problem(document.source(()), "a feed map begins with keys such as feed: and files:")]
    feed, problems = validate(FeedMap, document.data, document)
    problems += [Problem(document.source(path), sentence) for path, sentence in _meaning(document.data)]
    return (feed if not problems else None), sorted(set(problems))


def _meaning(data: Mapping[str, Any]) -> Found:
    """What is wrong beyond the shape, read from the plain data so that it is told next to the shape's problems."""
    tables = data.get("tables")
    for key in ("times", "dates"):
        if isinstance(data.get(key), str):
            yield from _format(data[key], (key,))
    promise = data.get("complete_until")
    if isinstance(promise, Mapping) and isinstance(promise.get("pattern"), str):
        yield from _format(promise["pattern"], ("complete_until", "pattern"))
    if not isinstance(tables, Mapping):
        return
    if not tables:
        yield ("tables",), "name at least one table: " + ", ".join(t.name for t in EXPORTED)
    for table in EXPORTED:
        given = tables.get(table.name)
        if isinstance(given, Mapping):
            yield from _table(table, given, tables, has_stamp="complete_until" in data)


def _table(table: Table, given: Mapping[str, Any], tables: Mapping[str, Any], *, has_stamp: bool) -> Found:
    """What is wrong in one table's part of a map."""
    at: Path = ("tables", table.name)
    each = given.get("each")
    if each is not None and table.name != "quarters":
        yield (*at, "each"), "only quarters can be made four of one row"
    taken: set[str] = {"quarter"} if each is not None else set()
    if each is not None and isinstance(tables.get("visits"), Mapping):
        taken |= set(tables["visits"])
    for key in table.key:
        if key not in given and key not in taken:
            more = " (each: quarter, if a row of the file holds all four)" if key == "quarter" else ""
            yield at, f"{key}: is missing and must be given: it tells one row of {table.name} from another{more}"
    if each is not None and "quarter" in given:
        yield (*at, "quarter"), "with each: quarter the quarter is known and must not be given"
    for column in (*table.columns, MODIFIED, DELETED):
        field = _field(given.get(column.name))
        if field is None:
            continue
        where = (*at, column.name)
        if field.stamp and (column.kind not in TIMES or not has_stamp):
            yield (*where, "stamp"), "the stamp is a moment, and complete_until must say where it is"
        yield from _unit(column, field, where)
        yield from _words(column, field, where)
        yield from _stay(table, column, field, where, given)
        yield from _flags(column, field, where)
        yield from _file_name(column, field, where)
        yield from _columns(column, field, where, each)
        if field.value is not None:
            yield from _constant(column, field.value, (*where, "value"))
        if field.format is not None:
            if column.kind in TIMES or (field.end is not None and not names_no_day(field.format)):
                yield from _format(field.format, (*where, "format"))
            elif field.end is None:
                yield (*where, "format"), f"{column.name} is no time; a format means nothing here"


def _field(raw: Any) -> FieldMap | None:
    """A field's map if its shape is right; a wrong shape is told elsewhere."""
    try:
        return FieldMap.model_validate(short_field(raw))
    except (ValidationError, ValueError):
        return None


def _unit(column: Column, field: FieldMap, where: Path) -> Found:
    """Units must be convertible, and conductivity must say its temperature."""
    if column.name.startswith("conductivity"):
        if field.reference_temperature_C is None:
            yield (
                where,
                "reference_temperature_C: is missing and must be given: conductivity depends on the milk's "
                "temperature, and the manual or the export's maker says at which one it is stated "
                "(write reference_temperature_C: 25 if that is 25 °C)",
            )
        elif field.reference_temperature_C != 25:
            yield (
                (*where, "reference_temperature_C"),
                "only 25 is understood so far: the rise of conductivity with temperature differs between "
                "makes, and it is not guessed here",
            )
    elif field.reference_temperature_C is not None:
        yield (*where, "reference_temperature_C"), f"{column.name} does not depend on it"
    if field.unit is None:
        return
    if not column.unit:
        yield (*where, "unit"), f"{column.name} has no unit"
    elif span_named(field.unit):
        if column.unit != "s":
            yield (*where, "unit"), f'"{field.unit}" is a duration, and {column.name} is in {column.unit}'
    else:
        try:
            conversion(field.unit, column.unit, field.density_kg_per_l or 0.0)
        except ValueError as error:
            spans = f" (durations may also be {', '.join(SPANS)})" if column.unit == "s" else ""
            yield (*where, "unit"), f"{column.name} is in {column.unit}: {error}{spans}"


def _words(column: Column, field: FieldMap, where: Path) -> Found:
    """The right side of a word table must be a word the column knows."""
    if column.kind not in ("word", "flag"):
        for key in ("words", "otherwise"):
            if key in field.model_fields_set:
                yield (*where, key), f"{column.name} is no word; {key} means nothing here"
        return
    for given, meant in (field.words or {}).items():
        if meant == LEAVE_OUT and (field.column is None or "{quarter}" in field.column):
            yield (*where, "words", given), f"{LEAVE_OUT} needs one column, as it leaves out the file's whole row"
        elif meant != LEAVE_OUT and meaning(column, meant) is None:
            sentence = f"{meant} is not a word of {column.name}{_choices(column, str(meant))}"
            yield (*where, "words", given), f"{sentence}; {LEAVE_OUT} is for words whose rows do not matter"
    if field.otherwise not in ("set_aside", "missing") and meaning(column, field.otherwise) is None:
        sentence = f"{field.otherwise} is neither set_aside, missing, nor a word of {column.name}"
        yield (*where, "otherwise"), sentence + _choices(column, field.otherwise)
    if field.value is not None and meaning(column, field.value) is None and str(field.value) not in (field.words or {}):
        yield (*where, "value"), f"{field.value} is not a word of {column.name}{_choices(column, str(field.value))}"


def _stay(table: Table, column: Column, field: FieldMap, where: Path, given: Mapping[str, Any]) -> Found:
    """Two moments tell a length of time and nothing else."""
    if field.end is None:
        return
    if column.unit != "s":
        yield (*where, "end"), f"only a length of time has a beginning and an end, and {column.name} is none"
    elif field.unit is not None:
        yield (*where, "unit"), "two moments need no unit: what lies between them is in s"
    begin = _field(given.get(table.happened))
    if field.begin is None and (begin is None or not begin.names()):
        yield where, f"begin: is missing and must be given, as no column says {table.happened}"


def _flags(column: Column, field: FieldMap, where: Path) -> Found:
    """Each flag stands for one of the column's words, and its own words for yes or no."""
    for word, flags in field.flags or ():
        if column.kind != "word":
            yield (*where, "flags"), f"{column.name} is no word; flags mean nothing here"
            return
        if meaning(column, word) is None:
            yield (*where, "flags", word), f"{word} is not a word of {column.name}{_choices(column, word)}"
        for flag in flags:
            for text, meant in (flag.words or {}).items():
                if meant is not True and meant is not False and str(meant).casefold() not in FLAG_WORDS:
                    yield (*where, "flags", word), f'"{text}": {meant} is neither yes nor no'


def _file_name(column: Column, field: FieldMap, where: Path) -> Found:
    """A pattern has one place, called as the field that stands there."""
    if field.file_name is None:
        return
    if column.kind in TIMES:
        yield (*where, "file_name"), f"{column.name} is a time; complete_until reads the stamp in a file's name"
    elif place_of(field.file_name) != column.name:
        sentence = f'"{cut(field.file_name, 60)}" must hold {{{column.name}}} once, where the name says it, '
        yield (*where, "file_name"), sentence + f'such as "{{{column.name}}}_*" or "box{{{column.name}}}/*"'
    elif len(field.file_name) > LONGEST_FORMAT:
        yield (*where, "file_name"), f"this is no pattern of a name: it has more than {LONGEST_FORMAT} characters"


def meaning(column: Column, word: object) -> str | bool | None:
    """What the right side of a word table stands for in a column, or None if it is not one of its words."""
    if column.kind == "flag":
        return word if isinstance(word, bool) else FLAG_WORDS.get(str(word).casefold())
    return str(word) if str(word) in column.words else None


def _choices(column: Column, word: str) -> str:
    return did_you_mean(word, column.words or ("yes", "no"))


def _constant(column: Column, value: object, where: Path) -> Found:
    """A value for every row must be one that the column can hold."""
    if column.kind in TIMES:
        yield where, f"{column.name} cannot be the same moment in every row"
    elif column.kind in ("number", "count") and (isinstance(value, str | bool)):
        yield where, f'"{value}" is not a number'
    elif column.kind == "count" and float(value) % 1:  # type: ignore[arg-type]
        yield where, f"{value} is not a whole number"


def _columns(column: Column, field: FieldMap, where: Path, each: Any) -> Found:
    """A list joins a date and a time; a mapping is one column a quarter."""
    if each is not None and column.name in QUARTER_VALUES and field.column and "{quarter}" not in field.column:
        sentence = f"{column.name} of all four quarters would be the same: give columns: {{LF: ..., RF: ..., ...}}"
        yield where, sentence + ', or one title with {quarter} in it, such as "Milk {quarter}"'
    if isinstance(field.columns, dict):
        if each is None:
            yield (*where, "columns"), "one column for each quarter needs each: quarter in the table"
        for quarter in field.columns:
            if quarter not in QUARTERS:
                yield (*where, "columns", quarter), f"{quarter} is not a quarter{did_you_mean(quarter, QUARTERS)}"
    elif field.columns is not None and column.kind not in TIMES:
        yield (*where, "columns"), f"only a date and a time can be joined, and {column.name} is no time"
    elif field.columns is not None and len(field.columns) != 2:
        yield (*where, "columns"), "give two columns, the date and the time"


def _format(form: str, where: Path) -> Found:
    """A strptime format must be one, and must hold a day."""
    if form in ("iso", "epoch_s", "epoch_ms"):
        return
    if len(form) > LONGEST_FORMAT:
        yield where, f'"{form[:40]}…" is not a time format; write one like "%d.%m.%Y %H:%M", or iso'
        return
    sample = datetime(2026, 3, 28, 16, 30, 15)  # noqa: DTZ001
    try:
        back = datetime.strptime(sample.strftime(form), form)  # noqa: DTZ007
    except (ValueError, OverflowError, re.error):  # re.error: a part of the day that is named twice
        yield where, f'"{form}" is not a time format; write one like "%d.%m.%Y %H:%M", or iso'
        return
    if (back.year, back.month, back.day) != (sample.year, sample.month, sample.day):
        yield where, f'"{form}" does not name the whole day: it needs a year, a month and a day'


def fields_of(table_map: TableMap, table: Table) -> dict[str, tuple[Column, FieldMap]]:
    """The mapped columns of a table with their declarations, in the table's order, `modified` and `deleted` last."""
    declared = {c.name: c for c in (*table.columns, MODIFIED, DELETED)}
    return {name: (declared[name], field) for name, field in table_map.fields().items()}
