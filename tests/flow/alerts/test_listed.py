"""The cows that an alert lists, and when one comes on the list that whoever answered it has not seen."""

from __future__ import annotations

from sentinel.flow.alerts.listed import comes_on_list, listed, to_look_at

BEFORE = {"listed": [{"cow": "7", "state": "new"}, {"cow": "8", "state": "low"}]}


def test_most_alerts_list_none() -> None:
    """An alert on a cow or a box has no list."""
    assert listed({"cows": 3}) == to_look_at({}) == ()


def test_a_cow_that_is_there_to_compare_with_is_not_looked_at() -> None:
    """She brings much of the cells, but is not over the limit."""
    assert [one["cow"] for one in to_look_at(BEFORE)] == ["7"]


def test_who_comes_on_a_list() -> None:
    """A cow that goes over the limit, though she was listed; not one whose count has changed, or who leaves."""
    assert comes_on_list(BEFORE, {"listed": [{"cow": "7", "state": "still"}]}) == ()
    assert comes_on_list(BEFORE, {"listed": [{"cow": "8", "state": "again"}]}) == ("8",)
    assert comes_on_list(BEFORE, {}) == ()
