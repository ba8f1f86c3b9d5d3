"""Rounds: which one is shown at a moment, and for which one an item was listed first."""

from __future__ import annotations

from datetime import time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from text_tables import moment, moment_text
from view_farm import AT, the_farm

from sentinel.flow.schedule.rounds import (
    BACK_S,
    Round,
    carried_from,
    first_listed,
    round_at,
    rounds_around,
    starts_around,
)


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


def test_a_farm_without_rounds_has_none_at_any_time() -> None:
    """And none is shown."""
    assert round_at((), AT, "UTC") is None
    assert starts_around((), AT, "UTC") == ()


def test_rounds_begin_at_the_farms_own_time() -> None:
    """From the day before to a week after, and a week before too where an item may be carried over from."""
    rounds = (time(16, 30), time(6, 30))
    after = rounds_around(rounds, AT, "Europe/Berlin")
    around = starts_around(rounds, AT, "Europe/Berlin")

    assert [moment_text(one) for one in after[:3]] == ["04:30", "14:30", "1d04:30"]
    assert around == tuple(sorted({*around}))
    assert set(after) < set(around)
    assert AT - around[0] >= BACK_S


@given(st.sets(st.times(), min_size=1, max_size=4).map(tuple), st.integers(1_700_000_000, 1_800_000_000))
def test_one_round_is_shown_at_each_moment(rounds: tuple[time, ...], at: int) -> None:
    """It opens where the one before closes, and the nearest begin is its own."""
    found = round_at(rounds, at, "Europe/Berlin")

    assert found is not None
    assert found.opens <= at < found.closes
    assert found.opens <= found.begins < found.closes <= found.following
    following = round_at(rounds, found.closes, "Europe/Berlin")
    assert following is not None
    assert (following.opens, following.begins) == (found.closes, found.following)


@pytest.mark.parametrize(
    ("known_from", "due", "listed"),
    [
        ("05:00", None, "06:30"),
        ("06:30", None, "16:30"),
        ("05:00", "14:00", "06:30"),
        ("05:00", "17:00", "16:30"),
        ("05:00", "1d12:00", "1d06:30"),
        ("2d00:00", None, None),
    ],
)
def test_an_item_is_listed_first_for_the_round_that_may_not_let_it_pass(
    known_from: str, due: str | None, listed: str | None
) -> None:
    """What needs looking at for the next one, a chore for the last before it would be overdue."""
    starts = [moment(one) for one in ("06:30", "16:30", "1d06:30", "1d16:30")]
    found = first_listed(starts, moment(known_from), None if due is None else moment(due))

    assert found == (None if listed is None else moment(listed))


def test_only_what_an_earlier_round_listed_is_carried_over() -> None:
    """From the first that did."""
    starts = [moment(one) for one in ("06:30", "16:30", "1d06:30")]
    span = Round(moment("16:30"), moment("1d06:30"), moment("11:30"), moment("23:30"))

    assert carried_from(starts, span, moment("05:00")) == moment("06:30")
    assert carried_from(starts, span, moment("07:00")) is None
    assert carried_from(starts, span, moment("05:00"), moment("1d05:00")) is None
