"""Drafting a feed map from sample exports: commented YAML with each guess and its certainty, and what it asks.

The draft either loads as it is, or `check` says what a person must fill in (the text `FILL IN` marks it). Below a
stated certainty it asks (`QUESTION`), with the three likeliest answers and sample values.
"""

from __future__ import annotations

from collections.abc import Sequence

from sentinel.flow.feeds.drafting.beyond_columns import only_lines
from sentinel.flow.feeds.drafting.fields import tables
from sentinel.flow.feeds.drafting.guessing.field_guess import SURE_PERCENT
from sentinel.flow.feeds.drafting.guessing.guess import NOTHING_SAID, guess, whose_gallons
from sentinel.flow.feeds.drafting.head import head
from sentinel.flow.feeds.drafting.questions import Answers, Drafted, Question
from sentinel.flow.feeds.drafting.sample.kinds_of_rows import KindsOfRows, kinds_of_rows, of_kind
from sentinel.flow.feeds.drafting.sample.sniff import Sample, put_together, sniff
from sentinel.flow.feeds.formats.icar import looks_like_icar
from sentinel.flow.feeds.formats.raw import storable
from sentinel.flow.model import Export
from sentinel.flow.tables import EXPORTED
from sentinel.flow.visible import visible


def draft_feed_map(export: Export, zone: str) -> str:
    """A first feed map for a sample export, as commented YAML; `zone` is the farm's."""
    return drafted([export], zone).text


def drafted(
    exports: Sequence[Export], zone: str, answers: Answers = NOTHING_SAID, names: Sequence[str] = ()
) -> Drafted:
    """A first feed map for samples of one kind of export, with what it asks; what was answered is in it.

    `answers`: by a question's key. Samples with other titles than the first one are left out. `names`: of all files
    of the kind that are known, the samples' own included or not.
    """
    first = exports[0]
    name = first.name.rpartition("/")[2]
    if looks_like_icar(first):
        said = f"{visible(name)} is in the open ICAR ADE standard: it is read without a map, and none is needed."
        return Drafted(f"# {said}\n", trouble=said)
    samples = [sniff(one) for one in exports]
    if samples[0].trouble:
        said = f"No map could be drafted from {visible(name)}: {samples[0].trouble}."
        return Drafted(f"# {said}\n", trouble=said)
    every = tuple(dict.fromkeys((*(one.name for one in exports), *names)))
    return _draft((name, *(one.name for one in exports[1:]), *names), every, put_together(samples), zone, answers)


def _kinds(sample: Sample, answers: Answers) -> KindsOfRows | None:
    """The kinds of a sample's rows; None where what tells them is how visits ended, or the states of cows.

    Where only the empty cells say that it might be that, the rows of the second kind decide by what table they are of.
    """
    kinds = kinds_of_rows(sample)
    if kinds is None or "rows" in answers:
        return kinds
    found = guess(sample, EXPORTED).tables
    words = [one for of in found.values() for one in of.values() if one.field in ("outcome", "status")]
    sure = [one.percent >= SURE_PERCENT for one in words if one.source.title == kinds.title]
    if any(sure):
        return None
    second = guess(of_kind(sample, kinds.title, kinds.kinds[1]), EXPORTED).tables if sure else {}
    return None if sure and [*second][:1] in ([], [*found][:1]) else kinds


def _draft(names: Sequence[str], paths: Sequence[str], sample: Sample, zone: str, answers: Answers) -> Drafted:
    columns = {key.partition(":")[2]: title for key, title in answers.items() if key.startswith("column:")}
    kinds = _kinds(sample, answers)
    keys = kinds.keys() if kinds is not None else ()
    rows = answers.get("rows", keys[0] if keys else "")
    words = kinds.kinds[keys.index(rows)] if kinds is not None and rows in keys else ()
    if kinds is not None and words:
        sample = of_kind(sample, kinds.title, words)
    guesses = whose_gallons(guess(sample, EXPORTED, answers.get("table", ""), columns), zone)
    lines: list[str] = []
    questions: list[Question] = []
    asked = set(answers)
    only = only_lines(kinds, words, answers) if kinds is not None else ()
    first = kinds is None or not words or words == kinds.kinds[0]
    feed = "" if first or not guesses.tables else f"_{next(iter(guesses.tables))}"
    for one in (*head(names, sample, guesses, zone, answers, feed), *tables(guesses, answers, paths, tuple(only))):
        if isinstance(one, str):
            lines.append(one)
        elif one.key not in asked:
            questions.append(one)
            asked.add(one.key)
    # What a row is decides all else; how files come is asked last.
    order = {"rows": -1, "table": 0, "column": 1, "zone": 3, "pace": 4, "complete_until": 4}
    questions.sort(key=lambda question: order.get(question.key.partition(":")[0], 2))
    return Drafted(storable("\n".join(lines) + "\n"), tuple(questions), guesses=guesses, rows=keys)
