"""How a standing alert's value has gone: raised at, its worst since, and now."""

from __future__ import annotations

from typing import Any

import pytest

from sentinel.flow.rules import Rule, RuleClass
from sentinel.flow.rules.course import now_bound


def points(**more: Any) -> Rule:
    """A rule on points that can become pressing and wavers before it is over."""
    bounds = {"raise_over": 4, "clear_under": 3, "now_over": 6, "again_within_s": 100, **more}
    return Rule(name="late-cow", measure="udder_evidence", per="cow", unit="points", say="{subject}: {value}", **bounds)


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
