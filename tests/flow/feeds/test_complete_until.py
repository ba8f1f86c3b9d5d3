"""A file's own stamp, and a span added to it: a file named by the day it holds is complete until that day's end."""

from __future__ import annotations

import pytest

from sentinel.flow.feeds import FeedMap, load_feed_map, read_export
from sentinel.flow.feeds.read import complete_until
from sentinel.flow.model import DAY_S, HOUR_S, Export
from sentinel.simulator.local_time import LocalTime

MAP = """\
feed: milkings
files: "milkings_*"
complete_until: {from: file_name, pattern: "milkings_%Y-%m-%d", plus: 1 d}
tables:
  cows: {cow: Cow, from: {stamp: true}}
"""
DUBLIN = LocalTime("Europe/Dublin")


def feed_of(text: str) -> FeedMap:
    """The map, which must be a good one."""
    feed, problems = load_feed_map(text, "m.yaml")
    assert problems == [] and feed is not None, problems
    return feed


def until(name: str, text: str = MAP, written: str = "2030-01-01 00:00") -> int | None:
    """Up to when a file of that name is complete."""
    return complete_until(feed_of(text), Export(name, b"", DUBLIN.at(written)), "Europe/Dublin")


@pytest.mark.parametrize(
    ("day", "hours"), [("2026-05-04", 24), ("2026-03-29", 23), ("2026-10-25", 25), ("2026-12-31", 24)]
)
def test_a_file_named_by_its_day_is_complete_until_the_day_is_over(day: str, hours: int) -> None:
    """On the farm's calendar: one day in spring has 23 hours, one in autumn 25."""
    assert until(f"milkings_{day}.csv") == DUBLIN.at(f"{day} 00:00") + hours * HOUR_S


@pytest.mark.parametrize(("plus", "hours"), [("2 h", 2), ("90 min", 1.5), ("24 h", 24), ("1.5 d", 36), ("2 d", 47)])
def test_other_spans_are_as_long_as_they_say(plus: str, hours: float) -> None:
    """In the night of spring too; whole days are days of the calendar."""
    begin = DUBLIN.at("2026-03-28 00:00")

    assert until("milkings_2026-03-28.csv", MAP.replace("1 d", plus)) == begin + round(hours * HOUR_S)


def test_a_file_written_before_its_day_is_over_promises_nothing() -> None:
    """It is known until its newest row then."""
    assert until("milkings_2026-05-04.csv", written="2026-05-04 10:02") is None
    assert until("milkings_2026-05-04.csv", written="2026-05-05 00:00") == DUBLIN.at("2026-05-05 00:00")
    assert until("milkings_2026-05-04.csv", MAP.replace(", plus: 1 d", ""), "2026-05-03 10:02") is not None


def test_rows_that_take_the_stamp_take_it_as_it_is_written() -> None:
    """A herd list of a day is true from its morning on."""
    export = Export("milkings_2026-05-04.csv", b"Cow\n7\n", DUBLIN.at("2026-05-06 00:00"))
    batch = read_export(feed_of(MAP), export, "Europe/Dublin")
    [part] = batch.rows
    begin = DUBLIN.at("2026-05-04 00:00")

    assert part.values[0][part.columns.index("from")] == begin
    assert batch.complete_until == begin + DAY_S


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("plus: 1 d", "plus: 1"), "not a length of time"),
        (("plus: 1 d", "plus: 2 weeks"), "not a length of time"),
        (
            ('{from: file_name, pattern: "milkings_%Y-%m-%d", plus: 1 d}', "{from: file_time, plus: 1 d}"),
            "plus belongs to from: file_name",
        ),
        (("tables:", "pace: daily\nevery: 2 h\ntables:"), "pace and every say the same"),
        (("tables:", "every: 2\ntables:"), "not a length of time"),
        (("tables:", "every: 10 s\ntables:"), "not a length of time"),
    ],
)
def test_what_is_wrong_is_said(change: tuple[str, str], said: str) -> None:
    """With what would be right."""
    feed, problems = load_feed_map(MAP.replace(*change), "m.yaml")

    assert feed is None
    assert said in str(problems[0])
