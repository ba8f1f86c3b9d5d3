"""Which rows a `where` picks, and the bounds that their class has."""

from __future__ import annotations

import numpy as np

from sentinel.flow.evaluation.rule_bounds import bounds_at, picks
from sentinel.flow.rules import Rule, RuleClass


def test_an_unknown_attribute_excludes_nobody_from_a_rule_and_puts_nobody_into_a_class() -> None:
    """A farm without a herd list hears of its late cows, by the rule's ordinary bound."""
    columns = {"status": np.array(["milking", "dry", None, "milking"], dtype=object)}
    assert picks({"status": ("milking",)}, columns, 4, if_missing=True).tolist() == [True, False, True, True]
    assert picks({"status": ("milking",)}, columns, 4, if_missing=False).tolist() == [True, False, False, True]
    assert picks({"group": ("a",)}, columns, 2, if_missing=True).tolist() == [True, True]


def test_numbers_and_words_are_compared_as_what_they_are() -> None:
    """`lactation: 1` is the number one, and a group called 1 is not."""
    columns = {
        "lactation": np.array([1.0, 2.0, np.nan], dtype=object),
        "group": np.array(["1", "2", None], dtype=object),
    }
    assert picks({"lactation": (1.0,)}, columns, 3, False).tolist() == [True, False, False]
    assert picks({"group": ("1",)}, columns, 3, False).tolist() == [True, False, False]
    assert picks({"group": (1.0,)}, columns, 3, False).tolist() == [False] * 3


def test_the_first_class_that_fits_gives_the_bounds() -> None:
    """What it leaves out comes from the rule, but no clearing or pressing bound that was meant for another bound."""
    given = Rule(
        name="r", measure="m", per="cow", raise_over=14, clear_under=13, now_over=18, lasting_s=60, urgency="round",
        classes=(
            RuleClass(where={"group": ("a",)}, raise_over=26, now_over=30),
            RuleClass(where={"group": ("a", "b")}, urgency="now"),
        ),
    )  # fmt: skip
    columns = {"group": np.array(["a", "b", "c", None], dtype=object)}
    found = bounds_at(given, columns, 4)
    assert found.raise_past.tolist() == [26, 14, 14, 14]
    assert found.now_past.tolist() == [30, 18, 18, 18]
    assert [None if np.isnan(v) else v for v in found.clear_within] == [None, 13, 13, 13]
    assert found.urgent.tolist() == ["round", "now", "round", "round"]
    assert found.lasting_s.tolist() == [60] * 4
