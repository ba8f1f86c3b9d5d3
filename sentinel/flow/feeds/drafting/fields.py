"""The tables of a drafted map: each field's line with its certainty, its unit and its words, and what it asks."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from sentinel.flow.feeds.drafting.beyond_columns import flag_lines, place_lines
from sentinel.flow.feeds.drafting.guessing.expected import MILK_KG_PER_L
from sentinel.flow.feeds.drafting.guessing.field_guess import Guess
from sentinel.flow.feeds.drafting.guessing.guess import GALLONS, LEAST_PERCENT, NO_COLUMN, Guesses
from sentinel.flow.feeds.drafting.lexicon.cell_words import SURE, our_words
from sentinel.flow.feeds.drafting.questions import Answers, Question, listed, shown_column, some_values
from sentinel.flow.feeds.drafting.sample.places_in_names import PLACES, PlaceInName, place_in_names
from sentinel.flow.feeds.drafting.sample.profile import Source
from sentinel.flow.feeds.drafting.yaml_text import quoted
from sentinel.flow.feeds.field_map import LEAVE_OUT
from sentinel.flow.feeds.units import conversion
from sentinel.flow.feeds.values import FLAG_WORDS, as_text
from sentinel.flow.model import QUARTERS
from sentinel.flow.tables import Column, Table, table_named
from sentinel.flow.visible import visible

Lines = Iterator[str | Question]

_MOST_WORDS = 20
_WHOSE = dict(zip(GALLONS, ("American", "imperial"), strict=True))
DENSITIES = (f"{MILK_KG_PER_L}", "1.028", "1.032")
"""Of milk, kg a litre, the likeliest first."""


def tables(guesses: Guesses, answers: Answers, names: Sequence[str] = (), only: Sequence[str | Question] = ()) -> Lines:
    """The tables and their fields, then the columns nothing was found for; `names`: of all files, with folders; `only`:
    what says which of the file's rows each table is of."""
    yield "tables:" if guesses.tables else "tables: {}"
    for name, fields in guesses.tables.items():
        yield from _table(table_named(name), fields, guesses, answers, names, only)
    if guesses.left:
        yield "# Columns that were not used: " + ", ".join(quoted(title) for title in guesses.left)


def _table(
    table: Table,
    fields: Mapping[str, Guess],
    guesses: Guesses,
    answers: Answers,
    names: Sequence[str],
    only: Sequence[str | Question],
) -> Lines:
    name = table.name
    first = name == next(iter(guesses.tables))
    if first and not guesses.sure and "table" not in answers:
        listing = listed([name, *guesses.tables_too])
        yield f"  {name}:   # QUESTION: what is a row of this file? {listing}. {table.doc}"
        choices = [(one, f"{one}: {table_named(one).doc}") for one in (name, *guesses.tables_too)]
        yield Question("table", "What is a row of this file?", tuple(choices))
    else:
        yield f"  {name}:   # {table.doc}"
    each = bool(guesses.family) and name == "quarters"
    if each:
        yield from _each(guesses, answers)
    else:
        yield from only
    taken = {"cow", "start", "quarter"} if each else set()
    for column in table.columns:
        if column.name in taken:
            continue
        guess = fields.get(column.name) or guesses.open.get(name, {}).get(column.name)
        if (name, column.name) == ("visits", "outcome") and guesses.flags:
            yield from _flagged_outcome(table, column, fields.get(column.name), guesses, answers)
        elif column.name not in fields and not each and (place := _in_names(column, names)) is not None:
            yield from place_lines(column, place, answers)
        elif guess is not None:
            yield from _field(table, column, guess, guesses, answers)
        else:
            yield from filter(None, [_not_found(table, column, answers, each=each)])


def _not_found(table: Table, column: Column, answers: Answers, *, each: bool) -> str:
    """The line of a field that no column is likely for; "" for none."""
    if (table.name, column.name) == ("cows", "from"):
        missing = "" if answers.get("complete_until", "no") != "no" else "FILL IN complete_until: "
        return f"    from: {{stamp: true}}   # {missing}no column says since when a row is true"
    if column.name in table.key:
        return f"    # FILL IN {column.name}: ...   # {column.doc}"
    if column.name == "box" and not each:
        return '    # box: ...   # not found; if there is only one box: {value: "1"}'
    if column.name == "box":
        return ""
    return f"    # {column.name}: ...   # not found: {column.doc}"


def _in_names(column: Column, names: Sequence[str]) -> PlaceInName | None:
    return place_in_names(column.name, names) if names and column.name in PLACES else None


def _flagged_outcome(table: Table, column: Column, guess: Guess | None, guesses: Guesses, answers: Answers) -> Lines:
    """How visits ended, told by flags, and by a column of words if there is one."""
    if guess is not None:
        yield from _field(table, column, guess, guesses, answers)
    elif all(answers.get(f"flag:{flag.source.title}") == NO_COLUMN for flag in guesses.flags):
        yield f"    # {column.name}: ...   # not found: {column.doc}"
    else:
        yield f"    {column.name}:   # {column.doc}"
    yield from flag_lines(guesses.flags, column, answers, beside=guess is not None)


def _each(guesses: Guesses, answers: Answers) -> Lines:
    """Which of the file's words stands for which quarter."""
    labels = guesses.family
    whole = answers.get("quarters", "")
    said = {label: answers[f"quarter:{label}"] for label in labels if f"quarter:{label}" in answers}
    if whole and whole != ONE_BY_ONE:
        said = {labels[int(place)]: quarter for place, quarter in zip(whole, QUARTERS, strict=True)}
    called = dict(zip(QUARTERS, labels, strict=True))
    each_once = len(said) == 4 and set(said.values()) == set(QUARTERS)
    if each_once:
        called = {quarter: label for label, quarter in said.items()}
    listing = ", ".join(f"{quarter}: {quoted(called[quarter])}" for quarter in QUARTERS)
    if guesses.family_sure or each_once:
        yield f"    each: {{{listing}}}   # a row of the file holds all four quarters"
        return
    yield f"    each: {{{listing}}}   # QUESTION: which is which? LF is left front, seen from behind; this is a guess"
    if not whole:
        choices = tuple((order, _in_words(labels, order)) for order in ("0123", "0213", "1032"))
        yield Question("quarters", "Which quarters are these?", (*choices, (ONE_BY_ONE, "none of these: ask for each")))
        return
    for n, label in enumerate(labels):
        if label not in said:
            shown = {quarter: other for other, quarter in said.items()}
            choices = tuple(
                (one, _PLACES[one] + (f" (you said {visible(shown[one])})" if one in shown else "")) for one in QUARTERS
            )
            likeliest = None if QUARTERS[n] in shown else n
            yield Question(f"quarter:{label}", f'Which quarter does "{visible(label)}" stand for?', choices, likeliest)


ONE_BY_ONE = "-"
"""The answer that none of the orders of quarters that were offered is right."""

_PLACES = {"LF": "left front", "RF": "right front", "LR": "left rear", "RR": "right rear"}


def _in_words(labels: tuple[str, ...], order: str) -> str:
    """Which label is which quarter; `order`: the places of those of LF, RF, LR and RR."""
    pairs = zip(QUARTERS, order, strict=True)
    return ", ".join(f"{_PLACES[quarter]} {visible(labels[int(place)])}" for quarter, place in pairs)


def _field(table: Table, column: Column, guess: Guess, guesses: Guesses, answers: Answers) -> Lines:
    """One field's line, with its word table if it has one, and what it asks."""
    parts: dict[str, str] = {"end" if guess.ends else "column": quoted(guess.source.title)}
    if guess.source.titles and "{quarter}" not in guess.source.title:
        parts = {
            "columns": "{"
            + ", ".join(f"{q}: {quoted(t)}" for q, t in zip(QUARTERS, guess.source.titles, strict=True))
            + "}"
        }
    if guess.clock:
        parts = {"columns": f"[{quoted(guess.source.title)}, {quoted(guess.clock.title)}]"}
    key = f"{table.name}.{column.name}"
    remarks = [f"{'as answered' if f'column:{key}' in answers else f'{guess.percent} %'}: {column.doc}"]
    questions: list[Question] = []
    if guess.asked and f"column:{key}" not in answers:
        among = [guess.source, *guess.others]
        shown = [_shown(one, guess, guesses) for one in among]
        shown = [f"the time up to {one}" for one in shown] if guess.ends else shown
        remarks.insert(0, f"QUESTION: is it {listed(shown)}?")
        choices = [(one.title, text) for one, text in zip(among, shown, strict=True)]
        if column.name not in table.key:
            choices.append((NO_COLUMN, "none of the file's columns"))
        text = f"Which column is {key} ({column.doc})?"
        others = tuple(title for title in guesses.profiles if title not in {one.title for one in among})
        questions.append(Question(f"column:{key}", text, tuple(choices), titles=others))
    if column.kind in ("number", "count") and not guess.ends:
        _unit(key, column, guess, answers, parts, remarks, questions)
    if column.name.startswith("conductivity"):
        _reference(key, guess, answers, parts, remarks, questions)
    if guess.percent < LEAST_PERCENT and column.name not in table.key and f"column:{key}" not in answers:
        yield f"    # {column.name}: {parts.get('column', '...')}   # {'; '.join(remarks)}"
    elif column.kind == "word" or (column.kind == "flag" and _strange_flags(guess, guesses)):
        yield from _words(key, column, guess, guesses, remarks, answers)
    else:
        plain = list(parts) == ["column"]
        short = parts["column"] if plain else "{" + ", ".join(f"{k}: {v}" for k, v in parts.items()) + "}"
        yield f"    {column.name}: {short}   # {'; '.join(remarks)}"
    yield from questions


def _shown(source: Source, guess: Guess, guesses: Guesses) -> str:
    """A column as a question shows it; a day with the time of day that goes with it."""
    profile = guesses.profiles.get(source.title)
    if guess.clock is None or (profile is not None and profile.shape != "day"):
        return shown_column(source)
    return f"{shown_column(source)} with {shown_column(guess.clock)}"


def _unit(
    key: str,
    column: Column,
    guess: Guess,
    answers: Answers,
    parts: dict[str, str],
    remarks: list[str],
    questions: list[Question],
) -> None:
    """The unit, the question where several fit, and the density that litres need."""
    unit = guess.unit or column.unit
    asked = f"unit:{key}" not in answers
    unit = answers.get(f"unit:{key}", unit)
    if unit and unit != column.unit:
        parts["unit"] = quoted(unit)
    if guess.units and asked:
        remarks.insert(0, f"QUESTION: is it in {listed(guess.units)}? {some_values(guess.source)}")
        choices = tuple((one, _shown_unit(one)) for one in guess.units)
        text = f'In which unit is "{visible(guess.source.title)}" ({some_values(guess.source)})?'
        questions.append(Question(f"unit:{key}", text, choices))
    if (unit in ("l", "l/min") and column.unit in ("kg", "kg/min")) or (unit == "kg" and column.unit == "l"):
        density = answers.get("density", "")
        if density:
            parts["density_kg_per_l"] = density
        else:
            remarks.append("FILL IN density_kg_per_l: litres need one; the milk buyer uses one, some 1.03")
            text = "How many kg is a litre of milk? Ask the milk buyer; they use one figure."
            questions.append(Question("density", text, tuple((one, one) for one in DENSITIES)))


def _shown_unit(unit: str) -> str:
    return f"{_WHOSE[unit]} gallons ({conversion(unit, 'l').factor:.3f} l)" if unit in _WHOSE else unit


def _reference(
    key: str, guess: Guess, answers: Answers, parts: dict[str, str], remarks: list[str], questions: list[Question]
) -> None:
    """Conductivity is stated at a temperature, which only the manual knows where the title does not say."""
    if re.search(r"(?<!\d)25\s*°?\s*C(?![a-z])", guess.source.title) or answers.get("reference") == "25":
        parts["reference_temperature_C"] = "25"
        return
    remarks.append("FILL IN reference_temperature_C: 25 if the manual says that it is stated at 25 °C")
    if "reference" not in answers:
        text = f"At which temperature is conductivity stated ({key})? The manual or the export's maker says."
        choices = (
            ("25", "25 °C, the manual says so"),
            ("", "not known yet: the map is not read until it is written in"),
        )
        questions.append(Question("reference", text, choices, None))


def _strange_flags(guess: Guess, guesses: Guesses) -> bool:
    return any(text.casefold() not in FLAG_WORDS for text in _filled(guess.source, guesses))


def _filled(source: Source, guesses: Guesses) -> list[str]:
    """The different texts of a column, marks for missing left out."""
    profile = guesses.profiles.get(source.title)
    texts = profile.filled if profile else [as_text(cell) for cell in source.cells]
    return list(dict.fromkeys(text for text in texts if text))


def _words(key: str, column: Column, guess: Guess, guesses: Guesses, remarks: list[str], answers: Answers) -> Lines:
    """A field with its word table; words that were not recognised are left for a person."""
    texts = _filled(guess.source, guesses)
    choices = list(column.words) or ["yes", "no"]
    title = quoted(guess.source.title)
    beside = column.name == "outcome" and bool(guesses.flags)
    if column.words and texts and all(text in column.words for text in texts) and not beside:
        yield f"    {column.name}: {title}   # {'; '.join(remarks)}"
        return
    meant = our_words(column.name, texts) if column.kind == "word" else {text: _flag(text) for text in texts}
    said = {text: answers[f"word:{key}:{text}"] for text in texts if f"word:{key}:{text}" in answers}
    yield f"    {column.name}:   # {'; '.join(remarks)}"
    yield f"      column: {title}"
    if any(ours for ours, _ in meant.values()) or any(said.values()):
        yield "      words:"
    else:
        yield f"      words: {{}}   # FILL IN: each word of the export with one of {', '.join((*choices, LEAVE_OUT))}"
    for text, (ours, percent) in list(meant.items())[:_MOST_WORDS]:
        if text in said:
            yield f"        {quoted(text)}: {said[text]}"
            continue
        if ours:
            doubt = "" if percent >= SURE else "   # QUESTION: is it?"
            yield f"        {quoted(text)}: {ours}   # {percent} %{doubt}"
        else:
            yield f"        # {quoted(text)}: FILL IN one of {', '.join((*choices, LEAVE_OUT))}"
        if percent < SURE:
            some = [(word, word.replace("_", " ")) for word in choices]
            nothing = (LEAVE_OUT, "nothing that matters here: its rows are left out")
            text_of = f'What does "{visible(text)}" in "{visible(guess.source.title)}" mean ({key})?'
            likeliest = choices.index(ours) if ours else None
            yield Question(f"word:{key}:{text}", text_of, (*some, nothing), likeliest)


def _flag(text: str) -> tuple[str, int]:
    known = FLAG_WORDS.get(text.casefold())
    return ("", 0) if known is None else ("yes" if known else "no", 100)
