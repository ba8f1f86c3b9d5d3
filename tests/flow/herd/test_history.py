"""What is wanted of the past."""

from __future__ import annotations

from datetime import datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

from sentinel.flow.herd.history import cells_from, months_back, year_before, years_back
from sentinel.flow.model import DAY_S

ZONE = "Europe/Berlin"


def at(text: str) -> int:
    """UTC seconds of a wall-clock time in the farm's zone."""
    return int(datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(ZONE)).timestamp())


def clock(moment: int) -> str:
    """A moment on the farm's clock."""
    return f"{datetime.fromtimestamp(moment, ZoneInfo(ZONE)):%Y-%m-%d %H:%M}"


def test_months_begin_at_midnight_of_the_farm_in_winter_and_in_summer() -> None:
    """Each ends where the next begins, over both clock changes and a new year."""
    months = months_back(at("2026-05-04T08:00"), ZONE, 8)

    assert [clock(begins) for begins, _ in months] == [
        f"{month}-01 00:00"
        for month in ("2025-10", "2025-11", "2025-12", "2026-01", "2026-02", "2026-03", "2026-04", "2026-05")
    ]
    assert all(ends == begins for (_, ends), (begins, _) in pairwise(months))
    assert clock(months_back(at("2026-01-31T23:30"), ZONE, 1)[0][1]) == "2026-02-01 00:00"


def test_cells_are_told_of_this_year_and_two_before_with_three_months_for_the_first_mean() -> None:
    """Also on the night of a new year."""
    assert [clock(begins) for begins, _ in years_back(at("2026-01-01T00:10"), ZONE)] == [
        "2024-01-01 00:00", "2025-01-01 00:00", "2026-01-01 00:00",
    ]  # fmt: skip
    assert at("2023-09-01T00:00") < cells_from(at("2026-01-01T00:10"), ZONE) < at("2023-10-01T00:00")


def test_a_year_before_is_the_same_weekday_and_moves_by_the_hour() -> None:
    """So that it is worked out once an hour at most."""
    begins, ends = year_before(at("2026-05-04T08:59"))

    assert (clock(ends), ends - begins) == ("2025-05-05 08:00", 14 * DAY_S)
    assert year_before(at("2026-05-04T08:01")) == (begins, ends)
