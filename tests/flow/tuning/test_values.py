"""Which values are tried, as a rule's file would have them."""

from __future__ import annotations

from typing import Any

import pytest

from sentinel.flow.rules import Rule, load_rules
from sentinel.flow.tuning.values import around, combined, fitted, in_range, own

RULES = """
- rule: late-cow
  measure: hours_since_milking
  raise_over: 14 h
  clear_under: 13 h
  now_over: 18 h
  urgency: round
  say: "{value}"
- rule: fails
  measure: failed_attachments
  per: box
  options: {within: 6 h}
  raise_over: 2 failures
  urgency: now
  say: "{value}"
- rule: aside
  measure: rows_set_aside
  raise_over: 0 rows
  urgency: round
  say: "{value}"
"""


def rule(name: str) -> Rule:
    """One of the rules."""
    found, problems = load_rules(RULES, "rules.yaml")
    assert problems == []
    return next(one for one in found if one.name == name)


def test_a_range_has_both_ends_and_even_steps() -> None:
    """In the measure's unit whatever the ends are written in; times of other keys in seconds."""
    assert [value for _, value in in_range(rule("late-cow"), "raise_over=600 min..12 h", 5)] == [
        "10 h", "10.5 h", "11 h", "11.5 h", "12 h",
    ]  # fmt: skip
    assert in_range(rule("late-cow"), "lasting = 10 min .. 20 min", 2) == [("lasting", "600 s"), ("lasting", "1200 s")]


def test_a_count_is_whole_and_comes_once() -> None:
    """Nine values between one and four failures are four."""
    assert [value for _, value in in_range(rule("fails"), "raise_over=1 failures..4 failures")] == [
        f"{n} failures" for n in (1, 2, 3, 4)
    ]


def test_around_its_own_bound_is_from_half_to_twice() -> None:
    """The bound itself is in the middle."""
    values = [value for _, value in around(rule("late-cow"), 5)]

    assert values == ["7 h", "9.899 h", "14 h", "19.8 h", "28 h"]
    with pytest.raises(ValueError, match="say what to try"):
        around(rule("aside"))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("raise_over", "KEY=FROM..TO"),
        ("raise_over=10 h", "KEY=FROM..TO"),
        ("raise_over=18 h..10 h", "from a lower to a higher"),
        ("raise_over=10..18 h", "needs its unit"),
        ("say=a..b", "cannot be tried"),
        ("options.within=1 h..2 h", "cannot be tried"),
        ("options.lasting=1 h..2 h", "cannot be tried"),
        ("classes.0.say=1 h..2 h", "cannot be tried"),
    ],
)
def test_what_is_no_range_is_refused_with_what_would_be_right(text: str, said: str) -> None:
    """In a sentence."""
    with pytest.raises(ValueError, match=said):
        in_range(rule("late-cow"), text)


def test_every_value_with_every_other() -> None:
    """So many that they take hours are refused."""
    assert combined([[("a", "1"), ("a", "2")], [("b", "3")]]) == [
        (("a", "1"), ("b", "3")),
        (("a", "2"), ("b", "3")),
    ]
    with pytest.raises(ValueError, match="at most"):
        combined([[("a", str(n)) for n in range(100)]] * 2)


@pytest.mark.parametrize(
    ("value", "along", "changed"),
    [
        ("15 h", (), {"raise_over": 15, "clear_under": 13, "now_over": 18}),
        ("7 h", (("clear_under", "6.5 h"),), {"raise_over": 7, "clear_under": 6.5, "now_over": 18}),
        ("28 h", (("now_over", "36 h"),), {"raise_over": 28, "clear_under": 13, "now_over": 36}),
    ],
)
def test_what_no_longer_fits_moves_along(value: str, along: Any, changed: dict[str, float]) -> None:
    """By the same factor, and only what must."""
    settings, found, why = fitted(rule("late-cow"), (("raise_over", value),))

    assert (settings, why) == ((("raise_over", value), *along), "")
    assert found is not None
    assert {key: getattr(found, key) for key in changed} == changed


def test_what_is_tried_itself_does_not_move() -> None:
    """It does not fit, and why."""
    settings, found, why = fitted(rule("late-cow"), (("raise_over", "20 h"), ("now_over", "18 h")))

    assert found is None
    assert "now_over" in why
    assert settings == (("raise_over", "20 h"), ("now_over", "18 h"))


def test_what_a_rule_says_itself() -> None:
    """In the unit of the values that are tried, times in seconds; nothing if it says nothing."""
    assert [own(rule("late-cow"), key) for key in ("raise_over", "lasting", "raise_under")] == [14, 0, None]
