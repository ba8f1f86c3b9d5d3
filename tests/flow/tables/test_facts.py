"""What a measure may know of the farm's chores: their subject, and whether a plan says by when."""

from __future__ import annotations

import pytest

from sentinel.flow.subjects import parts_of
from sentinel.flow.tables import ChoreFacts


@pytest.mark.parametrize(
    ("name", "place", "subject"),
    [("wash", "2", "chore:wash/2"), ("tank", "", "chore:tank"), ("a", "b", "chore:a/b")],
)
def test_a_chore_has_a_subject_from_which_it_can_be_told_again(name: str, place: str, subject: str) -> None:
    """With its place, if it has one."""
    chore = ChoreFacts(name, place)

    assert chore.subject == subject
    assert parts_of(subject) == {"chore": name, "place": place}


def test_a_chore_of_the_grazing_plan_is_planned_in_the_words_of_a_rule() -> None:
    """As a `where` asks for it."""
    assert ChoreFacts("wire", "east", planned=True).by_plan == "yes"
    assert ChoreFacts("wire", "west").by_plan == "no"
