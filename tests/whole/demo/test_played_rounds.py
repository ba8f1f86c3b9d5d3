"""The played people's rounds of the day."""

from __future__ import annotations

import pytest

from sentinel.demo.people import rounds


def test_the_rounds_follow_the_farms_clock() -> None:
    """Twice a day at the farm's own hours, also when the clocks change in between."""
    start = 1_774_656_000  # 2026-03-28 00:00 UTC, a day before Dublin's clocks go forward

    moments = list(rounds(start, start + 2 * 86_400, "Europe/Dublin"))

    assert [(m - start) / 3600 for m in moments] == pytest.approx(
        [6 + 50 / 60, 16 + 50 / 60, 29 + 50 / 60, 39 + 50 / 60]
    )
