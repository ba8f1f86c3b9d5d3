"""Each kind of subject is registered once, and whole: with its place, its words, its page and its attributes."""

from __future__ import annotations

import pandas as pd
import pytest
from catalogue_texts import texts_in
from text_tables import moment, table

from sentinel.edges.locales import FOLDER, words_in
from sentinel.flow.evaluation.attributes import attributes_at, herd_changes
from sentinel.flow.language import ENGLISH, PLACE
from sentinel.flow.measures import MEASURES
from sentinel.flow.model import QUARTERS
from sentinel.flow.rules import Rule
from sentinel.flow.rules.where import ATTRIBUTES
from sentinel.flow.subjects import (
    KINDS,
    PLACES,
    QUARTER_NAMES,
    STOPS,
    Kind,
    kind_named,
    parts_of,
    place_of,
    said_parts,
    subject_words,
    walk_order,
)
from sentinel.flow.tables import Tables

each = pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
LANGUAGES = sorted(path.parts[-3] for path in FOLDER.glob("*/LC_MESSAGES/*.po"))


def example_of(kind: Kind) -> str:
    """A subject of a kind."""
    names = {"quarter": "LF", "place": "2"}
    return ":".join(filter(None, [kind.name, "/".join(names.get(part, "7") for part in kind.parts)]))


@each
def test_a_kind_has_a_place_on_the_walk_and_in_the_worklist(kind: Kind) -> None:
    """Its place is one of those that are walked, and is listed under a heading that the worklist has."""
    place = place_of(example_of(kind), ["2"])

    assert place in PLACES
    assert place.stop in STOPS and place.stop.heading and place.label
    assert KINDS[walk_order(example_of(kind))] is kind


@each
@pytest.mark.parametrize("language", LANGUAGES)
def test_a_kind_has_words_in_every_language(kind: Kind, language: str) -> None:
    """No subject is shown as `kind:name`: in a sentence, in short and as a title it is said, with all of its name."""
    subject, words = example_of(kind), words_in(language, ",", "UTC")
    parts = said_parts(subject, words)

    for said in (subject_words(subject, words, form) for form in ("sentence", "short", "title")):
        assert said and ":" not in said and "{" not in said and "%" not in said
    assert all(part in subject_words(subject, words) for part in parts.values())
    for text in filter(None, (kind.word, kind.each, kind.title, *(one.label for one in kind.attributes))):
        assert text in texts_in(language), text  # also where the language has the same word


@each
def test_a_sentence_of_a_kind_names_what_its_name_is_made_of(kind: Kind) -> None:
    """Each place in it is a part of the name; a rule's sentence may say the same parts."""
    assert {name for name, _ in PLACE.findall(kind.sentence)} in (set(), set(kind.parts))
    assert list(parts_of(example_of(kind))) == list(kind.parts)


@each
def test_a_kind_that_another_belongs_to_is_declared(kind: Kind) -> None:
    """A quarter's cow and a chore's box are kinds themselves; who has a page has a title above it."""
    named = {one.name for one in KINDS}

    assert {kind.first_is, kind.second_is} - {""} <= named
    assert kind.page in {"", *named}
    assert bool(kind.page) == bool(kind.title)


@each
def test_the_attributes_of_a_kind_can_be_found(kind: Kind) -> None:
    """What a `where` may ask of a kind is a column that `attributes_at` gives."""
    rows = Tables(
        cows=table("cows", "cow  from   group  lactation  milkings_allowed  status\n7    00:00  east   2  3  dry")
    )
    frame = pd.DataFrame({"subject": [example_of(kind)], "at": [moment("01:00")], "box": ["2"]})
    rule = Rule(name="r", measure="m", per=kind.name, where={one.name: ("x",) for one in kind.attributes})

    found = attributes_at(rule, frame, herd_changes(rows), rows)
    assert set(found) == {column.name for column in ATTRIBUTES[kind.name]}


def test_every_measure_is_per_kinds_that_are_declared() -> None:
    """A rule on it can be read, placed and said."""
    assert {per for measure in MEASURES for per in measure.per} <= {kind.name for kind in KINDS}


def test_what_is_of_no_kind_is_still_spoken_of() -> None:
    """A log of a later version may name what this one does not know: it comes last, in the office."""
    assert kind_named("robot").place.code == "office"
    assert walk_order("robot:1") == len(KINDS)
    assert subject_words("robot:1", ENGLISH) == "robot 1"


def test_quarters_are_called_by_every_code() -> None:
    """The four codes of the model have words."""
    assert set(QUARTER_NAMES) == set(QUARTERS)
