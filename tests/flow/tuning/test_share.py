"""How sure a share is that was counted."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from sentinel.flow.tuning.share import Share, answers_wanted


@given(st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_the_interval_is_wilsons(counted: tuple[int, int]) -> None:
    """As SciPy has it (`scipy.stats.binomtest`, method "wilson", SciPy's documentation)."""
    part, whole = counted
    ends = binomtest(part, whole).proportion_ci(0.95, method="wilson")

    assert Share(part, whole).interval == pytest.approx((ends.low, ends.high), abs=1e-12)


def test_of_nothing_a_share_may_be_anything() -> None:
    """Neither nothing nor all of it."""
    assert Share(0, 0).interval == (0.0, 1.0)
    assert math.isnan(Share(0, 0).value)


@pytest.mark.parametrize("at_most", [0.5, 0.2, 0.1, 0.05])
def test_answers_wanted_are_no_more_than_needed(at_most: float) -> None:
    """With one fewer the interval still goes beyond."""
    wanted = answers_wanted(at_most)

    assert Share(0, wanted).interval[1] <= at_most < Share(0, wanted - 1).interval[1]
