"""The catalogue is complete: whatever the code and the rules that ship can say to a person has its German."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from babel.messages.pofile import read_po
from jinja2.ext import babel_extract

import sentinel
from sentinel.edges import web
from sentinel.edges.locales.compile import catalogues
from sentinel.edges.settings import shipped
from sentinel.edges.web.code_labels import LABELS
from sentinel.edges.web.screens import SCREENS
from sentinel.flow import notices
from sentinel.flow.alerts.incidents import ASKED
from sentinel.flow.bundle.report import TITLES as REPORT_TITLES
from sentinel.flow.language import FORMS, HABITS
from sentinel.flow.measures import MEASURES, measure_named
from sentinel.flow.reasons import CATALOGUE, EARLIER
from sentinel.flow.rules import load_rules
from sentinel.flow.rules.course import TRENDS
from sentinel.flow.rules.quantities import COUNTED
from sentinel.flow.rules.rule import USUAL_FINDINGS, Rule
from sentinel.flow.rules.strength import STRENGTHS
from sentinel.flow.settings.farm import load_farm
from sentinel.flow.subjects import KINDS, QUARTER_NAMES, STOPS, USUAL_CHORES
from sentinel.flow.views.alert import LIKELIHOODS
from sentinel.flow.views.charts.tank import TITLES
from sentinel.flow.views.parts.facts import KNOWN, NO_SIGN, VALUES

PACKAGE = Path(sentinel.__file__).parent
PAGE = Path(web.__file__).parent
OPTIONS = {"trim_blocks": "true", "lstrip_blocks": "true"}
PLACES = re.compile(r"\{(\w+)(?:\|[^{}]*)?\}")
"""A place to fill in; the words that it counts by are each language's own."""

SPEAKERS = {"say": 0, "gettext": 0, "several": 0, "told": 1, "Said": 0}
"""Functions that are handed a text of ours, and which of their arguments it is."""

ALWAYS_LITERAL = ("told", "Said")
"""Those that must be handed it as it is, so that this test can see it."""


def modules() -> Iterator[tuple[str, ast.Module]]:
    """The modules that say something to people: the flow, the engine, the page."""
    for path in (*(PACKAGE / "flow").rglob("*.py"), PACKAGE / "runtime" / "engine.py", *PAGE.rglob("*.py")):
        yield path.relative_to(PACKAGE).as_posix(), ast.parse(path.read_text(encoding="utf-8"))


def calls() -> Iterator[tuple[str, str, ast.expr]]:
    """Every call of a speaker: where, of which, and the text's argument."""
    for name, tree in modules():
        for node in ast.walk(tree):
            if isinstance(node, ast.Call):
                speaker = getattr(node.func, "attr", getattr(node.func, "id", ""))
                place = SPEAKERS.get(speaker)
                if speaker in ALWAYS_LITERAL and (isinstance(node.func, ast.Attribute) or name.startswith("edges")):
                    continue  # another thing of that name
                if place is not None and len(node.args) > place:
                    yield f"{name}:{node.lineno}", speaker, node.args[place]


def literals(text: ast.expr) -> Iterator[str]:
    """The texts that an expression may be, as far as they are written in it."""
    match text:
        case ast.Constant(value=str(said)):
            yield said
        case ast.IfExp():
            yield from literals(text.body)
            yield from literals(text.orelse)
        case ast.BoolOp():
            for one in text.values:
                yield from literals(one)


def in_templates() -> set[str]:
    """The texts of the page's templates."""
    found: set[str] = set()
    for path in PAGE.glob("templates/*.html"):
        with path.open("rb") as file:
            for _, speaker, message, _ in babel_extract(file, ("_", "gettext", "ngettext", "pgettext"), [], OPTIONS):
                said = message if isinstance(message, str) else message[0]
                found.add(f"{said}: {message[1]}" if speaker == "pgettext" else said)
    return found


def shipped_rules() -> list[Rule]:
    """The rules that ship."""
    rules: list[Rule] = []
    for path in sorted(shipped("rules").glob("*.yaml")):
        found, problems = load_rules(path.read_text(encoding="utf-8"), path.name)
        assert problems == []
        rules += found
    return rules


def of_rules() -> set[str]:
    """What the rules that ship say: their sentences, what to look at first, the answers, what they are about.

    With what their measures compute. (Of the measures that only a farm's own rules use, that is said in English.)
    """
    found: set[str] = set()
    for rule in shipped_rules():
        measure = measure_named(rule.measure)
        found |= {rule.say, rule.about, *rule.caution, *rule.look_first, *rule.findings}
        found |= {measure.doc, *(option.doc for option in measure.options)}
    return found


def words_for_codes() -> set[str]:
    """Words that stand in tables and not in a call: of codes, figures, units, places, ends."""
    unsaid = {"", "ratio", *COUNTED}
    units = {measure.unit for measure in MEASURES} - set(COUNTED) - {"ratio", ""}
    return {
        *TITLES.values(),
        *REPORT_TITLES.values(),
        *(text for screen in SCREENS for text in (screen.title, screen.line)),
        *(word for group in LABELS.values() for word in group.values()),
        *(said for fact in KNOWN.values() for said in (fact.label, fact.unit) if said not in unsaid),
        *COUNTED.values(),
        *units,
        *QUARTER_NAMES.values(),
        *USUAL_CHORES,
        *USUAL_FINDINGS,
        *(said for kind in KINDS for said in (kind.word, kind.sentence, kind.title, kind.short) if said),
        *notices.PUSHES,
        *ASKED.values(),
        notices.BOX_CAUTION,
        *STRENGTHS,
        *TRENDS,
        *LIKELIHOODS,
        *VALUES.values(),
        NO_SIGN,
        *(measure.reset for measure in MEASURES if measure.reset),
        "worklist",
        "seal",
        *CATALOGUE.values(),
        *EARLIER.values(),
        *(stop.heading for stop in STOPS),
    }


def texts() -> set[str]:
    """Everything that can be said to a person, in English."""
    in_code = {said for _, _, text in calls() for said in literals(text) if said}
    everything = in_code | in_templates() | of_rules() | words_for_codes() | {FORMS[0]}
    return {text for text in everything if re.search(r"[^\s().,:;]", PLACES.sub("", text))}


CATALOGUES = {path.parents[1].name: path for path in catalogues()}
LANGUAGES = sorted(CATALOGUES)
"""The languages that there is a file of."""

each = pytest.mark.parametrize("language", LANGUAGES)


def catalogue(language: str):
    """A language's catalogue by its English texts, with what a text is said of where it has a context."""
    with CATALOGUES[language].open("rb") as file:
        told = [message for message in read_po(file, locale=language) if message.id]
    return {
        ": ".join(filter(None, [one.context, one.id if isinstance(one.id, str) else one.id[0]])): one for one in told
    }


@each
def test_every_text_is_there_in_the_language(language: str) -> None:
    """A new text without its German fails here; add it to sentinel/edges/locales/de/LC_MESSAGES/sentinel.po."""
    found = catalogue(language)

    assert len(texts()) > 600
    assert sorted(text for text in texts() if text not in found or not found[text].string) == []


@each
def test_the_catalogue_has_nothing_that_is_not_said(language: str) -> None:
    """A text that was changed leaves no old one behind."""
    assert sorted(set(catalogue(language)) - texts()) == []


@each
def test_a_farm_can_have_the_language(language: str) -> None:
    """With either decimal mark; and a language that farm.yaml takes has its file."""
    assert {decimal for one, decimal in HABITS if one == language} == {".", ","}
    farm, problems = load_farm(f"name: Tinfield\nzone: UTC\nlanguage: {language}\n", "farm.yaml")

    assert problems == []
    assert farm is not None
    assert farm.language == language
    assert {one for one, _ in HABITS} == {"en", *LANGUAGES}


def test_no_text_hides_from_this_test():
    """What is put together is written where it is handed over, so that none can be missed."""
    hidden = [where for where, speaker, text in calls() if speaker in ALWAYS_LITERAL and not list(literals(text))]

    assert [where for where in hidden if not where.startswith(("flow/language/", "flow/reasons.py"))] == []


def of_parts(text: str) -> list[tuple[str, list[str]]]:
    """The parts of a sentence that may fall out, by their places; the rest of it too."""
    parts = [sorted(set(PLACES.findall(part))) for part in re.findall(r"\[([^][]*)\]", text)]
    return [("part", part) for part in parts] + [("rest", sorted(set(PLACES.findall(re.sub(r"\[[^][]*\]", "", text)))))]


@each
def test_places_in_a_text_are_the_same_in_the_language(language: str) -> None:
    """`{person}` in English is `{person}` in German; every plural form is there.

    So are the parts of a rule's sentence that fall out, with the same places in each.
    """
    for english, message in catalogue(language).items():
        forms = [message.string] if isinstance(message.string, str) else message.string
        for said in forms:
            assert said
            named = english if isinstance(message.id, str) else message.id[1]  # the word for one may say it: "once"
            assert set(PLACES.findall(said)) <= set(PLACES.findall(named)), english
            assert "[" not in english or sorted(of_parts(english)) == sorted(of_parts(said)), english
        assert set(PLACES.findall(english)) <= set(PLACES.findall(forms[-1])), english
