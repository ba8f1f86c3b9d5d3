"""Maps tried in passing: bounded, noted while a file is read, and no reason not to go on."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from whole.whole_farm import FARM, setup_of

from sentinel.edges.inbox import UnderWay
from sentinel.flow.model import Export
from sentinel.flow.setup import Setup
from sentinel.runtime.reading import trial
from sentinel.runtime.reading.trial import asked_in_passing, try_newest

FEED = 'feed: milkings\nfiles: "*.csv"\ntables:\n  visits:\n    cow: Cow\n    start: Start\n    milk_kg: Milk\n'
RULE = "- rule: late-cow\n  measure: hours_since_milking\n  raise_over: 14 h\n  urgency: round\n  say: late\n"
AT = 1_774_774_800


def farm() -> Setup:
    """A farm with one map."""
    return setup_of(RULE, (FEED,), farm=FARM)


def visits(milk: float) -> str:
    """Ten visits with that much milk each."""
    return "Cow,Start,Milk\n" + "".join(f"{n},2026-03-28 06:{n:02},{milk}\n" for n in range(10))


def test_in_passing_one_small_file_of_each_feed_is_tried(tmp_path: Path) -> None:
    """The newest; a file of more than a megabyte is left to `check`."""
    (tmp_path / "a.csv").write_text(visits(24.0))
    told = asked_in_passing(farm(), tmp_path, AT, UnderWay(None))
    assert [str(one).partition(":")[2].partition(",")[0] for one in told] == [
        "7:5: milk_kg: half of the figures are over 24 kg"
    ]

    (tmp_path / "b.csv").write_text(visits(24.0) * 6000)
    assert asked_in_passing(farm(), tmp_path, AT, UnderWay(None)) == []
    assert [len(of.files) for of in try_newest(farm(), tmp_path, AT).feeds] == [2]


def test_older_files_are_tried_too(tmp_path: Path) -> None:
    """What only they hold is told; the newest are read first."""
    for n in range(40):
        rows = visits(12.0) if n > 4 else visits(12.0).replace("12.0", "much")
        (tmp_path / f"{n:02}.csv").write_text(rows)
        os.utime(tmp_path / f"{n:02}.csv", (AT + n, AT + n))
    [of] = try_newest(farm(), tmp_path, AT).feeds

    assert [file.file for file in of.files[:3]] == ["39.csv", "38.csv", "37.csv"]
    assert [str(why.reason) for why in of.whys] == ['"Milk": "much" is not a number']


def test_a_file_is_noted_while_it_is_tried_by_who_holds_the_farm(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """So that one that ends the process is left alone from the third start on."""
    inbox = tmp_path / "exports"
    inbox.mkdir()
    (inbox / "a.csv").write_text(visits(24.0))
    noted: list[str] = []
    real = trial.as_written

    def watched(setup: Setup, export: Export) -> object:
        noted.append(json.loads((tmp_path / "sentinel.reading").read_text())["now"][0])
        return real(setup, export)

    monkeypatch.setattr(trial, "as_written", watched)

    asked_in_passing(farm(), inbox, AT, UnderWay(tmp_path))

    assert noted == ["a.csv"]
    assert json.loads((tmp_path / "sentinel.reading").read_text()) == {"now": None, "ended": []}


def test_an_inbox_that_is_not_there_is_no_fault(tmp_path: Path) -> None:
    """Nothing can be said of the maps yet."""
    assert asked_in_passing(farm(), tmp_path / "gone", AT, UnderWay(None)) == []
