"""A rule's bounds: read in the measure's unit, and that raising, clearing and pressing fit together."""

from __future__ import annotations

from typing import Any

import pytest

from sentinel.flow.rules.bounds import check_class_bounds, check_rule_bounds, read_bounds, read_duration


def faults(**written: Any) -> list[str]:
    """What is wrong with a rule's bounds, each with its key."""
    bounds, wrong = read_bounds(written, "h")
    assert wrong == []
    return [f"{'.'.join(map(str, one.path))}: {one.message}" for one in check_rule_bounds(written, bounds, "h")]


def test_bounds_are_read_in_the_measures_unit() -> None:
    """What is not written is left out; what is no quantity is a fault at its key, and the others are read."""
    bounds, wrong = read_bounds({"raise_over": "90 min", "clear_under": None, "now_over": "2"}, "h")

    assert bounds == {"raise_over": 1.5}
    assert [one.path for one in wrong] == [("now_over",)]


@pytest.mark.parametrize(
    "written",
    [
        {"raise_over": "14 h", "clear_under": "13 h", "now_over": "18 h"},
        {"raise_over": "14 h", "clear_under": "14 h"},
        {"raise_under": "3 h", "clear_over": "4 h", "now_under": "1 h"},
    ],
)
def test_bounds_that_fit_are_not_spoken_of(written: dict[str, Any]) -> None:
    """Clearing at the raising bound itself is what is usual."""
    assert faults(**written) == []


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ({}, "raise_over: is missing"),
        ({"raise_over": "14 h", "raise_under": "3 h"}, "not both"),
        (
            {"raise_over": "14 h", "clear_over": "13 h"},
            "goes with raise_under; with raise_over write clear_under",
        ),
        ({"raise_under": "3 h", "now_over": "4 h"}, "with raise_under write now_under"),
        ({"raise_over": "14 h", "clear_under": "15 h"}, "15 h is past raise_over 14 h"),
        ({"raise_under": "3 h", "clear_over": "2 h"}, "must end at or over that bound"),
        ({"raise_over": "14 h", "now_over": "14 h"}, "14 h must be over raise_over 14 h"),
        ({"raise_under": "3 h", "now_under": "4 h"}, "4 h must be under raise_under 3 h"),
    ],
)
def test_bounds_that_do_not_fit_are_told_with_what_would(written: dict[str, Any], said: str) -> None:
    """One sentence each."""
    (fault,) = faults(**written)

    assert said in fault


def test_a_misspelt_bound_is_told_once() -> None:
    """Its key is unknown, which is told already; that the bound is missing is not said besides."""
    assert faults(raise_ovr="14 h") == []


def test_a_class_raises_the_way_its_rule_does() -> None:
    """Its other bounds fit its own raising bound, or the rule's where it has none."""
    rule = {"raise_over": 14.0}

    def told(**written: Any) -> list[str]:
        return [one.message for one in check_class_bounds(written, read_bounds(written, "h")[0], rule, "h")]

    assert told(raise_over="26 h", clear_under="25 h") == []
    assert told(clear_under="13 h") == []
    assert "the rule has raise_over" in told(raise_under="3 h")[0]
    assert "is past raise_over 14 h" in told(clear_under="25 h")[0]
    assert told(now_over="18 h", raise_over="20 h") == [
        "18 h must be over raise_over 20 h, or nothing is left to press"
    ]


def test_a_duration_is_whole_seconds_and_never_is_none() -> None:
    """Where that word makes sense."""
    assert read_duration({"lasting": "1.5 min"}, "lasting") == (90, [])
    assert read_duration({}, "lasting") == (0, [])
    assert read_duration({"remind_every": "never"}, "remind_every", never=True) == (0, [])
    assert read_duration({"lasting": "never"}, "lasting")[1][0].path == ("lasting",)
