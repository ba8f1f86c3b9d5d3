"""Maps that divide a file by the kind of its rows: who reads it, each its rows, and what none takes is told once."""

from __future__ import annotations

import pytest
from flow.feeds.mapped import LATE, cells, feed_of

from sentinel.flow.feeds import read_export
from sentinel.flow.feeds.sharing import divisions, readers, told_once
from sentinel.flow.model import Batch, Export

MILKINGS = """\
feed: milkings
files: "day_*.csv"
tables:
  visits:
    only: {column: Kind, is: M}
    cow: Who
    start: When
    milk_kg: Milk
"""
LOG = """\
feed: log
files: "day_*.csv"
tables:
  box_log:
    only: {column: Kind, is: [E, F], leave_out: T}
    box: Who
    at: When
    event: {column: Kind, words: {E: stopped, F: filter_changed}}
"""
ALL = MILKINGS.replace("    only: {column: Kind, is: M}\n", "").replace("feed: milkings", "feed: all")
LINES = """\
Kind,Who,When,Milk
M,217,2026-05-10 06:00,12.5
E,2,2026-05-10 06:05,
T,2,2026-05-10 06:06,
M,218,2026-05-10 06:10,11.0
F,2,2026-05-10 06:20,
"""


def named(*texts: str, file: str = "day_1.csv") -> list[str]:
    """The feeds whose maps read a file."""
    return [feed.feed for feed in readers([feed_of(text) for text in texts], file)]


def test_maps_of_different_kinds_of_rows_read_a_file_together() -> None:
    """The one with visits tells what cannot be told of a row, as it may be one."""
    assert named(MILKINGS, LOG) == ["milkings", "log"]
    assert named(LOG, MILKINGS) == ["milkings", "log"]
    assert named(LOG, MILKINGS, file="week_1.csv") == []


@pytest.mark.parametrize(
    ("maps", "feeds"),
    [
        ((ALL, LOG), ["all"]),
        ((LOG, ALL), ["log"]),
        ((MILKINGS, MILKINGS.replace("feed: milkings", "feed: again"), LOG), ["milkings", "log"]),
        ((MILKINGS, MILKINGS.replace("feed: milkings", "feed: n").replace("is: M", "is: N")), ["milkings", "n"]),
    ],
)
def test_otherwise_the_first_map_reads_it(maps: tuple[str, ...], feeds: list[str]) -> None:
    """A map that takes all rows shares with nobody; no kind of row fills a table twice."""
    assert named(*maps) == feeds


def read(lines: str) -> list[Batch]:
    """What both maps give of a file."""
    feeds = readers([feed_of(LOG), feed_of(MILKINGS)], "day_1.csv")
    export = Export("day_1.csv", lines.encode(), LATE)
    kinds = [divisions(feeds), ()]
    return told_once([read_export(feed, export, "UTC", divisions=of) for feed, of in zip(feeds, kinds, strict=True)])


def aside(batches: list[Batch]) -> list[list[tuple[int, str, str]]]:
    """What each map set aside: line, why, and what it may have been."""
    return [[(one.line, str(one.reason), one.tab) for one in batch.set_aside] for batch in batches]


def test_each_map_reads_its_rows_of_the_same_file() -> None:
    """And a kind that one of them leaves out on purpose is told by neither."""
    milkings, log = read(LINES)

    assert cells(milkings, "cow") == ["217", "218"]
    assert cells(log, "event") == ["stopped", "filter_changed"]
    assert aside([milkings, log]) == [[], []]


def test_a_row_that_no_map_takes_is_told_once() -> None:
    """It may have been a visit, so it is weighed as one; so is one that is cut short."""
    batches = read(LINES + "X,2,2026-05-10 06:30,\n,219,2026-05-10 06:40,9\nM,220\n")

    assert aside(batches) == [
        [
            (7, '"Kind": "X" is a kind of row that none of its feed maps takes', "visits"),
            (8, '"Kind": "" is a kind of row that none of its feed maps takes', "visits"),
            (9, "has 2 cells where the titles have 4: it is cut short or has a line break inside", "visits"),
        ],
        [],
    ]


def test_a_map_alone_leaves_the_kinds_it_does_not_take_without_a_word() -> None:
    """As it says which rows are its own."""
    feed = feed_of(MILKINGS)
    batch = read_export(feed, Export("day_1.csv", LINES.encode(), LATE), "UTC", divisions=divisions([feed]))

    assert batch.set_aside == ()


def test_each_map_tells_of_the_titles_that_it_lacks() -> None:
    """The other one reads the file all the same."""
    milkings, log = read(LINES.replace("Milk\n", "Mlik\n"))

    assert [str(one.reason) for one in milkings.set_aside] == ['its titles lack "Milk" (did you mean "Mlik"?)']
    assert (milkings.rows, len(cells(log, "event"))) == ((), 2)
