"""One figure against those before it."""

from __future__ import annotations

import pytest

from sentinel.flow.herd.compared import compared, mean

DAYS = [2.4, 2.5, 2.6, 2.7, 2.8, 2.9]


@pytest.mark.parametrize(
    ("now", "more_is_better", "verdict"),
    [
        (3.0, True, "better"),
        (2.85, True, "better"),
        (2.75, True, "as-usual"),
        (2.45, True, "worse"),
        (2.3, False, "better"),
        (3.0, False, "worse"),
        (3.0, None, ""),
        (None, True, ""),
    ],
)
def test_better_or_worse_is_past_all_days_but_one(now: float | None, more_is_better: bool | None, verdict: str) -> None:
    """In the direction that is good; where neither is, nothing is said."""
    assert compared(now, DAYS, [], None, more_is_better).verdict == verdict


def test_with_few_days_or_days_that_are_all_alike_nothing_is_better() -> None:
    """Four days are too few, and what is as on every day is as usual."""
    assert compared(9.0, DAYS[:4], [], None, True).verdict == ""
    assert compared(9.0, [*DAYS[:4], None], [], None, True).verdict == ""
    assert compared(0.0, [0.0] * 14, [], None, False).verdict == "as-usual"


def test_what_is_not_known_of_some_days_is_left_out_of_the_mean() -> None:
    """And no days at all have none."""
    assert (mean([2.0, None, 4.0]), mean([None]), mean([])) == (3.0, None, None)
