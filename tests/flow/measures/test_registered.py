"""A measure is registered once, and whole: with its charts, its facts and their words, and a text for what it is."""

from __future__ import annotations

import importlib
import pkgutil
from typing import get_args

import pytest
from catalogue_texts import texts_in

from sentinel.edges.locales import FOLDER
from sentinel.edges.settings import shipped
from sentinel.flow import measures
from sentinel.flow.measures import MEASURES, measure_named
from sentinel.flow.measures.base.shape import SAID_ELSEWHERE, Chart, FactColumn, Measure
from sentinel.flow.rules import Rule, load_rules
from sentinel.flow.rules.quantities import COUNTED, UNITS
from sentinel.flow.views.alert import pictures_of
from sentinel.flow.views.charts.pictures import DRAWN
from sentinel.flow.views.parts.facts import KNOWN

each = pytest.mark.parametrize("measure", MEASURES, ids=lambda measure: measure.name)
LANGUAGES = sorted(path.parts[-3] for path in FOLDER.glob("*/LC_MESSAGES/*.po"))
LABELLED = [fact for fact in KNOWN.values() if fact.label != SAID_ELSEWHERE]
SHIPPED = [
    rule
    for path in sorted(shipped("rules").glob("*.yaml"))
    for rule in load_rules(path.read_text(encoding="utf-8"), path.name)[0]
]


def declared() -> set[str]:
    """The names of all measures that some module of the folder declares."""
    found = set()
    for module in pkgutil.walk_packages(measures.__path__, f"{measures.__name__}."):
        members = vars(importlib.import_module(module.name)).values()
        found |= {one.name for one in members if isinstance(one, Measure)}
    return found


def test_a_measure_that_is_declared_can_be_named_by_a_rule() -> None:
    """Each stands among its module's `MEASURES`, and the module's among all."""
    assert declared() == {measure.name for measure in MEASURES}


@each
def test_the_charts_of_a_measure_are_drawn(measure: Measure) -> None:
    """Each chart that it names is one; it cannot leave them out, as a measure without one says `NO_CHART`."""
    assert set(measure.charts) <= set(get_args(Chart))
    for kind in measure.per:
        shown = pictures_of(Rule(name="r", measure=measure.name, per=kind), kind)
        assert ("cow" in shown) == (kind in ("cow", "quarter"))
        assert set(shown) <= set(DRAWN)


def test_every_chart_is_drawn_and_asked_for() -> None:
    """None is left that no measure names."""
    assert set(DRAWN) == {*get_args(Chart), "cow"}
    assert {chart for measure in MEASURES for chart in measure.charts} == set(get_args(Chart))


def test_a_measure_must_say_its_charts() -> None:
    """There is no default for them."""
    with pytest.raises(TypeError, match="charts"):
        Measure("cold", "h", ("cow",), "", "", "", compute=MEASURES[0].compute)  # type: ignore[call-arg]


@each
def test_a_fact_is_called_one_way_by_every_measure(measure: Measure) -> None:
    """And each once; what is counted or measured has a unit that rules know."""
    assert len(set(measure.fact_names)) == len(measure.facts)
    for fact in measure.facts:
        assert KNOWN[fact.name] == fact
        assert fact.unit in {"", *UNITS} and not (fact.unit and fact.own_unit)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("fact", LABELLED, ids=lambda fact: fact.name)
def test_a_fact_has_a_label_in_every_language(fact: FactColumn, language: str) -> None:
    """In English and in each catalogue, with its unit."""
    texts = texts_in(language)

    assert fact.label in texts
    assert not fact.unit or fact.unit == "ratio" or fact.unit in COUNTED or fact.unit in texts


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("rule", SHIPPED, ids=lambda rule: rule.name)
def test_the_measure_of_a_rule_that_ships_has_a_text_in_every_language(rule: Rule, language: str) -> None:
    """What it is, as the page of the rules says it."""
    assert measure_named(rule.measure).doc in texts_in(language)
    assert rule.about and rule.say in texts_in(language)
