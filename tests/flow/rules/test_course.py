"""How a standing alert's value has gone: raised at, its worst, now, and which way it goes."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.language import english
from sentinel.flow.model import Alert, State, Verdict
from sentinel.flow.rules import Rule
from sentinel.flow.rules.course import Course, course_of, figures_of, way_of, worse_of


def points(**more: Any) -> Rule:
    """A rule on points that can become pressing and wavers before it is over."""
    bounds = {"raise_over": 4, "clear_under": 3, "now_over": 6, "again_within_s": 100, **more}
    return Rule(name="late-cow", measure="udder_evidence", per="cow", unit="points", say="{subject}: {value}", **bounds)


def kilograms() -> Rule:
    """A rule on a figure that is said as it is."""
    return points().model_copy(update={"unit": "kg"})


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
    """Rounded as a person sees them: 5.04 and 5 points are the same figure; and which way it goes."""
    first = course_of(kilograms(), holds(5.0), None, english())
    same = course_of(kilograms(), holds(5.04), alert(first), english())
    higher = course_of(kilograms(), holds(5.5), alert(first), english())
    lower = course_of(kilograms(), holds(4.5), alert(higher), english())
    within = course_of(kilograms(), holds(3.5), alert(higher), english())

    assert (first.course, same.course) == ("", "")
    assert higher.course == "raised at 5 kg, now 5.5 kg, rising"
    assert lower.course == "raised at 5 kg, worst 5.5 kg, now 4.5 kg, easing"
    assert within.course == "raised at 5 kg, worst 5.5 kg, now 3.5 kg, below the bound"


def test_of_a_score_the_strength_of_the_sign_is_said() -> None:
    """Nobody at a cow is helped by points; within one strength only which way it goes."""
    first = course_of(points(), holds(5.0), None, english())
    higher = course_of(points(), holds(5.5), alert(first), english())
    strong = course_of(points(), holds(6.5), alert(higher), english())
    slight = course_of(points(), holds(3.5), alert(strong), english())
    back = course_of(points(), holds(5.2), alert(strong, "now"), english())

    assert (first.course, higher.course) == ("", "rising")
    assert strong.course == "clear sign when raised, strong now, rising"
    assert slight.course == "clear sign when raised, strong at its worst, slight now, below the bound"
    assert (back.course, back.eased) == ("clear sign when raised, strong at its worst, clear now", "6 points")


@pytest.mark.parametrize(
    ("rule", "values", "trend"),
    [
        ("rising", (5, 7, 7), "rising"),
        ("rising", (5, 5, 5), "steady"),
        ("rising", (5, 7, 6), "easing"),
        ("rising", (5, 7, 4), "below the bound"),
        ("falling", (-11, -20, -20), "falling"),
        ("falling", (-11, -20, -15), "easing"),
        ("falling", (-11, -20, -9), "above the bound again"),
        ("hours", (15, 18, 18), ""),
    ],
)
def test_which_way_it_goes_is_one_of_few_words(rule: str, values: tuple[float, float, float], trend: str) -> None:
    """Worse than when it was raised, as then, better than its worst, or within its bound; a span of time only grows."""
    hours = Rule(name="late", measure="hours_since_milking", per="cow", unit="h", raise_over=14)
    of = {"rising": kilograms(), "falling": FALLING, "hours": hours}[rule]

    found = figures_of(of, *values, of.bound, english())

    assert found is not None and found.trend == trend


@pytest.mark.parametrize(
    ("rule", "values", "eased", "trend", "way"),
    [
        ("rising", (5, 7, 7), "", "rising", "worse"),
        ("rising", (5, 7, 6.9), "", "steady", "steady"),  # a tenth of how far it had gone is no way back
        ("rising", (5, 7, 6.7), "", "easing", "easing"),
        ("rising", (5, 5, 4.5), "", "easing", "easing"),
        ("rising", (3, 3.9, 3.9), "", "below the bound", "easing"),  # its bound was another one when it was raised
        ("rising", (5, 7, 7), "6 kg", "rising", "easing"),
        ("rising", (5, 5.04, 5.04), "", "steady", "steady"),
        ("falling", (-11, -20, -20), "", "falling", "worse"),
        ("falling", (-11, -20, -9), "", "above the bound again", "easing"),
        ("hours", (15, 18, 18), "", "", "worse"),
        ("hours", (15, 15, 15), "", "", "steady"),
    ],
)
def test_a_page_calls_nothing_worse_that_its_course_calls_better(
    rule: str, values: tuple[float, float, float], eased: str, trend: str, way: str
) -> None:
    """Which way an alert goes is told from the same figures as its course, and both by what a person is shown."""
    hours = Rule(name="late", measure="hours_since_milking", per="cow", unit="h", raise_over=14)
    of = {"rising": kilograms(), "falling": FALLING, "hours": hours}[rule]
    raised, worst, now = values
    kept = Alert(1, of.name, "cow:7", 0, 0, "round", "", value=now, raised_value=raised, worst_value=worst, eased=eased)
    found = figures_of(of, *values, of.bound, english())

    assert found is not None and found.trend == trend
    assert way_of(kept, of) == way
    assert way_of(kept, None) == ("easing" if eased else "steady")


def test_of_a_value_that_is_not_known_there_is_no_course() -> None:
    """As of one whose data was withdrawn."""
    assert figures_of(points(), 5.0, 5.0, None, 4, english()) is None


def test_what_could_not_wait_has_eased_once_it_is_within_its_bound() -> None:
    """At the bound itself it is not past it any more; what could wait never eases."""
    pressing = alert(Course(7.0, 7.0), "now")

    assert course_of(points(), holds(6.0), pressing, english()).eased == "6 points"
    assert course_of(points(), holds(6.1), pressing, english()).eased == ""
    assert course_of(points(), holds(5.0), alert(Course(7.0, 7.0)), english()).eased == ""


def test_the_worse_follows_the_direction_of_the_rule() -> None:
    """What is not known is never the worse."""
    assert (worse_of(points(), 3, None), worse_of(points(), 3, 5), worse_of(FALLING, 3, 5)) == (3, 5, 3)
    assert worse_of(points(), None, None) is None
