"""How a standing alert's value has gone: raised at, its worst since, and now."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.language import english
from sentinel.flow.model import Alert, State, Verdict
from sentinel.flow.rules import Rule, RuleClass
from sentinel.flow.rules.course import Course, course_of, now_bound, past, worse_of


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


FALLING = Rule(name="low", measure="yield_change", per="cow", unit="%", raise_under=-10, now_under=-30)


def holds(value: float | None) -> Verdict:
    """A verdict that lets the alert stand."""
    return Verdict("late-cow", "cow:7", State.HOLDS, value, 0, "round", {"bound": 4})


def alert(course: Course, urgency: str = "round") -> Alert:
    """The alert as it is kept with its course."""
    raised, worst = course.raised_value, course.worst_value
    return Alert(1, "late-cow", "cow:7", 0, 0, urgency, "", raised_value=raised, worst_value=worst)


@given(st.lists(st.floats(-100, 100) | st.none(), min_size=1), st.booleans())
def test_the_worst_is_the_worst_of_all_values_that_were_known(values: list[float | None], falling: bool) -> None:
    """The highest, or for a rule that raises under its bound the lowest, whatever could not be told in between."""
    rule = FALLING if falling else points()
    course = course_of(rule, holds(values[0]), None, english())
    for value in values[1:]:
        course = course_of(rule, holds(value), alert(course), english())

    known = [value for value in values if value is not None]
    assert course.worst_value == (min if falling else max)(known, default=None)


def test_the_course_is_said_only_where_its_figures_differ() -> None:
    """Rounded as a person sees them: 5.04 and 5 points are the same figure."""
    first = course_of(points(), holds(5.0), None, english())
    same = course_of(points(), holds(5.04), alert(first), english())
    higher = course_of(points(), holds(5.5), alert(first), english())
    lower = course_of(points(), holds(4.5), alert(higher), english())

    assert (first.course, same.course) == ("", "")
    assert higher.course == "raised at 5 points, now 5.5 points"
    assert lower.course == "raised at 5 points, highest since 5.5 points, now 4.5 points"


def test_what_could_not_wait_has_eased_once_it_is_within_its_bound() -> None:
    """At the bound itself it is not past it any more; what could wait never eases."""
    pressing = alert(Course(7.0, 7.0), "now")

    assert course_of(points(), holds(6.0), pressing, english()).eased == "6 points"
    assert course_of(points(), holds(6.1), pressing, english()).eased == ""
    assert course_of(points(), holds(5.0), alert(Course(7.0, 7.0)), english()).eased == ""


def test_past_and_worse_follow_the_direction_of_the_rule() -> None:
    """A value at its bound is not past it."""
    assert past(points(), 4.1, 4) and not past(points(), 4, 4)
    assert past(FALLING, -11, -10) and not past(FALLING, -10, -10)
    assert (worse_of(points(), 3, None), worse_of(points(), 3, 5), worse_of(FALLING, 3, 5)) == (3, 5, 3)
    assert worse_of(points(), None, None) is None
