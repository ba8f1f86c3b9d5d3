"""The periods over which the tank's tests are averaged: months by the calendar."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sentinel.flow.measures.tank.periods import months_before


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
