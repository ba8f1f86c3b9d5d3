"""Rounds: which one is shown at a moment, and for which one an item was listed first."""

from __future__ import annotations

import pytest
from text_tables import moment
from view_farm import the_farm

from sentinel.flow.schedule.rounds import round_at


@pytest.mark.parametrize(
    ("at", "begins", "following"),
    [
        ("1d11:29:59", "1d06:30", "1d16:30"),
        ("1d11:30", "1d16:30", "2d06:30"),
        ("1d23:29:59", "1d16:30", "2d06:30"),
        ("1d23:30", "2d06:30", "2d16:30"),
    ],
)
def test_the_list_of_the_nearest_round_is_shown(at: str, begins: str, following: str) -> None:
    """It changes halfway between two rounds, so that what was ticked stays in sight through a round."""
    found = round_at(the_farm().rounds, moment(at), "UTC")
    assert found is not None
    assert (found.begins, found.following) == (moment(begins), moment(following))
