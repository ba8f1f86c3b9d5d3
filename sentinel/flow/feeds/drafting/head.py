"""The head of a drafted map: which files, how they are written, their times, their pace and what they promise."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from typing import Any

from sentinel.flow.feeds.drafting.guessing.field_guess import Guess
from sentinel.flow.feeds.drafting.guessing.guess import Guesses
from sentinel.flow.feeds.drafting.guessing.quarters import MOST_COLUMNS
from sentinel.flow.feeds.drafting.questions import Answers, Question
from sentinel.flow.feeds.drafting.sample.names import SPAN_S, Named, are_enough, is_day, named, pace_of
from sentinel.flow.feeds.drafting.sample.profile import Profile
from sentinel.flow.feeds.drafting.sample.sniff import DATE_FORMATS, TIME_FORMATS, Sample, differing, formats
from sentinel.flow.feeds.drafting.yaml_text import quoted
from sentinel.flow.feeds.values import as_text
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import table_named
from sentinel.flow.visible import visible

SCHEMA_LINE = "# yaml-language-server: $schema=./feeds.schema.json"
DRAFTED = "# Drafted from"
"""So begins the line of a draft that says what it was made from."""

PACES = tuple(SPAN_S)


def head(
    names: Sequence[str], sample: Sample, guesses: Guesses, zone: str, answers: Answers, kind: str = ""
) -> Iterator[str | Question]:
    """The part of the map that says how the file is written, line by line, with the questions it asks.

    `names`: of the files of this kind that are known, that of the first sample first. `kind`: how the feed's name ends,
    as its files have rows of several kinds, and a feed each.
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
    of_name = named(name, names)
    yield f"feed: {quoted(of_name.feed + kind)}"
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
    for said in sample.remarks:
        yield f"# {said}" + ("" if sample.form == "delimited" else ": it will be set aside; nothing is lost by that")
    if sample.skip:
        yield f"skip_lines: [{', '.join(json.dumps(begin, ensure_ascii=False) for begin in sample.skip)}]"
    if sample.header_line == 0:
        titles = ", ".join(quoted(t) for t in sample.titles)
        yield f"columns: [{titles}]   # the file has no titles; call them as you like"
    yield from _time_keys(sample, guesses, zone, answers)
    yield from _pace(guesses, answers, names)
    yield from _promise(of_name, answers, is_list="cows" in guesses.tables)


def _and_more(names: Sequence[str]) -> str:
    more = len(set(names)) - 1
    return f" and {more} more like it" if more else ""


def _pace(guesses: Guesses, answers: Answers, names: Sequence[str]) -> Iterator[str | Question]:
    """How often a file comes: by the stamps of many names, else asked, what few of them or the sample say first."""
    by_name = pace_of(names)
    said = answers.get("pace", by_name if are_enough(names) else "")
    if said:
        yield _pace_line(said) + ("" if "pace" in answers else "   # by the stamps in the names")
        return
    likely = by_name or _likely_pace(guesses)
    yield f"{_pace_line(likely)}   # QUESTION: how often does a file come? {', '.join(PACES)}, or every: 2 h"
    paces = tuple(dict.fromkeys((*PACES, likely)))
    shown = tuple((pace, pace if pace in PACES else f"every {pace}") for pace in paces)
    yield Question("pace", "How often does a file of this kind come?", shown, paces.index(likely), span=True)


def _pace_line(pace: str) -> str:
    return f"pace: {pace}" if pace in PACES else f"every: {pace}"


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
        reach /= max(1, len(profile.files))
        return "hourly" if reach <= 6 * HOUR_S else "daily" if reach <= 3 * DAY_S else "weekly"
    return "hourly"


def _promise(of_name: Named, answers: Answers, *, is_list: bool) -> Iterator[str | Question]:
    """`complete_until`, by the stamp in the name; a list of cows may need the moment it was written instead."""
    by_name = f"from: file_name, pattern: {json.dumps(of_name.stamp, ensure_ascii=False)}"
    written = {"yes": by_name, "day": f"{by_name}, plus: 1 d", "written": "from: file_time"}
    if (given := answers.get("complete_until", "")) in written:
        yield f"complete_until: {{{written[given]}}}"
    elif not given and (of_name.stamp or is_list):
        likely = written["yes"] if of_name.stamp else written["written"]
        yield "# If the stamp in the name promises that everything up to it is in the files, take the # away:"
        yield f"# complete_until: {{{likely}}}" + ("   # plus: 1 d if it holds that day" if is_day(likely) else "")
        yield _promise_question(of_name.stamp, is_list=is_list)


def _promise_question(stamp: str, *, is_list: bool) -> Question:
    choices = [("no", "no, or not known")]
    if stamp:
        choices.append(("yes", "yes, the maker promises it"))
    if stamp and is_day(stamp) and not is_list:
        choices.append(("day", "yes, and up to the end of that day: the file holds the whole of it"))
    if is_list:
        choices.append(("written", "the list is true from when the file was written"))
        choices[1:2] = [("yes", "the list is true from the stamp on")] if stamp else choices[1:2]
        text = "Since when is a list true?"
        return Question(
            "complete_until", f"The name holds a stamp ({stamp}). {text}" if stamp else text, tuple(choices)
        )
    return Question(
        "complete_until",
        f"The name holds a stamp ({stamp}). Is everything up to it in the files by then?",
        tuple(choices),
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
