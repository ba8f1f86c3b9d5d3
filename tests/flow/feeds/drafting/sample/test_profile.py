"""What a column holds: figures, moments, days, times of day, spans or words."""

from __future__ import annotations

import pytest

from sentinel.flow.feeds.drafting.sample.profile import Profile, Source, profiled
from sentinel.flow.feeds.drafting.sample.sniff import Sample


def of(*cells: object, decimal: str = ".", missing: tuple[str, ...] = ()) -> Profile:
    """The profile of a column with these cells."""
    return profiled(Source("x", cells), Sample("delimited", decimal=decimal, missing=missing))


@pytest.mark.parametrize(
    ("cells", "decimal", "shape"),
    [
        (("06.30", "07.10", "16.40", "23.55"), ",", "clock"),
        (("06.30.10", "07.10.55", "16.40.01", "23.55.30"), ",", "clock"),
        (("06.30", "07.10", "16.40", "23.55"), ".", "number"),
        (("18.11.26", "19.11.26", "20.11.26", "21.11.26"), ",", "day"),
        (("3.45", "2.10", "2.59", "4.00"), ",", "text"),
    ],
)
def test_times_of_day_may_be_written_with_points(cells: tuple[str, ...], decimal: str, shape: str) -> None:
    """As in the north and in Italy; two parts are a figure where the mark is a point, and days have a month."""
    assert of(*cells, decimal=decimal).shape == shape


@pytest.mark.parametrize(
    ("cells", "shape"),
    [
        (("12.4", "9.5", ""), "number"),
        (("13.04.2026 06:30", "13.04.2026 06:40"), "moment"),
        (("13.04.2026", "14.04.2026"), "day"),
        (("1777000000", "1777000600"), "moment"),
        (("20260413063000", "20260413064000"), "moment"),
        (("06:30", "16:40"), "clock"),
        (("7:12", "3:02"), "span"),
        (("0:07:12", "0:03:02"), "span"),
        (("06:30 PM", "01:10 AM"), "clock"),
        (("9:30 am", "12:00 am"), "clock"),
        (("07:33", "12:10", "01:00", "09:41", "05:15", "14:02"), "span"),
        (("01:02", "01:05", "01:40", "02:15", "02:16", "04:50"), "clock"),
        (("00:05", "06:10", "23:59", "00:20", "07:15", "18:30"), "clock"),
        (("a", "7"), "text"),
        (("", ""), "empty"),
    ],
)
def test_the_shape_is_told_by_the_cells(cells: tuple[str, ...], shape: str) -> None:
    """Durations and times of day are written alike: a clock has two digits, and its hours go on into the day."""
    assert of(*cells).shape == shape


def test_marks_for_missing_are_no_texts() -> None:
    """A dash among figures leaves them figures."""
    column = of("1,5", "-", "2,5", decimal=",", missing=("-",))

    assert (column.shape, list(column.known), column.filled) == ("number", [1.5, 2.5], ["1,5", "2,5"])


def test_the_order_of_day_and_month_is_the_one_that_keeps_an_export_together() -> None:
    """Twelve days on end, not the same day of twelve months; one moment alone can be either."""
    days = [f"{day:02d}/04/2026 06:30" for day in range(1, 13)]

    assert (of(*days).form, of(*days).plain_order) == ("%d/%m/%Y %H:%M", True)
    assert not of("03/04/2026 06:30").plain_order


def test_midnight_and_noon_of_a_clock_of_twelve_hours() -> None:
    """12:00 am begins the day, 12:30 pm is after noon."""
    assert list(of("12:00 am", "1:00 am", "12:30 pm", "11:00 pm").known) == [0, 60, 750, 1380]


def test_how_often_a_text_comes_is_counted_within_each_file() -> None:
    """A list of cows has each of them once, in every file."""
    cells = ("7", "9", "11") * 4
    column = profiled(Source("x", cells), Sample("delimited", files=(3, 3, 3, 3)))

    assert column.each_in_a_file == 1.0
    assert profiled(Source("x", cells), Sample("delimited")).each_in_a_file == 4.0
