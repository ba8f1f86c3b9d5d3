"""The head of a drafted map: which files, how they are written, their times, their pace and what they promise."""

from __future__ import annotations

import json
import math
import re
import statistics
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import Any

from sentinel.flow.feeds.drafting.guess import Guess, Guesses
from sentinel.flow.feeds.drafting.profile import Profile
from sentinel.flow.feeds.drafting.quarters import MOST_COLUMNS
from sentinel.flow.feeds.drafting.questions import Answers, Question
from sentinel.flow.feeds.drafting.sniff import DATE_FORMATS, TIME_FORMATS, Sample, differing, formats
from sentinel.flow.feeds.drafting.yaml_text import quoted
from sentinel.flow.feeds.times import local_seconds
from sentinel.flow.feeds.values import as_text
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import table_named
from sentinel.flow.visible import visible

SCHEMA_LINE = "# yaml-language-server: $schema=./feeds.schema.json"
DRAFTED = "# Drafted from"
"""So begins the line of a draft that says what it was made from."""

PACES = ("hourly", "daily", "weekly", "monthly")


@dataclass(frozen=True, slots=True)
class Named:
    """A file's name: its feed, the pattern that finds the others, and a strptime pattern of its stamp ("" if none)."""

    feed: str
    files: str
    stamp: str


def named(name: str) -> Named:
    """What a file's name says.

    >>> named("milkings_20260328_0700.csv")
    Named(feed='milkings', files='milkings_*.csv', stamp='milkings_%Y%m%d_%H%M')
    """
    stem, dot, ending = name.rpartition(".")
    stem, ending = (stem, dot + ending) if dot else (name, "")
    starred = re.sub(r"[0-9](?:[0-9T_.-]*[0-9])?Z?", "*", stem)
    word = re.sub(r"\W+", "_", starred, flags=re.ASCII).strip("_").lower()
    return Named(word or "export", starred + ending, _stamp(stem))


def head(
    names: Sequence[str], sample: Sample, guesses: Guesses, zone: str, answers: Answers
) -> Iterator[str | Question]:
    """The part of the map that says how the file is written, line by line, with the questions it asks.

    `names`: of the files of this kind that are known, that of the first sample first.
    """
    name = names[0]
    yield SCHEMA_LINE
    yield f"{DRAFTED} {visible(name)}{_and_more(names)}. Each field says how sure the guess is; look at every line."
    for note in sample.notes:
        yield f"# QUESTION: {note}"
    if len(sample.titles) > MOST_COLUMNS:
        yield f"# QUESTION: of {len(sample.titles):,} columns the first {MOST_COLUMNS} were looked at; is more needed?"
    if not guesses.tables:
        yield "# FILL IN tables: no column could be told; the titles are listed below."
    of_name = named(name)
    yield f"feed: {quoted(of_name.feed)}"
    pattern = json.dumps(of_name.files, ensure_ascii=False)
    yield f"files: {pattern}   # names under the inbox folder; * stands for anything"
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
    if sample.missing:
        yield f"missing: [{', '.join(map(quoted, sample.missing))}]   # stand where nothing is known"
    if sample.header_line != 1:
        yield f"header_line: {sample.header_line}"
    if sample.header_line == 0:
        titles = ", ".join(quoted(t) for t in sample.titles)
        yield f"columns: [{titles}]   # the file has no titles; call them as you like"
    yield from _time_keys(sample, guesses, zone, answers)
    yield from _pace(guesses, answers, pace_of(names))
    yield from _promise(of_name, answers)


def _and_more(names: Sequence[str]) -> str:
    more = len(set(names)) - 1
    return f" and {more} more like it" if more else ""


_SPAN_S = {"hourly": HOUR_S, "daily": DAY_S, "weekly": 7 * DAY_S, "monthly": 30 * DAY_S}
_ENOUGH_NAMES = 4


def pace_of(names: Sequence[str]) -> str:
    """How often files come by the stamps in their names, if there are enough of them; else "".

    >>> pace_of([f"v_2026050{day}.csv" for day in range(1, 8)])
    'daily'
    """
    stamps = []
    for name in dict.fromkeys(names):
        stem = name.rpartition("/")[2].rpartition(".")[0] or name
        try:
            stamps.append(local_seconds(datetime.strptime(stem, _stamp(stem))))  # noqa: DTZ007
        except ValueError:
            return ""
    ordered = sorted(set(stamps))
    if len(ordered) < _ENOUGH_NAMES:
        return ""
    step = statistics.median(b - a for a, b in pairwise(ordered))
    return min(_SPAN_S, key=lambda pace: abs(math.log(step / _SPAN_S[pace])))


def _pace(guesses: Guesses, answers: Answers, by_name: str) -> Iterator[str | Question]:
    """How often a file comes: by the stamps of many names, else asked, the sample's own stretch of time first."""
    likely = _likely_pace(guesses)
    if by_name and "pace" not in answers:
        yield f"pace: {by_name}   # by the stamps in the names"
        return
    if "pace" in answers:
        answer = answers["pace"]
        yield f"pace: {answer}" if answer in PACES else f"every: {answer}"
        return
    yield f"pace: {likely}   # QUESTION: how often does a file come? hourly, daily, weekly or monthly"
    choices = tuple((pace, pace) for pace in PACES)
    yield Question("pace", "How often does a file of this kind come?", choices, PACES.index(likely), span=True)


def _likely_pace(guesses: Guesses) -> str:
    for profile in _moment_profiles(guesses):
        known = profile.known
        if len(known) < 3:
            continue
        reach = float(known.max() - known.min())
        if "cow_tests" in guesses.tables:
            return "monthly"
        if "cows" in guesses.tables:
            return "daily"
        return "hourly" if reach <= 6 * HOUR_S else "daily" if reach <= 3 * DAY_S else "weekly"
    return "hourly"


def _promise(of_name: Named, answers: Answers) -> Iterator[str | Question]:
    """`complete_until`, if the name holds a stamp."""
    if not of_name.stamp:
        return
    line = f"complete_until: {{from: file_name, pattern: {json.dumps(of_name.stamp, ensure_ascii=False)}}}"
    if answers.get("complete_until") == "yes":
        yield line
    elif "complete_until" not in answers:
        yield "# If the stamp in the name promises that everything up to it is in the files, take the # away:"
        yield f"# {line}"
        yield Question(
            "complete_until",
            f"The name holds a stamp ({of_name.stamp}). Is everything up to it in the files by then?",
            (("no", "no, or not known"), ("yes", "yes, the maker promises it")),
        )


def _time_keys(sample: Sample, guesses: Guesses, zone: str, answers: Answers) -> Iterator[str | Question]:
    """How times are written, and the question of their zone."""
    form, others, naive = _moment_format(sample, guesses)
    yield from _format_key("times", form, others, answers)
    day, day_others = _day_format(guesses)
    if day and form and day != form and form.startswith(day) and day in day_others:
        day_others = []
    yield from _format_key("dates", day, [one for one in day_others if one != day], answers)
    if not naive:
        return
    if "zone" in answers:
        yield f"zone: {answers['zone']}"
    else:
        yield f"zone: {zone}   # QUESTION: the times do not say their zone; is it this one?"
        choices = tuple(dict.fromkeys(((zone, f"{zone}, as the farm's clock"), ("UTC", "UTC, the same all year"))))
        yield Question("zone", "The times do not say their zone. Which is it?", choices)
    yield "# clock_change: {repeated: order, skipped: shift}   # the hour a clock change repeats or skips"


def _format_key(key: str, form: str, others: Sequence[str], answers: Answers) -> Iterator[str | Question]:
    if not form:
        return
    if key in answers or not others:
        yield f"{key}: {json.dumps(answers.get(key, form))}"
        return
    yield f"{key}: {json.dumps(form)}   # QUESTION: {' or '.join(others)} would fit too; the sample does not tell"
    choices = tuple((one, _as_written(one)) for one in (form, *others))
    yield Question(key, "In which order are day and month written?", choices)


def _as_written(form: str) -> str:
    """A format as people write it.

    >>> _as_written("%d/%m/%Y %H:%M")
    'day/month/year hour:minute'
    """
    words = {"%d": "day", "%m": "month", "%Y": "year", "%y": "year", "%H": "hour", "%I": "hour", "%M": "minute"}
    for mark, word in {**words, "%S": "second", "%p": "AM or PM", "%b": "month's name"}.items():
        form = form.replace(mark, word)
    return form


def _moment_profiles(guesses: Guesses) -> list[Profile]:
    """What the columns of moments hold, each table's own first."""
    return [guesses.profiles[one.source.title] for one in _moments(guesses)]


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
        profile = guesses.profiles[one.source.title]
        if profile.form.startswith("epoch"):
            return profile.form, [], False
        cells: list[Any] = [cell for cell in one.source.cells if as_text(cell) not in sample.missing]
        if one.clock and isinstance(_first(one.source.cells), str):
            cells = _joined(one)
        fitting = formats(cells, (*TIME_FORMATS, *DATE_FORMATS))
        if not fitting:
            continue
        if fitting[0] == "native":
            return "", [], True
        # The order that the column's own stretch of time speaks for comes first, and alone where it does so plainly.
        likely = [form for form in fitting if form.startswith(profile.form)]
        best = likely[0] if likely else fitting[0]
        others = differing(cells, [best, *(form for form in fitting if form != best)])
        if others and profile.plain_order:
            others = []
        aware = best == "iso" and all(re.search(r"(Z|[+-]\d\d:?\d\d)$", t) for t in map(as_text, cells) if t)
        return best, others, not aware
    return "", [], True


def _first(cells: Sequence[object]) -> object:
    return next((cell for cell in cells if as_text(cell)), None)


def _day_format(guesses: Guesses) -> tuple[str, list[str]]:
    """The format of days without a time, for the fields that are days."""
    for name, fields in guesses.tables.items():
        for one in fields.values():
            profile = guesses.profiles[one.source.title]
            if table_named(name).column(one.field).kind == "date" and profile.form not in ("", "native"):
                cells = [cell for cell, text in zip(one.source.cells, profile.texts, strict=True) if text]
                fitting = formats(cells, DATE_FORMATS)
                others = differing(cells, [profile.form, *(form for form in fitting if form != profile.form)])
                return profile.form, [] if profile.plain_order else others
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
