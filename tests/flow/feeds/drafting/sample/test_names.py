"""What the names of files of one kind say."""

from __future__ import annotations

from datetime import datetime
from fnmatch import fnmatchcase

import pytest

from sentinel.flow.feeds.drafting.sample.names import Named, are_enough, named, pace_of, stamp


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


@pytest.mark.parametrize(
    ("names", "files", "form"),
    [
        (["CELLS Nov26.csv", "CELLS Sep26.csv", "CELLS Oct26.csv"], "CELLS *.csv", ""),
        ([f"BOX 2026-11-10 {hour:02d}h.csv" for hour in range(24)], "BOX *.csv", "BOX %Y-%m-%d %Hh"),
        ([f"B_2026-KW46-{day}_{hour:02d}.csv" for day in (1, 2) for hour in (0, 2)], "B_*.csv", "B_%G-KW%V-%u_%H"),
        ([f"EVT {day:02d}-11-2026.txt" for day in range(9, 30)], "EVT *.txt", "EVT %d-%m-%Y"),
        (["milk_a_20260504.csv", "milk_b_20260505.csv"], "milk_*.csv", ""),
        (["a.csv", "b.txt"], "**", ""),
    ],
)
def test_several_names_give_one_pattern_for_all(names: list[str], files: str, form: str) -> None:
    """The pattern finds every name, and the stamp reads each."""
    found = named(names[0], names)

    assert all(fnmatchcase(name, found.files) for name in names)
    assert (found.files, found.stamp) == (files, form)
    for name in names if form else ():
        assert datetime.strptime(name.rpartition(".")[0], form).year == 2026  # noqa: DTZ007


def test_a_stamp_of_which_the_order_is_not_told_is_none() -> None:
    """04-05-2026 is a day in May or in April; a second name a day later tells."""
    assert stamp(["v_04-05-2026"]) == ""
    assert stamp(["v_04-05-2026", "v_05-05-2026", "v_06-05-2026"]) == "v_%d-%m-%Y"


def test_a_number_after_the_day_is_no_hour_by_one_name() -> None:
    """With an h it is one."""
    assert stamp(["v_2026-05-04_02"]) == ""
    assert stamp(["v_2026-05-04_02h"]) == "v_%Y-%m-%d_%Hh"


def test_two_names_are_too_few_to_be_sure() -> None:
    """Of the pace."""
    assert not are_enough(["v_20260504.csv", "v_20260505.csv"])


@pytest.mark.parametrize(
    ("names", "pace"),
    [
        ([f"v_20260504_{hour:02d}00.csv" for hour in range(9)], "hourly"),
        ([f"v_2026-05-{day:02d}.csv" for day in range(1, 29, 7)], "weekly"),
        (["v_20260504.csv", "v_20260505.csv"], "daily"),
        (["v_20260504.csv"], ""),
        ([f"v_2026-KW46-{day}_{hour:02d}.csv" for day in range(1, 4) for hour in range(0, 24, 2)], "2 h"),
        ([f"BOX 2026-11-10 {hour:02d}h.csv" for hour in range(24)], "hourly"),
        ([f"EVT {day:02d}-11-2026.txt" for day in range(9, 30)], "daily"),
        ([f"lab_2026-05-{day:02d}.csv" for day in range(1, 30, 2)], "2 d"),
        (["CELLS Sep26.csv", "CELLS Oct26.csv", "CELLS Nov26.csv"], "monthly"),
        (["v.csv", "w.csv", "x.csv", "y.csv"], ""),
        (["v_20260504.csv"] * 9, ""),
    ],
)
def test_many_names_tell_how_often_files_come(names: list[str], pace: str) -> None:
    """By the usual step between their stamps; names without one, or several files with the same one, do not tell."""
    assert pace_of(names) == pace


def test_a_feed_is_called_in_plain_letters() -> None:
    """What has marks is written without, not left out."""
    assert named("besætning_20261120.csv") == Named("besaetning", "besætning_*.csv", "besætning_%Y%m%d")
