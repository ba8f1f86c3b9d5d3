"""A cell's word is the nearest of ours that is known, in any of the languages."""

from __future__ import annotations

import pytest

from sentinel.flow.feeds.drafting.lexicon.cell_words import our_word, our_words, words_known


@pytest.mark.parametrize(
    ("name", "theirs", "ours"),
    [
        ("outcome", "Cut short", "incomplete"),
        ("outcome", "abgewiesen", "refused"),
        ("status", "dry", "dry"),
        ("quarter", "hinten links", "LR"),
        ("event", "new filtre", "filter_changed"),
        ("outcome", "qqq", ""),
        ("cow", "milked", ""),
    ],
)
def test_a_cells_word_is_the_nearest_that_is_known(name: str, theirs: str, ours: str) -> None:
    """In any of the languages, with a letter wrong; what is like none of them is none."""
    found, percent = our_word(name, theirs)

    assert found == ours
    assert (percent >= 75) == bool(ours)


def test_the_names_of_four_quarters_are_told_together() -> None:
    """HF alone may be Danish for right front; beside VL, VR and HL the German rear ones are meant."""
    assert our_words("quarter", ["VF", "HF", "VB", "HB"])["HF"] == ("RF", 100)
    assert our_words("quarter", ["VL", "VR", "HL", "HR"])["HL"] == ("LR", 100)


def test_how_many_words_of_a_column_are_known_says_what_it_is() -> None:
    """Two of four here; none of an empty column."""
    assert words_known("event", {"washed", "new filter", "qqq", "zzz"}) == 0.5
    assert words_known("event", set()) == 0
