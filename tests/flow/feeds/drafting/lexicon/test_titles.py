"""What a title says, in whatever way and language it is written."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.feeds.drafting.lexicon.dictionary import CONCEPTS, MEANS
from sentinel.flow.feeds.drafting.lexicon.titles import plain, read_title, title_score, unit_in
from sentinel.flow.tables import EXPORTED


@pytest.mark.parametrize(
    ("title", "concepts"),
    [
        ("Milchmenge (kg)", {"milk", "amount"}),
        ("MILK_YIELD", {"milk", "yield"}),
        ("Kælvningsdato", {"calved", "date"}),
        ("timeInBox", {"duration"}),
        ("Días en leche", {"dim"}),
        ("Zqzqzq", set()),
    ],
)
def test_titles_are_taken_apart_into_concepts(title: str, concepts: set[str]) -> None:
    """Compounds, capitals, accents and phrases; a word of no language says nothing."""
    assert read_title(title).concepts == concepts


def test_the_rest_of_a_word_is_no_word_of_its_own() -> None:
    """`Ab` in Abkalbung is no German `ab` (from)."""
    assert read_title("Abkalbung").concepts == {"calved"}


@pytest.mark.parametrize(
    ("table", "field", "title", "speaks"),
    [
        ("visits", "milk_kg", "Melkgift", True),
        ("visits", "milk_kg", "Expected milk", False),
        ("visits", "milk_kg", "Mælketemperatur", False),
        ("cow_tests", "milk_kg", "Milk of the day", True),
        ("cows", "calved_on", "Velage prevu", False),
        ("cows", "calved_on", "CalvDt", True),
        ("visits", "cow", "Cow name", False),
        ("tank", "tank", "Mjölktank", True),
    ],
)
def test_a_title_speaks_for_a_field_or_against_it(table: str, field: str, title: str, speaks: bool) -> None:
    """What is expected, or is of the whole day, or is a name, is another thing than what was milked."""
    assert (title_score(table, field, title) >= 3) == speaks
    assert speaks or title_score(table, field, title) <= 0.5


@pytest.mark.parametrize(
    ("title", "unit"),
    [
        ("Milk [lb]", "lb"),
        ("Leche l", "l"),
        ("dur_s", "s"),
        ("Stay min:s", "min:sec"),
        ("Cond µS/cm", "uS/cm"),
        ("Cells 1000/ml", "1000/ml"),
        ("Temp °F", "degF"),
        ("Animal", ""),
        ("Results", ""),
    ],
)
def test_the_unit_is_read_from_the_title(title: str, unit: str) -> None:
    """A letter alone is one only at the end and by itself."""
    assert unit_in(title) == unit


def test_every_field_says_what_its_titles_mean() -> None:
    """A new column of a table needs a line in the dictionary, of concepts that are there."""
    assert set(MEANS) == {f"{table.name}.{column.name}" for table in EXPORTED for column in table.columns}
    named = {concept for says, fits in MEANS.values() for concept in f"{says} {fits}".split()}
    assert named <= set(CONCEPTS)


@given(st.text(max_size=60))
def test_any_title_can_be_read(title: str) -> None:
    """Whatever its letters."""
    assert 0 <= read_title(title).strange <= 1
    assert plain(plain(title)) == plain(title)
