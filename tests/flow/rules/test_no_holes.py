"""No sentence of a rule that ships ever shows a hole or a wrong plural, whatever of its figures is not known."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest

from sentinel.edges.locales import words_in
from sentinel.flow.examples import example_verdicts
from sentinel.flow.language import PLACE, Words, english
from sentinel.flow.measures import measure_named
from sentinel.flow.model import State, Verdict
from sentinel.flow.rules import Rule, load_rules, look_first, say
from sentinel.flow.rules.example_rows import expectation
from sentinel.flow.rules.quantities import COUNTED
from sentinel.flow.rules.words import ALWAYS, cautions, places_needed
from sentinel.flow.subjects import kind_named

RULES = Path(__file__).parents[3] / "rules"
AT = 1_772_539_200
WORDS: dict[str, Words] = {"en": english("UTC"), "de": words_in("de", ",", "UTC")}

ONE_AND_MORE = {
    "en": {**{one: many for many, one in COUNTED.items()}, "point": "points"},
    "de": {
        "Kuh": "Kühe|Kühen",
        "Besuch": "Besuche|Besuchen",
        "Prüfung": "Prüfungen",
        "Fehlversuch": "Fehlversuche|Fehlversuchen",
        "Melkung": "Melkungen",
        "Messung": "Messungen",
        "Zeile": "Zeilen",
        "Nachricht": "Nachrichten",
        "Monat": "Monate|Monaten",
        "Punkt": "Punkte|Punkten",
    },
}


@cache
def rules() -> dict[str, Rule]:
    """The rules that ship."""
    return {
        r.name: r for file in sorted(RULES.glob("*.yaml")) for r in load_rules(file.read_text("utf-8"), file.name)[0]
    }


def raised(rule: Rule) -> Verdict:
    """What the rule says of the first of its examples that raises."""
    for example, verdicts in zip(rule.examples, example_verdicts(rule, measure_named(rule.measure), AT), strict=True):
        if "raises" in example:
            return verdicts[expectation(example)[1][0]]
    raise AssertionError(rule.name)


def asked(rule: Rule) -> list[str]:
    """The figures that the rule's sentences ask for, besides whom and when."""
    own = {"subject", "since", "bound", *kind_named(rule.per).parts}
    return sorted(
        {name for line in (rule.say, *rule.caution, *rule.look_first) for name, _ in PLACE.findall(line)} - own
    )


def counted(value: Any, n: int) -> Any:
    """A figure made `n`; a word, a list or a moment stays as it is."""
    return n if isinstance(value, int | float) and not isinstance(value, bool) and value < 10**9 else value


def everything_said(rule: Rule, words: Words) -> Iterator[str]:
    """What the rule says with each of its counts 0, 1 and 2, and each choice of its figures unknown."""
    verdict, names = raised(rule), asked(rule)
    for n in (0, 1, 2):
        facts = {name: counted(value, n) for name, value in verdict.facts.items()}
        for size in range(len(names) + 1):
            for lost in combinations(names, size):
                known = {name: value for name, value in facts.items() if name not in lost}
                told = replace(verdict, facts=known, value=None if "value" in lost else float(n))
                yield say(rule, told, AT, words)
                yield from look_first(rule, told, AT, words)
                yield from cautions(rule, told, AT, words)


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("name", list(rules()))
def test_no_sentence_shows_a_hole_or_a_wrong_plural(name: str, language: str) -> None:
    """Every choice of missing figures, counts of none, one and two, in both languages."""
    holes = re.compile(r"not known|nicht bekannt|[][{}|]|\bNone\b|\bnan\b|\(\s*[);,]|  | [,;.:)]|[,;:]$")
    pairs = ONE_AND_MORE[language].items()
    wrong = re.compile(
        "|".join(rf"(?<![\d.,/])1 (?:{more})\b|(?<![\d.,/])[02] {one}\b" for one, more in pairs),
    )
    said = set(everything_said(rules()[name], WORDS[language]))

    assert said
    assert [text for text in said if holes.search(text)] == []
    assert [text for text in said if wrong.search(text)] == []


@pytest.mark.parametrize("name", list(rules()))
def test_a_rule_that_ships_needs_no_figure_that_may_be_missing(name: str) -> None:
    """Outside the parts that fall out it says only whom, how much or how strong, past which bound, since when."""
    rule = rules()[name]

    assert places_needed(rule.say) <= {*ALWAYS, "sign", *kind_named(rule.per).parts}


def _rule(sentence: str, *look: str) -> Rule:
    return Rule(name="r", measure="m", per="cow", unit="h", raise_over=14.0, say=sentence, look_first=look)


def _said(sentence: str, words: Words = WORDS["en"], value: float | None = 15, **facts: Any) -> str:
    return say(_rule(sentence), Verdict("r", "cow:217", State.HOLDS, value, AT, "round", facts), AT, words)


def test_a_part_falls_out_or_says_something_else() -> None:
    """What stands in square brackets is said if all of it is known; after a bar stands what is said otherwise."""
    told = "Cow {cow}[, {milk} kg][ at box {box} or {other}| at box {box}]: [{because}|signs]"

    assert _said(told, milk=4.5, box="2", other="3", because="less milk") == "Cow 217, 4.5 kg at box 2 or 3: less milk"
    assert _said(told, box="2") == "Cow 217 at box 2: signs"
    assert _said(told) == "Cow 217: signs"


def test_a_farms_own_sentence_gives_way_where_it_would_show_a_hole() -> None:
    """Whom it is about and how much is always said; so a rules folder of before goes on as it is."""
    old = "Cow {cow}: {milk} kg, without her {tank_without_k_ml} k/ml"

    assert _said(old, milk=4.5, tank_without_k_ml=210) == "Cow 217: 4.5 kg, without her 210 k/ml"
    assert _said(old, milk=4.5) == _said(old, milk=4.5, tank_without_k_ml=float("nan")) == "Cow 217: 15 h"
    assert _said(old, value=None) == "Cow 217"


def test_a_count_is_said_with_its_word_for_one_and_for_more() -> None:
    """The forms stand in the place; a figure with decimals reads as several do."""
    told = "{cows|cow|cows}"

    assert [_said(told, cows=n) for n in (0, 1, 2, 1.5)] == ["0 cows", "1 cow", "2 cows", "1.5 cows"]


def test_a_hint_of_which_nothing_is_known_is_left_out() -> None:
    """A line with parts says those that are known; with none of them there is no line."""
    rule = _rule("x", "Is she there?", "In all[, late {late}][, less milk {milk}].", "Is it box {box}?")
    known = [
        look_first(rule, Verdict("r", "cow:217", State.HOLDS, 15, AT, "round", facts), AT, WORDS["en"])
        for facts in ({"late": 2}, {}, {"box": "2"})
    ]

    assert known == [
        ("Is she there?", "In all, late 2."),
        ("Is she there?",),
        ("Is she there?", "Is it box 2?"),
    ]
