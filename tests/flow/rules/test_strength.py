"""What a value means against a rule's bounds."""

from __future__ import annotations

from typing import Any

import pytest

from sentinel.flow.rules import Rule, RuleClass
from sentinel.flow.rules.strength import now_bound, past, strength


def points(**more: Any) -> Rule:
    """A rule on points that can become pressing."""
    bounds = {"raise_over": 4, "clear_under": 3, "now_over": 6, **more}
    return Rule(name="udder", measure="udder_evidence", per="quarter", **{"unit": "points", **bounds})


FALLING = Rule(name="low", measure="yield_change", per="cow", unit="%", raise_under=-10, now_under=-30)


@pytest.mark.parametrize(
    ("more", "raised_past", "bound"),
    [
        ({}, 4.0, 6),
        ({"now_over": None}, 4.0, None),
        ({"now_over": None, "urgency": "now"}, 4.0, 4),
        ({"classes": (RuleClass(raise_over=8, now_over=9),)}, 8.0, 9),
        ({"classes": (RuleClass(raise_over=8),)}, 8.0, None),
        ({"classes": (RuleClass(lasting_s=60),)}, 4.0, 6),
        ({"classes": (RuleClass(now_over=9),)}, 4.0, None),
    ],
)
def test_which_bound_cannot_wait_is_that_of_the_class_whose_bound_was_passed(more, raised_past, bound) -> None:
    """A class's own; what it leaves out the rule's; nothing is said where it cannot be told."""
    assert now_bound(points(**more), raised_past) == bound


def test_past_follows_the_direction_of_the_rule() -> None:
    """A value at its bound is not past it."""
    assert past(points(), 4.1, 4) and not past(points(), 4, 4)
    assert past(FALLING, -11, -10) and not past(FALLING, -10, -10)


@pytest.mark.parametrize(
    ("more", "signs"),
    [
        ({}, ["slight", "slight", "clear", "clear", "strong"]),
        ({"now_over": None}, ["slight", "slight", "clear", "clear", "clear"]),
        ({"now_over": None, "urgency": "now"}, ["slight", "slight", "clear", "clear", "clear"]),
        ({"unit": "kg"}, ["", "", "", "", ""]),
    ],
)
def test_a_score_is_a_sign_of_some_strength(more: dict[str, Any], signs: list[str]) -> None:
    """Slight within the raising bound, clear past it, strong past the one that cannot wait or else twice as much."""
    assert [strength(points(**more), value, 4.0) for value in (3.5, 4.0, 4.1, 6.0, 6.1)] == signs


def test_without_a_bound_that_cannot_wait_twice_the_raising_one_is_strong() -> None:
    """As where an alert can never wait; and where it is not known which bound was passed, the rule's own counts."""
    assert [strength(points(now_over=None), value, None) for value in (8.0, 8.1)] == ["clear", "strong"]


def test_the_sign_goes_by_the_bound_that_was_passed() -> None:
    """A class with a higher bound has stronger signs further up; without a value there is none."""
    of_class = points(classes=(RuleClass(raise_over=8, now_over=12),))

    assert [strength(of_class, 9.0, past) for past in (4.0, 8.0)] == ["strong", "clear"]
    assert strength(of_class, None, 4.0) == ""
