"""Lengths of time in a feed map."""

from datetime import datetime

import pytest

from sentinel.flow.feeds.durations import Span, seconds_of


@pytest.mark.parametrize(
    ("written", "seconds"), [("2 h", 7200), ("90min", 5400), ("1 d", 86400), ("0.5 d", 43200), (" 6 h ", 21600)]
)
def test_a_length_of_time_has_its_unit(written: str, seconds: int) -> None:
    """Minutes, hours or days."""
    assert seconds_of(written) == seconds


@pytest.mark.parametrize("written", [2, "2", "2 weeks", "1,5 h", "0 h", "-2 h", "400 d", True, None, "1e3 h"])
def test_anything_else_is_refused(written: object) -> None:
    """Bare numbers above all."""
    with pytest.raises(ValueError, match=r"length of time|between"):
        seconds_of(written)


def test_whole_days_are_those_of_the_calendar() -> None:
    """Half a day is twelve hours."""
    assert Span.of("1 d").is_days and not Span.of("1.5 d").is_days and not Span.of("24 h").is_days
    assert Span.of("1 d").after(datetime(2026, 3, 28)) == datetime(2026, 3, 29)  # noqa: DTZ001 (on the wall)
