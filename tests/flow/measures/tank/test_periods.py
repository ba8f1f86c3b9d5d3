"""The periods over which the tank's tests are averaged: months by the calendar."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sentinel.flow.measures.base.ordered import Ordered
from sentinel.flow.measures.tank.periods import (
    Past,
    Period,
    inside_period,
    log_mean,
    months_before,
    past_of,
    rounded,
    too_few,
)


@pytest.mark.parametrize(
    ("day", "months", "before"),
    [
        ("2026-05-31", 3, "2026-02-28"),
        ("2024-05-31", 3, "2024-02-29"),
        ("2026-01-15", 2, "2025-11-15"),
        ("2026-03-01", 3, "2025-12-01"),
    ],
)
def test_months_before(day: str, months: int, before: str) -> None:
    """Months are counted by the calendar; where the month has no such day its last one is taken."""
    here, there = (int(datetime.fromisoformat(d).replace(tzinfo=UTC).timestamp()) for d in (day, before))

    assert months_before(np.array([here]), months)[0] == there


@settings(max_examples=60, deadline=None)
@given(local=st.integers(0, 4_000_000_000), months=st.integers(1, 3))
def test_months_before_is_the_calendars(local: int, months: int) -> None:
    """Against pandas' own calendar."""
    expected = pd.Timestamp(local, unit="s") - pd.DateOffset(months=months)

    assert months_before(np.array([local]), months)[0] == expected.timestamp()


def past(*dated: str, counts: tuple[float, ...] = ()) -> tuple[Past, np.ndarray]:
    """Tests of one tank on these days (UTC), and their months."""
    at = np.array([int(datetime.fromisoformat(day).replace(tzinfo=UTC).timestamp()) for day in dated], np.int64)
    zero = np.zeros(len(at), np.int64)
    rows = Ordered(np.array(["tank:1"], dtype=object), zero, at, np.arange(len(at)))
    return past_of(rows, np.log(counts or (100.0,) * len(at)), np.zeros(12), "UTC")


def test_a_period_is_its_months_back_to_the_day_which_itself_is_out() -> None:
    """By calendar months it is this one so far and the ones before."""
    found, month = past("2026-02-12", "2026-02-13", "2026-03-01", "2026-05-12")
    to_the_day = inside_period(found, found.local[:, 0], month, Period(3, 1, False))[-1]
    by_month = inside_period(found, found.local[:, 0], month, Period(3, 1, True))[-1]

    assert to_the_day.tolist() == [True, True, True, False]  # the newest test first
    assert by_month.tolist() == [True, True, False, False]


@pytest.mark.parametrize(
    ("days", "why"),
    [
        (("2026-03-20", "2026-04-10", "2026-05-12"), ""),
        (("2026-05-12",), "only 1 test in 3 months, and the mean needs 3"),
        (("2026-05-10", "2026-05-11", "2026-05-12"), "3 tests in 3 months, but none in one of the months"),
    ],
)
def test_a_mean_needs_its_tests_in_every_whole_month(days: tuple[str, ...], why: str) -> None:
    """Three tests in one week are no quarter of a year."""
    found, month = past(*days)
    period = Period(3, 1, False)
    _, number = log_mean(found, found.local[:, 0], month, period)

    assert too_few(found, month, number, period)[-1] == why


def test_tests_of_a_month_with_many_count_less_each_by_month() -> None:
    """Of 50 in April and three times 200 in May: 141 of all alike, 100 of the two months."""
    found, month = past("2026-04-10", "2026-05-02", "2026-05-07", "2026-05-12", counts=(50, 200, 200, 200))
    alike, number = log_mean(found, found.local[:, 0], month, Period(2, 1, False))
    monthly, _ = log_mean(found, found.local[:, 0], month, Period(2, 1, True))

    assert number[-1] == 4
    assert rounded(alike)[-1] == pytest.approx((50 * 200**3) ** 0.25, abs=1e-6)
    assert rounded(monthly)[-1] == 100.0
