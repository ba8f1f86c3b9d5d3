"""In which order a long backlog is read: what decisions look back at first, the rest a few at a time."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from sentinel.edges.inbox import MOST_DEFERRED, Inbox, Scan

NOW_S = 2_000_000_000
DAY_S = 86_400
KEPT_S = 32 * DAY_S


def kept(name: str) -> tuple[str, float] | None:
    """Two feeds, of one of which all counts however old it is, and files of no feed."""
    return {"v": ("visits", KEPT_S), "h": ("herd", float("inf"))}.get(name[0])


def dropped(folder: Path, name: str, days: float) -> None:
    """A file written so many days ago."""
    (folder / name).write_text(f"{name}\n")
    os.utime(folder / name, (NOW_S - days * DAY_S,) * 2)


def scanned(inbox: Inbox) -> tuple[Scan, list[str]]:
    """One look, of which all is stored; and the names in the order in which they were given."""
    scan = inbox.scan(0.0, NOW_S)
    for one in scan.files:
        inbox.settled(one.name, one.seen)
    return scan, [one.name for one in scan.files]


@pytest.fixture
def inbox(tmp_path: Path) -> Inbox:
    """A thousand old exports of one feed, and some of now, of another feed and of none."""
    for number in range(1000):
        dropped(tmp_path, f"v{number:04}.csv", 1100 - number)
    for number in range(3):
        dropped(tmp_path, f"h{number}.csv", 1000 - number)
    dropped(tmp_path, "v9999.csv", 0.1)
    dropped(tmp_path, "h9.csv", 1)
    dropped(tmp_path, "readme.txt", 2000)
    return Inbox(tmp_path, {}, kept=kept)


def test_what_is_looked_back_at_comes_first_then_the_rest_in_slices(inbox: Inbox) -> None:
    """Oldest first in each part; a herd list and a file of no feed are never deferred."""
    first, names = scanned(inbox)
    assert names == ["readme.txt", "h0.csv", "h1.csv", "h2.csv", "h9.csv", "v9999.csv"]
    assert (first.more, first.deferred, first.deferred_until) == (False, 1000, NOW_S - 101 * DAY_S)

    second, names = scanned(inbox)
    assert names == [f"v{number:04}.csv" for number in range(MOST_DEFERRED)]
    assert second.deferred == 1000 - MOST_DEFERRED
    assert inbox.next_look_s == 0.0  # at once


def test_a_new_export_comes_before_the_late_ones_that_are_left(inbox: Inbox) -> None:
    """Also between two slices, and what is left at last is read with it, oldest first."""
    scanned(inbox)
    scanned(inbox)
    dropped(inbox.folder, "v9998.csv", 0.05)
    _, names = scanned(inbox)
    assert names == ["v9998.csv"]
    dropped(inbox.folder, "v9997.csv", 0.04)
    dropped(inbox.folder, "v9996.csv", 0.03)
    _, names = scanned(inbox)
    assert names == ["v9997.csv", "v9996.csv"]
    assert len(scanned(inbox)[1]) == 1000 - MOST_DEFERRED


def test_decisions_go_as_far_as_the_feed_that_lags_behind(inbox: Inbox) -> None:
    """If the herd list stopped 150 days ago, what is older than 32 days before that is deferred, and nothing newer."""
    (inbox.folder / "h9.csv").unlink()
    for number in range(3):
        dropped(inbox.folder, f"h{number}.csv", 150 + number)
    scan, names = scanned(inbox)

    assert names[0] == "readme.txt"
    assert scan.deferred == 915  # written 1100 to 186 days ago: more than 32 days and 3 of slack before the 150th


def test_a_few_exports_are_read_in_order_of_time(tmp_path: Path) -> None:
    """However old: where one look reads all, nothing is deferred."""
    for number in range(MOST_DEFERRED):
        dropped(tmp_path, f"v{number:04}.csv", 1000 - number)
    scan, names = scanned(Inbox(tmp_path, {}, kept=kept))

    assert names == sorted(names)
    assert (len(names), scan.deferred) == (MOST_DEFERRED, 0)
