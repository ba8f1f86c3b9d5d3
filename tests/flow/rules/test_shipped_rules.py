"""The rules that ship: they load, fit together, explain themselves, and do what their own examples say."""

import re
from functools import cache
from pathlib import Path

import pytest

from sentinel.flow.examples import example_verdicts, run_examples
from sentinel.flow.language import english
from sentinel.flow.measures import measure_named
from sentinel.flow.rules import Rule, check_together, load_rules, look_first, say
from sentinel.flow.rules.example_rows import expectation

RULES = Path(__file__).parents[3] / "rules"
FILES = sorted(RULES.glob("*.yaml"))
AT = 1_772_539_200  # any moment: examples count back from it

SHIPPED = (
    "late-cow",
    "late-share",
    "quarter-conductivity",
    "sensor-stuck",
    "yield-drop",
    "box-failures",
    "cow-failures",
    "filter-overdue",
    "chore-due",
    "herd-failures",
    "arm-offset",
    "slow-attach",
    "box-quiet",
    "feed-quiet",
    "rows-set-aside",
    "tank-cells",
    "tank-bacteria",
    "tank-warm",
    "cow-cells",
)
"""The names that design and README promise."""

NEVER_UNKNOWN = (
    "box-failures",
    "cow-failures",
    "sensor-stuck",
    "feed-quiet",
    "rows-set-aside",
    "channel-failing",
    "cannot-tell",
)
"""Counts of what was seen, and what sentinel knows of itself: these can always be told."""


@cache
def _rules() -> dict[str, Rule]:
    return {rule.name: rule for file in FILES for rule in load_rules(file.read_text("utf-8"), file.name)[0]}


def _names() -> list[str]:
    return list(_rules())


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_a_shipped_file_has_no_problem_and_tells_editors_its_schema(file: Path) -> None:
    """Every rules file loads whole and begins with the line by which editors find the schema."""
    text = file.read_text("utf-8")

    assert load_rules(text, file.name)[1] == []
    assert text.startswith("# yaml-language-server: $schema=./rules.schema.json\n")


def test_the_promised_rules_ship_and_fit_together() -> None:
    """Every promised name is there, names are used once, covers exist and form no ring."""
    assert set(SHIPPED) <= set(_names())
    assert check_together(list(_rules().values())) == []


@pytest.mark.parametrize("name", _names())
def test_a_shipped_rule_does_what_its_examples_say(name: str) -> None:
    """The rule's examples, judged by the same code as the farm's rows, come out as they are written."""
    rule = _rules()[name]

    assert [str(p) for p in run_examples(rule, measure_named(rule.measure), AT)] == []


@pytest.mark.parametrize("name", _names())
def test_a_shipped_rule_has_examples_each_way(name: str) -> None:
    """One example raises, one stays quiet, and one is unknown where the rule can be unknown."""
    given = {key for example in _rules()[name].examples for key in example}

    assert {"raises", "quiet"} <= given
    assert ("unknown" in given) != (name in NEVER_UNKNOWN)


@pytest.mark.parametrize("name", _names())
def test_a_shipped_rules_sentences_can_be_filled(name: str) -> None:
    """What the rule says of its own examples has no hole and no unit twice."""
    rule = _rules()[name]
    for example, verdicts in zip(rule.examples, example_verdicts(rule, measure_named(rule.measure), AT), strict=True):
        for subject in expectation(example)[1] if "raises" in example else ():
            verdict = verdicts[subject]
            texts = (say(rule, verdict, AT, english("UTC")), *look_first(rule, verdict, AT, english("UTC")))
            assert not any("not known" in text or "{" in text for text in texts)


@pytest.mark.parametrize("name", _names())
def test_a_shipped_rule_explains_its_bound_and_what_to_do(name: str) -> None:
    """It says what the bound means, where it comes from (or that there is no source) and how to tune it."""
    rule = _rules()[name]

    assert re.search(r"no source|\b(19|20)\d\d\b|over 0", rule.about, re.IGNORECASE)
    assert re.search(r"\btune\b", rule.about)
    assert len(rule.caution) + len(rule.look_first) >= 3
    assert "nothing found" in rule.findings


MINDED = re.compile(
    r"out of operation|\bvet\b|held safely|withdrawal|\bapart\b|\bbull\b|chemicals? burn|fence off|hold milk back",
    re.IGNORECASE,
)
"""Words of safety, of the vet and of milk that is kept apart."""

OFFICE = ("feed-quiet", "rows-set-aside", "channel-failing", "cannot-tell")
"""Rules that send nobody to an animal, a machine or the field."""

MINDS = {
    "box-failures": ["out of operation"],
    "herd-failures": ["out of operation"],
    "cow-failures": ["held safely", "vet"],
    "arm-offset": ["out of operation"],
    "slow-attach": ["out of operation"],
    "box-quiet": ["out of operation"],
    "sensor-stuck": ["out of operation"],
    "filter-overdue": ["out of operation", "milk line"],
    "chore-due": ["out of operation", "hot water and chemicals", "goggles", "fence off", "bull", "young calves"],
    "late-cow": ["bull", "young calves", "vet"],
    "late-share": ["bull", "young calves", "out of operation"],
    "yield-drop": ["held safely", "vet"],
    "cow-cells": ["held safely", "vet", "withdrawal", "apart"],
    "quarter-conductivity": ["held safely", "vet", "withdrawal", "apart"],
    "tank-cells": ["apart", "vet", "held safely"],
    "tank-cells-near": ["vet", "out of operation"],
    "tank-bacteria": ["apart", "out of operation", "hot water", "goggles"],
    "tank-warm": ["milk buyer", "hold milk back", "switch the tank off"],
}
"""What the cautions of these rules must speak of; those of any other of some danger, the vet or milk kept apart."""


@pytest.mark.parametrize("name", _names())
def test_safety_and_the_vet_come_first(name: str) -> None:
    """They are cautions, which are said first and never cut, and never stand among the hints."""
    rule = _rules()[name]

    assert [line for line in rule.look_first if MINDED.search(line)] == []
    assert bool(rule.caution) == (name not in OFFICE)
    assert bool(MINDED.search(" ".join(rule.caution))) == bool(rule.caution)
    assert [word for word in MINDS.get(name, []) if word not in " ".join(rule.caution).lower()] == []
