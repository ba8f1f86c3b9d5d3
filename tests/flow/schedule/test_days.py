"""Days on the farm's calendar: when each begins, also where the clock is put forward or back."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from text_tables import moment, moment_text

from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.schedule.days import date_of, day_of, days_between

BERLIN = "Europe/Berlin"


def test_a_day_begins_at_the_farms_midnight() -> None:
    """In summer Berlin's Tuesday begins on Monday at 22:00 UTC."""
    assert moment_text(day_of(moment("21:59:59"), BERLIN)) == "-1d22:00"
    assert moment_text(day_of(moment("22:00"), BERLIN)) == "22:00"
    assert date_of(moment("21:59:59"), BERLIN) == date(2024, 6, 3)
    assert date_of(moment("22:00"), BERLIN) == date(2024, 6, 4)


# The days on which the clock changes in 2026 by the IANA time zone database: 29 March and 25 October.
@pytest.mark.parametrize(("day", "hours"), [(1_774_738_800, 23), (1_792_879_200, 25), (1_775_000_000, 24)])
def test_a_day_of_a_clock_change_is_an_hour_shorter_or_longer(day: int, hours: int) -> None:
    """The next one begins so many hours later."""
    begins = day_of(day, BERLIN)
    (following,) = days_between(begins, begins + DAY_S + HOUR_S, BERLIN)

    assert following - begins == hours * HOUR_S


def test_the_begin_of_a_stretch_is_out_and_its_end_is_in() -> None:
    """So stretches side by side have each day once."""
    assert days_between(moment("00:00"), moment("2d00:00"), "UTC") == [moment("1d00:00"), moment("2d00:00")]
    assert days_between(moment("06:00"), moment("06:00"), "UTC") == []


@given(st.integers(0, 2_000_000_000), st.integers(0, 40 * DAY_S), st.sampled_from(["UTC", BERLIN, "America/St_Johns"]))
def test_each_day_between_begins_one_and_is_its_own_begin(start: int, length: int, zone: str) -> None:
    """Whatever the zone: in order, each once, and the one after the last is later than the end."""
    found = days_between(start, start + length, zone)

    assert found == sorted({*found})
    assert all(start < day <= start + length and day_of(day, zone) == day for day in found)
    assert day_of(start + length, zone) == (found[-1] if found else day_of(start, zone))
