"""Titles in Finnish, Portuguese, Norwegian, Czech and Estonian are understood as the others are."""

from __future__ import annotations

import pytest

from sentinel.flow.feeds.drafting.lexicon.dictionary import CONCEPTS
from sentinel.flow.feeds.drafting.lexicon.further_languages import FURTHER
from sentinel.flow.feeds.drafting.lexicon.titles import plain, read_title


@pytest.mark.parametrize(
    ("title", "concept"),
    [
        ("Lypsyn kesto", "duration"),
        ("Sähkönjohtavuus", "conductivity"),
        ("Duração da ordenha", "duration"),
        ("Células somáticas", "cells"),
        ("Oppholdstid", "duration"),
        ("Celletall", "cells"),
        ("Vodivost mléka", "conductivity"),
        ("Somatilised rakud", "cells"),
    ],
)
def test_a_title_in_each_language(title: str, concept: str) -> None:
    """With its marks, as an export writes it."""
    assert concept in read_title(title).concepts


def test_every_concept_is_one_of_the_dictionary_and_its_stems_are_written_plainly() -> None:
    """No stem stands twice, and none has a letter that titles lose."""
    assert set(FURTHER) <= set(CONCEPTS)
    for concept, stems in FURTHER.items():
        each = [stem.removeprefix("~") for stem in stems.split(";")]
        assert all(plain(stem) == stem for stem in each), concept
        assert len(set(stems.split(";"))) == len(stems.split(";")), concept
