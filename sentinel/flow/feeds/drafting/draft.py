"""Drafting a feed map from a sample export: commented YAML with each guess and its confidence.

The draft either loads as it is, or `check` says what a person must fill in (the text `FILL IN` marks it).
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence

from sentinel.flow.feeds.drafting.guess import Guess, Guesses, guess, our_word, quarters_called, unit_of
from sentinel.flow.feeds.drafting.sniff import DATE_FORMATS, TIME_FORMATS, Sample, differing, formats, sniff
from sentinel.flow.feeds.drafting.vocabulary import CELL_WORDS
from sentinel.flow.feeds.formats.icar import looks_like_icar
from sentinel.flow.feeds.formats.raw import storable
from sentinel.flow.feeds.values import FLAG_WORDS, as_text
from sentinel.flow.model import Export
from sentinel.flow.tables import EXPORTED, Column, table_named
from sentinel.flow.visible import visible

_PLAIN = re.compile(r"[A-Za-zÀ-ÿ][\wÀ-ÿ ./()°-]*[\wÀ-ÿ)]|[A-Za-z]")
_YAML_WORDS = {"true", "false", "null", "yes", "no", "on", "off", "y", "n", "~"}
_MOST_WORDS = 20


def draft_feed_map(export: Export, zone: str) -> str:
    """A first feed map for a sample export, as commented YAML; `zone` is the farm's."""
    name = export.name.rpartition("/")[2]
    if looks_like_icar(export):
        return f"# {visible(name)} is in the open ICAR ADE standard: it is read without a map, and none is needed.\n"
    sample = sniff(export)
    if sample.trouble:
        return f"# No map could be drafted from {visible(name)}: {sample.trouble}.\n"
    guesses = guess(sample, EXPORTED)
    return storable("\n".join([*_head(name, sample, guesses, zone), *_tables(sample, guesses)]) + "\n")


def quoted(text: str) -> str:
    """A text as YAML: plain where that is safe, else in double quotes.

    >>> quoted("Cow no"), quoted("no"), quoted("5: x")
    ('Cow no', '"no"', '"5: x"')
    """
    if _PLAIN.fullmatch(text) and text.lower() not in _YAML_WORDS and "  " not in text:
        return text
    return json.dumps(text, ensure_ascii=not text.isprintable())


def _head(name: str, sample: Sample, guesses: Guesses, zone: str) -> Iterator[str]:
    """The part of the map that says how the file is written."""
    yield f"# Drafted from {visible(name)}. Each field says how sure the guess is; look at every line before using it."
    for note in sample.notes:
        yield f"# QUESTION: {note}"
    if not guesses.tables:
        yield "# FILL IN tables: no column could be told; the titles are listed below."
    stem, dot, ending = name.rpartition(".")
    stem, ending = (stem, dot + ending) if dot else (name, "")
    word = re.sub(r"\W+", "_", re.sub(r"[0-9]+", " ", stem).strip(" _-."), flags=re.ASCII).strip("_").lower()
    yield f"feed: {quoted(word or 'export')}"
    pattern = re.sub(r"[0-9](?:[0-9T_.-]*[0-9])?Z?", "*", stem) + ending
    yield f"files: {json.dumps(pattern, ensure_ascii=False)}   # names under the inbox folder; * stands for anything"
    yield f"form: {sample.form}"
    if sample.form == "delimited":
        delimiter = "tab" if sample.delimiter == "\t" else sample.delimiter
        yield f"delimiter: {json.dumps(delimiter)}"
        yield f"encoding: {sample.encoding}"
    if sample.form == "xlsx" and len(sample.sheets) > 1:
        yield f"sheet: {quoted(sample.sheets[0])}   # there are also: {', '.join(map(visible, sample.sheets[1:]))}"
    yield f'decimal: "{sample.decimal}"'
    if sample.thousands:
        yield f'thousands: "{sample.thousands}"   # QUESTION: do the numbers really part thousands?'
    if sample.header_line != 1:
        yield f"header_line: {sample.header_line}"
    if sample.header_line == 0:
        titles = ", ".join(quoted(t) for t in sample.titles)
        yield f"columns: [{titles}]   # the file has no titles; call them as you like"
    yield from _time_keys(sample, guesses, zone)
    yield "pace: hourly   # QUESTION: how often does a file come? hourly, daily, weekly or monthly"
    stamp = _stamp(stem)
    if stamp:
        yield "# If the stamp in the name promises that everything up to it is in the files, take the # away:"
        yield f"# complete_until: {{from: file_name, pattern: {json.dumps(stamp)}}}"


def _time_keys(sample: Sample, guesses: Guesses, zone: str) -> Iterator[str]:
    """How times are written, and the question of their zone."""
    form, others, naive = _moment_format(sample, guesses)
    if form:
        doubt = f"   # QUESTION: {' or '.join(others)} would fit too; the sample does not tell" if others else ""
        yield f"times: {json.dumps(form)}{doubt}"
    day, day_others = _day_format(guesses)
    if day:
        doubt = (
            f"   # QUESTION: {' or '.join(day_others)} would fit too; the sample does not tell" if day_others else ""
        )
        yield f"dates: {json.dumps(day)}{doubt}"
    if naive:
        yield f"zone: {zone}   # QUESTION: the times do not say their zone; is it this one?"
        yield "# clock_change: {repeated: order, skipped: shift}   # the hour a clock change repeats or skips"


def _moments(guesses: Guesses) -> list[Guess]:
    """The guesses of moments, each table's own first."""
    return [
        fields[table_named(name).happened]
        for name, fields in guesses.tables.items()
        if fields and table_named(name).happened in fields
    ]


def _joined(field_guess: Guess) -> list[str]:
    assert field_guess.clock is not None
    pairs = zip(field_guess.source.cells, field_guess.clock.cells, strict=True)
    return [f"{as_text(day)} {as_text(clock)}" for day, clock in pairs if as_text(day) and as_text(clock)]


def _moment_format(sample: Sample, guesses: Guesses) -> tuple[str, list[str], bool]:
    """The format of moments, other formats that fit as well, and whether they lack a zone."""
    for one in _moments(guesses):
        cells = _joined(one) if one.clock and isinstance(_first(one.source.cells), str) else list(one.source.cells)
        fitting = formats(cells, (*TIME_FORMATS, *DATE_FORMATS))
        if not fitting:
            continue
        if fitting[0] == "native":
            return "", [], True
        aware = fitting[0] == "iso" and all(re.search(r"(Z|[+-]\d\d:?\d\d)$", t) for t in map(as_text, cells) if t)
        return fitting[0], differing(cells, fitting), not aware
    return "", [], True


def _first(cells: Sequence[object]) -> object:
    return next((cell for cell in cells if as_text(cell)), None)


def _day_format(guesses: Guesses) -> tuple[str, list[str]]:
    """The format of days without a time, for the fields that are days."""
    for name, fields in guesses.tables.items():
        for one in fields.values():
            if table_named(name).column(one.field).kind == "date":
                fitting = formats(one.source.cells, DATE_FORMATS)
                if fitting and fitting[0] != "native":
                    return fitting[0], differing(one.source.cells, fitting)
    return "", []


def _stamp(stem: str) -> str:
    """A strptime pattern for a date, with a time if there is one, in a file's name; "" if there is none."""
    match = re.search(r"(20\d\d)(-?)([01]\d)\2([0-3]\d)(?:([T_.-]?)([0-2]\d)(-?)([0-5]\d)(?:\7([0-5]\d))?)?", stem)
    if not match:
        return ""
    dash = match[2]
    pattern = f"%Y{dash}%m{dash}%d"
    if match[6]:
        pattern += f"{match[5]}%H{match[7]}%M" + (f"{match[7]}%S" if match[9] else "")
    rest = stem[: match.start()].replace("%", "%%"), stem[match.end() :].replace("%", "%%")
    return f"{rest[0]}{pattern}{rest[1]}"


def _tables(sample: Sample, guesses: Guesses) -> Iterator[str]:
    """The tables and their fields, then the columns nothing was found for."""
    yield "tables:" if guesses.tables else "tables: {}"
    for name, fields in guesses.tables.items():
        table = table_named(name)
        yield f"  {name}:   # {table.doc}"
        each = bool(guesses.family) and name == "quarters"
        if each:
            called = ", ".join(f"{q}: {quoted(n)}" for q, n in quarters_called(guesses.family).items())
            yield f"    each: {{{called}}}   # a row of the file holds all four quarters"
        taken = {"cow", "start", "quarter"} if each else set()
        for column in table.columns:
            if column.name in fields:
                yield from _field(column, fields[column.name], sample)
            elif column.name in table.key and column.name not in taken:
                if name == "cows" and column.name == "from":
                    yield "    from: {stamp: true}   # FILL IN complete_until: no column says since when a row is true"
                else:
                    yield f"    # FILL IN {column.name}: ...   # {column.doc}"
            elif column.name not in ("cow", "start", "box", "quarter"):
                yield f"    # {column.name}: ...   # not found: {column.doc}"
    if guesses.left:
        yield "# Columns that were not used: " + ", ".join(quoted(title) for title in guesses.left)


def _field(column: Column, field_guess: Guess, sample: Sample) -> Iterator[str]:
    """One field's line, and its word table if it has one."""
    parts: dict[str, str] = {"column": quoted(field_guess.source.title)}
    if field_guess.clock:
        parts = {"columns": f"[{quoted(field_guess.source.title)}, {quoted(field_guess.clock.title)}]"}
    remarks = [f"{field_guess.percent} %: {column.doc}"]
    if column.kind in ("number", "count"):
        unit, remark = unit_of(column, field_guess.source, sample)
        if unit:
            parts["unit"] = quoted(unit)
        remarks += [remark] if remark else []
    if column.name.startswith("conductivity"):
        if re.search(r"\b25\s*°?\s*C\b", field_guess.source.title):
            parts["reference_temperature_C"] = "25"
        else:
            remarks.append("FILL IN reference_temperature_C: 25 if the manual says that it is stated at 25 °C")
    if column.kind == "word" or (column.kind == "flag" and _strange_flags(field_guess)):
        yield from _words(column, field_guess, remarks)
        return
    short = (
        parts["column"] if list(parts) == ["column"] else "{" + ", ".join(f"{k}: {v}" for k, v in parts.items()) + "}"
    )
    yield f"    {column.name}: {short}   # {'; '.join(remarks)}"


def _strange_flags(field_guess: Guess) -> bool:
    return any(as_text(cell).casefold() not in FLAG_WORDS for cell in field_guess.source.cells if as_text(cell))


def _words(column: Column, field_guess: Guess, remarks: Sequence[str]) -> Iterator[str]:
    """A field with its word table; words that were not recognised are left for a person."""
    texts = list(dict.fromkeys(as_text(cell) for cell in field_guess.source.cells if as_text(cell)))
    choices = list(column.words) or ["yes", "no"]
    known = CELL_WORDS.get(column.name, {})
    if column.words and all(text in column.words for text in texts):
        yield f"    {column.name}: {quoted(field_guess.source.title)}   # {'; '.join(remarks)}"
        return
    yield f"    {column.name}:   # {'; '.join(remarks)}"
    yield f"      column: {quoted(field_guess.source.title)}"
    guesses: Mapping[str, tuple[str, int]] = {text: our_word(column.name, text) if known else ("", 0) for text in texts}
    if any(ours for ours, _ in guesses.values()):
        yield "      words:"
    else:
        yield f"      words: {{}}   # FILL IN: each word of the export with one of {', '.join(choices)}"
    for text, (ours, percent) in list(guesses.items())[:_MOST_WORDS]:
        if ours:
            yield f"        {quoted(text)}: {ours}   # {percent} %"
        else:
            yield f"        # {quoted(text)}: FILL IN one of {', '.join(choices)}, or its rows are set aside"
