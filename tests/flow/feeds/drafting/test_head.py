"""The head of a drafted map."""

from __future__ import annotations

import pytest

from sentinel.flow.feeds.drafting.draft import drafted
from sentinel.flow.feeds.drafting.head import named, pace_of
from sentinel.flow.model import Export


@pytest.mark.parametrize(
    ("name", "feed", "files", "stamp"),
    [
        ("milkings_20260328_0700.csv", "milkings", "milkings_*.csv", "milkings_%Y%m%d_%H%M"),
        ("boxlog_2026-03-28.xlsx", "boxlog", "boxlog_*.xlsx", "boxlog_%Y-%m-%d"),
        ("tank.jsonl", "tank", "tank.jsonl", ""),
        ("20260328T0700Z", "export", "*", "%Y%m%dT%H%MZ"),
    ],
)
def test_a_name_gives_the_feed_the_pattern_and_the_stamp(name: str, feed: str, files: str, stamp: str) -> None:
    """Dates and numbers become a star."""
    assert (named(name).feed, named(name).files, named(name).stamp) == (feed, files, stamp)


def lines(text: str) -> list[str]:
    """The head of a draft."""
    return (
        drafted([Export("v_20260504.csv", text.encode(), 0)], "Europe/Dublin").text.partition("tables:")[0].splitlines()
    )


def test_marks_for_missing_are_drafted() -> None:
    """A dash where figures are; a dash among words is a word."""
    head = lines("Cow;Start;Milk;Note\n7;04.05.2026 06:30;-;-\n8;04.05.2026 06:41;9,5;tail\n")

    assert 'missing: ["-"]   # stand where nothing is known' in head
    assert 'decimal: ","' in head


def test_epochs_need_no_zone() -> None:
    """Seconds since 1970 say it themselves."""
    head = lines("Cow;Start;Milk\n7;1777000000;12.4\n8;1777000900;9.5\n")

    assert 'times: "epoch_s"' in head
    assert not [line for line in head if line.startswith("zone:")]


def test_editors_find_the_schema() -> None:
    """By the first line."""
    assert lines("Cow;Start\n7;1777000000\n")[0] == "# yaml-language-server: $schema=./feeds.schema.json"


@pytest.mark.parametrize(
    ("names", "pace"),
    [
        ([f"v_20260504_{hour:02d}00.csv" for hour in range(9)], "hourly"),
        ([f"v_2026-05-{day:02d}.csv" for day in range(1, 29, 7)], "weekly"),
        (["v_20260504.csv", "v_20260505.csv"], ""),
        (["v.csv", "w.csv", "x.csv", "y.csv"], ""),
        (["v_20260504.csv"] * 9, ""),
    ],
)
def test_many_names_tell_how_often_files_come(names: list[str], pace: str) -> None:
    """By the usual step between their stamps; two are too few."""
    assert pace_of(names) == pace
