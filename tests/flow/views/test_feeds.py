"""The exports, as the office looks at them."""

from __future__ import annotations

from dataclasses import replace

from text_tables import moment, moment_text
from view_farm import AT, rows, the_rules

from sentinel.flow.reasons import as_said, in_english
from sentinel.flow.tables import FeedFacts
from sentinel.flow.views.feeds import feeds_page

FILES = """
feed    file     at       rows_read  rows_set_aside  reason
visits  a.csv    06:00    100        0               -
visits  b.csv    1d11:00  40         0               -
visits  c.csv    1d11:30  30         2               no time
tank    d.json   1d06:00  24         0               -
"""
ASIDE = [
    {
        "feed": "visits",
        "file": "c.csv",
        "at": moment("1d11:30"),
        "line": 7,
        "row": "7;<b>",
        "reason": as_said("no time"),
    },
    {"feed": "visits", "file": "c.csv", "at": moment("1d11:30"), "line": 3, "row": "3;x", "reason": as_said("no cow")},
    {
        "feed": "gone",
        "file": "x.csv",
        "at": moment("06:00"),
        "line": 0,
        "row": "",
        "reason": as_said("no map reads it"),
    },
]


def test_feeds_say_what_was_read_when_and_what_was_set_aside_with_its_row() -> None:
    """The one that is behind first; a feed of which only rows set aside are known is there too."""
    tables = rows(files=FILES)
    feeds = (
        FeedFacts("visits", ("visits", "visits.cow"), "hourly", AT),
        FeedFacts("tank", ("tank",), "daily", AT - 200_000),
    )
    found = feeds_page(replace(tables, farm=replace(tables.farm, feeds=feeds)), ASIDE, [], the_rules(), AT)
    assert [(f.line.feed, f.line.behind, f.pace, f.tables) for f in found] == [
        ("tank", True, "daily", ("tank",)), ("gone", False, "", ()), ("visits", False, "hourly", ("visits",)),
    ]  # fmt: skip
    tank, gone, visits = found
    assert [(f.file, f.rows_read, f.rows_set_aside, in_english(f.reason)) for f in visits.files] == [
        ("c.csv", 30, 2, "no time"), ("b.csv", 40, 0, ""), ("a.csv", 100, 0, ""),
    ]  # fmt: skip
    assert (visits.files_24h, visits.rows_24h, moment_text(visits.last_read_at or 0)) == (2, 70, "1d11:30")
    assert [(a.line, a.row, str(a.reason)) for a in visits.aside] == [(3, "3;x", "no cow"), (7, "7;<b>", "no time")]
    assert (len(gone.aside), gone.last_read_at, tank.rows_24h) == (1, None, 24)


def test_a_long_list_of_rows_set_aside_says_how_many_more_there_are() -> None:
    """The page stays short, and nothing is left unsaid."""
    many = [{**ASIDE[0], "line": n} for n in range(1, 81)]
    [visits] = [f for f in feeds_page(rows(), many, [], {}, AT) if f.line.feed == "visits"]
    assert (len(visits.aside), visits.aside_more) == (50, 30)
