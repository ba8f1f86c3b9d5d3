"""A file that is written anew as it was shows that its feed has nothing to tell: the newest one of a feed of visits."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any, cast

import pytest
from faults.files.hostile_files import Ticking
from text_tables import moment
from whole.whole_farm import LATE_COW, setup_of

from sentinel.edges.settings import Secrets
from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.edges.store.exports.feeds import feed_state
from sentinel.runtime.farm_folder import Farmyard
from sentinel.runtime.record.replay import as_arrived, live_alerts
from sentinel.runtime.service import Service

FARM = "name: Tinfield\nzone: UTC\nboxes: ['1']\nsettle: 1 s\nlook_every: 1 s\n"
FEED = """
feed: visits
files: "visits*.csv"
form: delimited
times: "%Y-%m-%d %H:%M"
tables:
  visits: {cow: Cow, start: Start, box: Box, outcome: {column: Ended, words: {done: milked}}}
"""
STAMPED = FEED + "complete_until: {from: file_time}\n"
HERD = """
feed: herd
files: "herd*.csv"
form: delimited
times: "%Y-%m-%d %H:%M"
tables:
  cows: {cow: Cow, from: Since}
"""
NOON = moment("12:00")


class Watched:
    """A service over a folder, looked at by hand."""

    def __init__(self, folder: Path, *feeds: str) -> None:
        self.inbox = folder / "exports"
        self.inbox.mkdir()
        self.clock = Ticking()
        self.clock.at = NOON
        self.store = Store(None)
        setup = setup_of(LATE_COW, feeds, FARM)
        yard = Farmyard(folder, setup, Secrets({}), self.store)
        self.service = Service(yard, cast(Any, self.clock), {}, heard=lambda one: None)

    def write(self, name: str, text: str, at: int) -> None:
        """A file as it is at a moment, and two looks at it: it must stand still before it is read."""
        path = self.inbox / name
        path.write_text(text, encoding="utf-8")
        os.utime(path, (at, at))
        for later in (10, 20):
            self.clock.at = at + later
            self.service.looks.look()

    @property
    def read(self) -> list[tuple[str, int]]:
        """The files that were read, each with its rows."""
        return [(row["file"], row["rows_read"]) for row in fetch(self.store, "select file, rows_read from files")]


VISIT = "Cow,Start,Box,Ended\n7,2024-06-03 11:40,1,done\n"


def test_the_newest_file_of_the_visits_counts_once_more(tmp_path: Path) -> None:
    """With no row read; an older file and the herd list do not, nor does anything that nobody wrote."""
    farm = Watched(tmp_path, FEED, HERD)
    herd = "Cow,Since\n7,2024-06-01 00:00\n"
    farm.write("visits_1.csv", VISIT, NOON)
    farm.write("visits_2.csv", VISIT.replace("11:40", "12:40"), NOON + 3600)
    farm.write("herd.csv", herd, NOON + 3700)
    before = farm.read

    farm.write("visits_1.csv", VISIT, NOON + 7200)
    farm.write("herd.csv", herd, NOON + 7300)
    assert farm.read == before
    farm.write("visits_2.csv", VISIT.replace("11:40", "12:40"), NOON + 7400)
    assert farm.read == [*before, ("visits_2.csv", 0)]
    farm.clock.at += 3600
    farm.service.looks.look()
    assert len(farm.read) == len(before) + 1


@pytest.mark.parametrize("stamped", [False, True])
def test_it_keeps_the_promise_of_its_stamp(tmp_path: Path, stamped: bool) -> None:
    """A map that goes by the file's time has a cow late though nobody came since; any other leaves it open."""
    farm = Watched(tmp_path, STAMPED if stamped else FEED)
    farm.write("visits.csv", VISIT, NOON)
    farm.write("visits.csv", VISIT, NOON + 15 * 3600)

    assert feed_state(farm.store)["visits"][1] == (NOON + 15 * 3600 if stamped else moment("11:40"))
    assert [one.rule for one in live_alerts(farm.store)] == (["late-cow"] if stamped else [])
    assert as_arrived(farm.store) == live_alerts(farm.store)
