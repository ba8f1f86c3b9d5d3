"""What titles of flags say."""

from __future__ import annotations

import pytest

from sentinel.flow.feeds.drafting.lexicon.flag_titles import flag_word


@pytest.mark.parametrize(
    ("title", "word"),
    [
        ("inc", "incomplete"),
        ("INCOMPLETE", "incomplete"),
        ("Milking incomplete", "incomplete"),
        ("Unfinished", "incomplete"),
        ("KickedOff", "incomplete"),
        ("abgebrochen", "incomplete"),
        ("Décroché", "incomplete"),
        ("Ref", "refused"),
        ("abgewiesen", "refused"),
        ("No cups", "failed"),
        ("Nicht angesetzt", "failed"),
        ("gemolken", "milked"),
        ("Not milked", "failed"),
        ("Income", ""),
        ("Reference", ""),
        ("Milk", ""),
        ("", ""),
    ],
)
def test_a_title_that_says_how_a_visit_ended_is_known_letter_for_letter(title: str, word: str) -> None:
    """With or without marks, capitals and words that say nothing; a word like it is none."""
    assert flag_word(title)[0] == word


def test_not_milked_is_less_sure() -> None:
    """She may have been sent on."""
    assert flag_word("Not milked")[1] < 90 <= flag_word("Inc")[1]
