"""The lines of a drafted map for what no one column holds: an outcome told by flags, a box by names, rows by kinds."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence

from sentinel.flow.feeds.drafting.guessing.flag_columns import ORDER, FlagGuess, set_together
from sentinel.flow.feeds.drafting.guessing.guess import NO_COLUMN
from sentinel.flow.feeds.drafting.lexicon.cell_words import SURE
from sentinel.flow.feeds.drafting.questions import Answers, Question, listed, shown_column
from sentinel.flow.feeds.drafting.sample.kinds_of_rows import KindsOfRows
from sentinel.flow.feeds.drafting.sample.places_in_names import PlaceInName
from sentinel.flow.feeds.drafting.yaml_text import quoted
from sentinel.flow.tables import Column
from sentinel.flow.visible import visible

ORDER_KEY = "flags"
"""The question of which flag counts where two are set."""


def flag_lines(
    flags: Sequence[FlagGuess], column: Column, answers: Answers, *, beside: bool
) -> Iterator[str | Question]:
    """The part of an outcome that flags tell, `beside` a column of words or alone, and what it asks."""
    said = [(flag, answers.get(f"flag:{flag.source.title}", flag.word)) for flag in flags]
    taken = [(flag, word) for flag, word in said if word != NO_COLUMN]
    order = [word for word in answers.get(ORDER_KEY, "").split(",") if word] or list(ORDER)
    words = sorted({word for _, word in taken}, key=lambda word: (order.index(word) if word in order else 99, word))
    if taken:
        together = len(words) > 1 and set_together([flag for flag, _ in taken]) and ORDER_KEY not in answers
        doubt = "QUESTION: two are set in one row of the sample; " if together else ""
        yield f"      flags:   # {doubt}the first that is set counts; where none is, " + (
            "the column does" if beside else "the milk tells"
        )
        for word in words:
            yield from _flags_of(word, [flag for flag, meant in taken if meant == word], answers, beside=beside)
        if together:
            choices = [(",".join(one), " before ".join(one)) for one in (words, words[::-1])]
            yield Question(ORDER_KEY, "Where two of these are set in one row, which counts?", tuple(choices))
    for flag in flags:
        if f"flag:{flag.source.title}" not in answers and (beside or flag.percent < SURE):
            choices = [(word, word.replace("_", " ")) for word in column.words if word != "unknown"]
            choices.append((NO_COLUMN, "nothing of how a visit ended"))
            text = f"What does {shown_column(flag.source)} say where it is set?"
            likeliest = next(n for n, (word, _) in enumerate(choices) if word == flag.word)
            yield Question(f"flag:{flag.source.title}", text, tuple(choices), likeliest)


def _flags_of(word: str, flags: Sequence[FlagGuess], answers: Answers, *, beside: bool) -> Iterator[str]:
    written, remarks = [], []
    for flag in flags:
        title = quoted(flag.source.title)
        own = f"{{column: {title}, words: {{{quoted(flag.set_word)}: yes}}}}" if flag.set_word else title
        written.append(own)
        if f"flag:{flag.source.title}" in answers:
            remarks.append("as answered")
        else:
            asked = "QUESTION: is it? " if beside or flag.percent < SURE else ""
            remarks.append(f"{asked}{flag.percent} %")
    listing = written[0] if len(written) == 1 else f"[{', '.join(written)}]"
    yield f"        {word}: {listing}   # {'; '.join(remarks)}"


def only_lines(kinds: KindsOfRows, words: Sequence[str], answers: Answers) -> Iterator[str | Question]:
    """Which of the file's rows a table is of, where they are of several kinds, and the question of it."""
    title, keys = kinds.title, kinds.keys()
    if words:
        others = ", ".join(word for kind in kinds.kinds for word in kind if word not in words)
        listing = ", ".join(map(quoted, words))
        doubt = "" if "rows" in answers else "QUESTION: which rows? "
        todo = f"{doubt}rows of {visible(others)} look like another table: draft a map of their own for them"
        yield f"    only: {{column: {quoted(title)}, is: [{listing}]}}   # {todo}"
    if "rows" not in answers:
        shown = listed([f'"{visible(key)}"' for key in keys])
        text = f'Rows with {shown} in "{visible(title)}" fill other columns: which of them is this map for?'
        choices = [(key, f"{visible(key)}; the others have a map of their own") for key in keys]
        yield Question("rows", text, (*choices, (NO_COLUMN, "all rows are of one kind")))


def place_lines(column: Column, place: PlaceInName, answers: Answers) -> Iterator[str | Question]:
    """A field that the files' names or folders say, and the question of it."""
    key = f"name:{column.name}"
    answer = answers.get(key, "")
    pattern = json.dumps(place.pattern, ensure_ascii=False)
    values = ", ".join(map(visible, place.values))
    if answer == NO_COLUMN:
        yield f"    # {column.name}: ...   # not found: {column.doc}"
    elif answer:
        yield f"    {column.name}: {{file_name: {pattern}}}   # as answered: {column.doc}"
    else:
        yield f"    {column.name}: {{file_name: {pattern}}}   # QUESTION: are these its names: {values}? {column.doc}"
        choices = (("yes", f"yes: {values}"), (NO_COLUMN, "no, that means something else"))
        text = f"No column says {column.doc}. Do the files' names or folders say it?"
        yield Question(key, text, choices)
