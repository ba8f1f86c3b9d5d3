"""Naive times become UTC, also in the hour that a clock change repeats or skips."""

from collections.abc import Sequence
from datetime import UTC, datetime

import pytest

from sentinel.flow.feeds.night import Written, passes
from sentinel.flow.feeds.times import LocalTimes, join_date_and_time, local_seconds, read_time, time_column

# Europe/Dublin: 2026-03-29 01:00 UTC the clock goes from 01:00 to 02:00, 2026-10-25 01:00 UTC from 02:00 to 01:00
# (EU Directive 2000/84/EC: the last Sundays of March and October, at 01:00 UTC).


def utc(times: Sequence[str], repeated: str = "order", skipped: str = "shift") -> list[str]:
    """Local times of a day in Dublin, in file order, as UTC times of day; `aside` where they are set aside."""
    local = LocalTimes("Europe/Dublin", repeated, skipped)
    column = time_column("Start", read_time("iso", frozenset()), local)
    local.listen = True
    column(times, {})
    local.pass_marks = iter(passes(local.heard, Written(0)))  # the order alone: a file is not from 1970
    faults: dict[int, str] = {}
    values = column(times, faults)
    return [
        "aside" if i in faults else f"{datetime.fromtimestamp(v, UTC):%H:%M}" if v is not None else "missing"
        for i, v in enumerate(values)
    ]


def october(times: str) -> list[str]:
    """Times of the night of the repeated hour."""
    return [f"2026-10-25 {t}" for t in times.split()]


def test_outside_the_changes_the_zone_decides() -> None:
    """An hour ahead in summer, none in winter."""
    assert utc(["2026-07-01 06:30", "2026-12-01 06:30"]) == ["05:30", "06:30"]


def test_the_order_of_the_file_tells_the_two_passes_apart() -> None:
    """A step back of more than half an hour begins the second pass; in a file that is else in order, any step back."""
    known = " ".join(f"00:{minute}" for minute in range(10, 60, 5))
    given = october(f"{known} 01:10 01:55 01:35 01:50 02:10")

    assert utc(given)[10:] == ["00:10", "00:55", "01:35", "01:50", "02:10"]


def test_a_row_that_stands_alone_may_be_of_either_pass_and_waits() -> None:
    """01:10 may be of the second pass and a quarter of an hour out of order, as nothing shows this file's order."""
    assert utc(october("00:50 01:10 01:55 01:05 01:20 02:10")) == ["23:50", "aside", "00:55", "01:05", "01:20", "02:10"]


def test_rows_of_several_boxes_may_be_out_of_order_by_less_than_half_an_hour() -> None:
    """Interleaved rows: small steps back are no second pass, and small steps forward do not end it. 01:40 and 01:59
    after a step back may be the last of the first pass, and wait.
    """
    given = october("01:10 01:04 01:35 01:20 01:58 01:41 01:06 01:02 01:40 01:22 01:59 01:45 02:03 01:59 02:20")

    assert utc(given) == [
        *("00:10", "00:04", "00:35", "00:20", "00:58", "00:41"),
        *("01:06", "01:02", "aside", "01:22", "aside", "01:45", "02:03", "01:59", "02:20"),
    ]


def test_a_file_that_runs_backwards_begins_with_the_second_pass() -> None:
    """Newest first: a step forward begins the first pass."""
    known = " ".join(f"00:{minute}" for minute in range(55, 5, -5))
    given = october(f"02:10 01:50 01:05 01:55 01:10 {known}")

    assert utc(given)[:5] == ["02:10", "01:50", "01:05", "00:55", "00:10"]


def test_what_the_order_cannot_tell_waits() -> None:
    """In either pass it would follow what stands before it, so neither is stored."""
    assert utc(october("00:50 01:30 02:10")) == ["23:50", "aside", "02:10"]


def test_a_small_step_back_may_be_two_boxes_or_the_second_pass_and_waits() -> None:
    """01:58 and then 01:35: as good as out of order by 23 minutes."""
    assert utc(october("00:50 01:58 01:35 02:10")) == ["23:50", "aside", "aside", "02:10"]


def test_a_file_in_no_order_of_time_tells_nothing() -> None:
    """Sorted by cow, say: a step back is no clock change there."""
    assert utc(october("00:20 01:50 03:00 01:10 00:40")) == ["23:20", "aside", "03:00", "aside", "23:40"]


@pytest.mark.parametrize(
    ("repeated", "expected"),
    [
        ("first", ["00:30", "00:10", "02:10"]),
        ("second", ["01:30", "01:10", "02:10"]),
        ("set_aside", ["aside", "aside", "02:10"]),
    ],
)
def test_the_other_policies_do_not_look_at_the_order(repeated: str, expected: list[str]) -> None:
    """Always the first pass, always the second, or set aside."""
    assert utc(october("01:30 01:10 02:10"), repeated) == expected


@pytest.mark.parametrize(("skipped", "expected"), [("shift", "01:30"), ("set_aside", "aside")])
def test_a_time_that_the_clock_skipped_is_shifted_or_set_aside(skipped: str, expected: str) -> None:
    """01:30 on the night of the skipped hour is read as if the clock had not been moved: 01:30 UTC, shown as 02:30."""
    given = ["2026-03-29 00:30", "2026-03-29 01:30", "2026-03-29 02:30"]

    assert utc(given, skipped=skipped) == ["00:30", expected, "01:30"]


def test_a_zone_in_the_text_wins() -> None:
    """Times that say their offset need no zone and no policy."""
    assert utc(["2026-10-25T01:30:00Z", "2026-10-25T01:30:00+01:00"], "set_aside") == ["01:30", "00:30"]


@pytest.mark.parametrize(
    ("form", "text", "expected"),
    [
        ("%d.%m.%Y %H:%M", "28.03.2026 06:30", "2026-03-28 06:30:00"),
        ("%d.%m.%Y %H:%M", " 8.3.2026 6:30 ", "2026-03-08 06:30:00"),
        ("%m/%d/%y %I:%M %p", "03/28/26 06:30 PM", "2026-03-28 18:30:00"),
        ("%Y%m%d%H%M%S", "20260328063015", "2026-03-28 06:30:15"),
        ("%d.%m.%y", "28.03.26", "2026-03-28 00:00:00"),
    ],
)
def test_formats_are_read_as_strptime_reads_them(form: str, text: str, expected: str) -> None:
    """The fast reader of numeric formats and the standard one agree."""
    assert str(read_time(form, frozenset())(text)) == expected
    assert str(datetime.strptime(text.strip(), form)) == expected  # noqa: DTZ007


@pytest.mark.parametrize(
    "text", ["31.02.2026 06:30", "28.03.2026", "28.03.2026 24:00", "28.3.026 06:30", "0", "x" * 99]
)
def test_what_is_no_time_is_told(text: str) -> None:
    """With the cell, and how one that fits reads."""
    with pytest.raises(ValueError, match=r"is not a time like 28\.03\.2026 06:30$"):
        read_time("%d.%m.%Y %H:%M", frozenset())(text)


def test_seconds_since_1970_are_understood() -> None:
    """`epoch_s` and `epoch_ms`, also as JSON numbers."""
    assert read_time("epoch_s", frozenset())(1774679400) == datetime(2026, 3, 28, 6, 30, tzinfo=UTC)
    assert read_time("epoch_ms", frozenset())("1774679400999") == datetime(2026, 3, 28, 6, 30, tzinfo=UTC)


def test_a_spreadsheets_date_and_time_are_joined() -> None:
    """A date cell and a time cell, of whatever type, make one moment."""
    day, clock = datetime(2026, 3, 28), datetime(1899, 12, 30, 6, 30).time()  # noqa: DTZ001

    assert join_date_and_time([day, clock]) == datetime(2026, 3, 28, 6, 30)  # noqa: DTZ001
    assert join_date_and_time([day, "06:30"]) == datetime(2026, 3, 28, 6, 30)  # noqa: DTZ001
    assert join_date_and_time([day, None]) is None


def test_a_moment_before_the_farm_is_no_moment() -> None:
    """1899 or year 1 stand for "none" in some exports: they are set aside, not stored."""
    assert utc(["0001-01-01 00:00", "1899-12-30 00:00"]) == ["aside", "aside"]


def test_local_seconds_count_from_1970() -> None:
    """One day and one second later."""
    assert local_seconds(datetime(1970, 1, 2, 0, 0, 1)) == 86401  # noqa: DTZ001
