"""The milk that waits in cows to be brought."""

from __future__ import annotations

import pytest
from text_tables import moment, moment_text
from view_farm import rows

from sentinel.flow.schedule.milk_waiting import NOT_KNOWN, MilkWaiting, milk_waiting

HEAD = "cow  start  box  outcome  milk_kg\n"


def milked(cow: str, every_h: int, kg: float, last: str, times: int = 8) -> str:
    """A cow milked at even intervals, of whom every milking gave the same."""
    end = moment(last)
    return "".join(
        f"{cow}  {moment_text(end - n * every_h * 3600)}  1  milked  {kg}\n" for n in range(times - 1, -1, -1)
    )


def test_the_milk_is_her_own_kilos_an_hour_times_the_hours() -> None:
    """8 kg every 8 h and 15 h since: 15 kg; 12 kg every 8 h and 12 h since: 18 kg, which comes first."""
    visits = HEAD + milked("7", 8, 8, "20:00") + milked("9", 8, 12, "23:00")
    found = milk_waiting(rows(known="1d11:00", visits=visits), ["7", "9"], moment("1d12:00"))

    assert (found["7"].kg, found["7"].hours) == (pytest.approx(15), 15)
    assert (found["9"].kg, found["9"].hours) == (pytest.approx(18), 12)
    assert sorted(found, key=lambda cow: found[cow].order) == ["9", "7"]


def test_hours_count_to_where_the_visits_are_known_and_from_a_whole_milking() -> None:
    """A visit in which she was not attached leaves the milk where it was."""
    visits = HEAD + milked("7", 8, 8, "20:00") + "7  1d03:00  1  failed  -\n"
    found = milk_waiting(rows(known="1d08:00", visits=visits), ["7"], moment("1d12:00"))

    assert (found["7"].kg, found["7"].hours) == (pytest.approx(12), 12)


def test_a_cow_of_whom_too_little_is_known_has_hours_or_nothing() -> None:
    """She comes after those of whom it is known, the longest unmilked first."""
    visits = HEAD + "7  1d01:00  1  milked  -\n" + milked("9", 8, 8, "1d10:00")
    found = milk_waiting(rows(known="1d12:00", visits=visits), ["7", "9", "11"], moment("1d12:00"))

    assert (found["7"], found["11"]) == (MilkWaiting(None, 11), NOT_KNOWN)
    assert sorted(found, key=lambda cow: found[cow].order) == ["9", "7", "11"]
    assert milk_waiting(rows(), [], moment("1d12:00")) == {}
