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


def test_two_maps_that_share_a_file_are_tried_on_its_rows_and_asked_for_kinds_that_neither_takes(
    tmp_path: Path,
) -> None:
    """Each with its own figures; a kind of row that is new is told once, at the line that divides the rows."""
    visits_map = FEED.replace("    cow:", "    only: {column: Kind, is: M}\n    cow:")
    log_map = (
        'feed: log\nfiles: "*.csv"\ntables:\n  box_log:\n    only: {column: Kind, is: E}\n    box: Cow\n    at: Start\n'
        "    event: {column: Kind, words: {E: stopped}}\n"
    )
    rows = "".join(f"{'MEMX'[n % 4]},{n},2026-03-28 06:{n:02},{'' if n % 2 else 12.5}\n" for n in range(12))
    (tmp_path / "a.csv").write_text("Kind,Cow,Start,Milk\n" + rows)
    trial = try_newest(setup_of(RULE, (visits_map, log_map), farm=FARM), tmp_path, AT)

    assert [(of.map.name, dict(of.files[0].rows), of.files[0].aside) for of in trial.feeds] == [
        ("milkings", {"visits": 6}, 3),
        ("log", {"box_log": 3}, 0),
    ]
    assert trial.files == 1
    [told] = [one for one in trial.findings if "among the farm's boxes" not in str(one)]
    assert str(told).partition(":")[2].partition(" (")[0] == "5:5: 3 rows of 9 are left out"
    assert str(told).endswith(
        '"Kind": "X" is a kind of row that none of its feed maps takes; which map\'s is it? '
        "If none's, write it to leave_out of an only"
    )
