"""A stay of which an export gives only when it began and ended: read from the bytes, and never guessed."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import UTC, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

import openpyxl
import pytest
from flow.feeds.mapped import LATE, batch_of, cells, feed_of, problems_of
from hypothesis import given, settings
from hypothesis import strategies as st

from sentinel.flow.feeds import read_export
from sentinel.flow.model import Export
from sentinel.flow.tables import VISITS

ONE_LINE = """\
feed: visits
files: "*"
delimiter: ";"
zone: Europe/Berlin
times: "%d.%m.%Y %H:%M:%S"
tables:
  visits:
    cow: Cow
    start: {columns: [Day, In]}
    duration_s: {end: Out}
"""
TWO_MOMENTS = ONE_LINE.replace("{columns: [Day, In]}", "In")


BEGIN = int(datetime(2026, 10, 24, 12, tzinfo=UTC).timestamp())
"""Half a day before the clock is put back."""


def stays(feed: str, lines: str) -> list[Any]:
    """The lengths of the stays, by cow; None where one is missing or could not be read."""
    batch = batch_of(feed, lines)
    return [
        row[part.columns.index("duration_s")] if "duration_s" in part.columns else None
        for part in batch.rows
        for row in part.values
    ]


def why(feed: str, lines: str) -> list[str]:
    """Why cells could not be read."""
    return [str(aside.reason) for aside in batch_of(feed, lines).set_aside]


@pytest.mark.parametrize(
    ("begin", "end", "length_s"),
    [
        ("06:00:00", "06:08:10", 490.0),
        ("06:00:00", "06:08", 480.0),
        ("23:58:00", "00:04:30", 390.0),
        ("06:00:00", "06:00:00", 0.0),
        ("06:00:00", "", None),
        ("06:00:00", "6:08:10 am", 490.0),
        ("18:00:00", "6:08:10 PM", 490.0),
    ],
)
def test_the_end_may_be_a_time_of_day(begin: str, end: str, length_s: float | None) -> None:
    """It is of the day of the beginning, or of the next one where it is before it."""
    lines = f"Cow;Day;In;Out\n1;10.05.2026;{begin};{end}\n"

    assert stays(ONE_LINE, lines) == [length_s]
    assert why(ONE_LINE, lines) == []


def test_an_end_before_its_beginning_costs_its_cell_and_says_why() -> None:
    """The visit stands without it: a stay of nearly a day is no visit over midnight."""
    lines = "Cow;Day;In;Out\n1;10.05.2026;08:10:00;08:05:00\n"

    assert stays(ONE_LINE, lines) == [None]
    assert why(ONE_LINE, lines) == ['"Out": "08:05:00" is before "10.05.2026 08:10:00", at which it began']


@pytest.mark.parametrize("end", ["8h", "25:00", "08:61", "13:00 pm", "x" * 200])
def test_what_is_no_time_costs_its_cell(end: str) -> None:
    """The row is a row; the reason names the column."""
    lines = f"Cow;Day;In;Out\n1;10.05.2026;08:10:00;{end}\n"

    assert stays(ONE_LINE, lines) == [None]
    [reason] = why(ONE_LINE, lines)
    assert reason.startswith('"Out": ')


def test_the_end_may_be_a_moment_or_have_a_format_of_its_own() -> None:
    """A moment after midnight needs no guess; a moment before the beginning is told; 14.05 may be a time of day."""
    lines = "Cow;In;Out\n1;10.05.2026 23:58:00;11.05.2026 00:04:00\n2;10.05.2026 08:10:00;10.05.2026 08:05:00\n"
    dotted = TWO_MOMENTS.replace("{end: Out}", '{end: Out, format: "%H.%M"}')

    assert stays(TWO_MOMENTS, lines) == [360.0, None]
    assert why(TWO_MOMENTS, lines) == [
        '"Out": "10.05.2026 08:05:00" is before "10.05.2026 08:10:00", at which it began'
    ]
    assert stays(dotted, "Cow;In;Out\n1;10.05.2026 13:58:00;14.05\n2;10.05.2026 13:58:00;14:05\n") == [420.0, None]


def test_a_beginning_of_its_own_may_be_named() -> None:
    """Such as of the time to attach: from the first try to the last cup, each a day and a time."""
    feed = TWO_MOMENTS.replace("duration_s: {end: Out}", "attach_s: {begin: [Day, Try], end: [Day, On]}")
    batch = batch_of(feed, "Cow;In;Day;Try;On\n1;10.05.2026 06:00:00;10.05.2026;06:01:00;06:02:05\n")

    assert [row[-1] for part in batch.rows for row in part.values] == [65.0]


def written(visits: Sequence[tuple[int, int]], form_of_end: str = "%d.%m.%Y %H:%M:%S") -> str:
    """A file of visits: when each began, in s after `BEGIN`, and for how long, as the farm's clock has them."""
    zone = ZoneInfo("Europe/Berlin")
    lines = "Cow;In;Out\n"
    for cow, (begin, length) in enumerate(visits):
        begins = datetime.fromtimestamp(BEGIN + begin, zone)
        ends = datetime.fromtimestamp(BEGIN + begin + length, zone)
        lines += f"{cow};{begins:%d.%m.%Y %H:%M:%S};{ends:{form_of_end}}\n"
    return lines


@pytest.mark.parametrize("form_of_end", ["%d.%m.%Y %H:%M:%S", "%H:%M:%S"])
def test_in_the_hour_that_is_repeated_the_order_of_the_file_tells_or_nothing_does(form_of_end: str) -> None:
    """A herd that comes every five minutes all night shows which pass each stay ended in; a row alone shows nothing."""
    night = [(8 * 3600 + 300 * n, 200 + 20 * n) for n in range(72)]

    assert stays(TWO_MOMENTS, written(night, form_of_end)) == [length for _, length in night]
    # Nothing tells whether she stayed for nine minutes or for sixty-nine.
    alone = written([(12 * 3600 - 5 * 60, 540)], form_of_end)
    assert "01:55:00" in alone and "02:04:00" in alone
    assert stays(TWO_MOMENTS, alone) == [None]
    [reason] = why(TWO_MOMENTS, alone)
    assert reason.endswith("the clock was put back, and nothing says how long it was")


def test_in_the_hour_that_is_skipped_the_stay_is_as_long_as_it_was() -> None:
    """From 01:58 to 03:05 are seven minutes in the night in which the clock is put ahead."""
    assert stays(ONE_LINE, "Cow;Day;In;Out\n1;29.03.2026;01:58:00;03:05:00\n") == [420.0]


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 36 * 3600), st.integers(20, 3000)), min_size=1, max_size=25),
    st.booleans(),
)
def test_a_stay_is_read_as_it_was_or_not_at_all(visits: list[tuple[int, int]], of_day: bool) -> None:
    """Whatever the night, in a file in the order of time, and whether the end is a moment or a time of day."""
    visits = sorted(visits)
    batch = batch_of(TWO_MOMENTS, written(visits, "%H:%M:%S") if of_day else written(visits))
    for part in batch.rows:
        for row in part.values:
            begin, length = visits[int(row[0])]
            assert row[part.columns.index("start")] == BEGIN + begin
            assert "duration_s" not in part.columns or row[part.columns.index("duration_s")] == length


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("duration_s: {end: Out}", "attempts: {end: Out}", "only a length of time has a beginning and an end"),
        ("{end: Out}", "{end: Out, unit: min}", "two moments need no unit"),
        ("{end: Out}", "{begin: In}", "exactly one of"),
        ("{end: Out}", "{column: Out, begin: In}", "begin belongs to end"),
        ("{end: Out}", '{end: Out, format: "%Q"}', "is not a time format"),
        ("{end: Out}", "{end: [a, b, c]}", "at most 2"),
    ],
)
def test_a_map_that_means_no_stay_is_told(old: str, new: str, said: str) -> None:
    """With what would be right."""
    assert any(said in one for one in problems_of(ONE_LINE.replace(old, new)))


def test_a_stay_is_a_figure_of_visits_in_seconds() -> None:
    """The columns that two moments may fill are those in s."""
    assert [column.name for column in VISITS.columns if column.unit == "s"] == ["duration_s", "attach_s"]


def test_a_spreadsheets_own_times_are_read() -> None:
    """A moment and a time of day, as its cells hold them, to the second."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["Cow", "In", "Out"])
    sheet.append(["1", datetime(2026, 5, 10, 23, 58), time(0, 4, 30)])  # noqa: DTZ001
    sheet.append(["2", datetime(2026, 5, 10, 6, 0), datetime(2026, 5, 10, 6, 7, 59, 999900)])  # noqa: DTZ001
    sheet.append(["3", datetime(2026, 5, 10, 6, 0), time(6, 7, 59, 999900)])  # noqa: DTZ001
    content = io.BytesIO()
    book.save(content)
    feed = feed_of(TWO_MOMENTS.replace('delimiter: ";"', "form: xlsx"))
    batch = read_export(feed, Export("x.xlsx", content.getvalue(), LATE), "UTC")

    assert cells(batch, "duration_s") == [390.0, 480.0, 480.0]
