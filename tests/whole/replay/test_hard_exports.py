"""Herds whose exports come split, sparse, late or unfinished: read file by file they give the rows that are true."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache

import pandas as pd
import pytest

from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.edges.store.exports.feeds import feed_state, rows_set_aside
from sentinel.edges.store.rows import all_rows
from sentinel.flow.model import DAY_S, HOUR_S, Export
from sentinel.flow.setup import Setup, read_setup
from sentinel.flow.tables import BOX_LOG, VISITS
from sentinel.runtime.engine import Engine
from sentinel.runtime.ticks import batch_of
from sentinel.simulator import HerdSpec, Simulated, simulate
from sentinel.simulator.exports.arrivals import File
from sentinel.simulator.exports.farm_folder import farm_texts
from sentinel.simulator.exports.files import export_files

CONDITIONS = [
    ("two-hourly",),
    ("missing-exports", "unstamped"),
    ("files-by-box", "rows-in-pieces", "no-positions", "kicked-cups"),
    ("in-progress", "rows-in-pieces", "two-hourly", "sparse-log"),
    ("in-progress", "files-by-box", "unstamped", "missing-exports", "no-attach-times", "no-box-log"),
]


@cache
def herd(conditions: tuple[str, ...]) -> Simulated:
    """Twenty-four cows, two boxes, fifteen days; exports of the last five."""
    made = simulate(HerdSpec(24, 2, 15, 6, conditions=conditions))
    return replace(made, exports=replace(made.exports, first=made.calendar.begin + 10 * DAY_S))


@cache
def setup(conditions: tuple[str, ...]) -> Setup:
    """The farm of these exports; it has no rules."""
    found, problems = read_setup(dict(farm_texts(herd(conditions), dialect="lists")))
    assert found is not None, problems
    return found


@cache
def exports(conditions: tuple[str, ...]) -> list[File]:
    """Every export, in order of time."""
    return sorted(export_files(herd(conditions), dialect="lists"), key=lambda file: (file.arrives_at, file.name))


def read(conditions: tuple[str, ...], files: list[File]) -> Store:
    """A store after these exports were taken in this order."""
    store = Store(None)
    engine = Engine(store, setup(conditions))
    with store.writing():
        for file in files:
            batch = batch_of(setup(conditions), Export(file.name, file.content, file.arrives_at))
            assert batch is not None, file.name
            engine.absorb(herd(conditions).calendar.until + DAY_S, batch)
    return store


def assert_true(conditions: tuple[str, ...], store: Store) -> None:
    """Every visit is there whole, as the tables have it, and none too many; and every entry of the logs."""
    true, first, until = (
        herd(conditions).tables,
        herd(conditions).exports.first,
        herd(conditions).calendar.until - 4 * HOUR_S,
    )
    read_rows, wanted = (
        frame[frame["start"].between(first, until)].sort_values(["start", "cow"], ignore_index=True)
        for frame in (all_rows(store, VISITS), true.visits)
    )
    log = all_rows(store, BOX_LOG)

    assert rows_set_aside(store) == []
    assert len(wanted) > 250
    pd.testing.assert_frame_equal(read_rows[list(wanted)], wanted, check_dtype=False)
    assert log["at"].between(first, until).sum() == true.box_log["at"].between(first, until).sum()


@pytest.mark.parametrize("conditions", CONDITIONS, ids="+".join)
def test_the_rows_that_are_true_are_read_in_the_end(conditions: tuple[str, ...]) -> None:
    """As the exports came."""
    assert_true(conditions, read(conditions, exports(conditions)))


@pytest.mark.parametrize("conditions", CONDITIONS[1:3], ids="+".join)
def test_in_any_order(conditions: tuple[str, ...]) -> None:
    """Where nothing is put right by what comes after it, the order of the exports decides nothing."""
    files = list(exports(conditions))
    random.Random(7).shuffle(files)
    assert_true(conditions, read(conditions, files))


def test_a_visit_in_progress_is_told_and_then_put_right() -> None:
    """Lists end with visits that have no end yet, each put right by the next; and none does without the condition."""
    lists = {name: [_ends(file) for file in _lists(name)] for name in ("in-progress", "two-hourly")}
    store = read(("in-progress",), exports(("in-progress",)))
    put_right = fetch(store, "select 1 from changes where correction = 1")

    assert sum("" in ends for ends in lists["in-progress"]) > 10
    assert not any("" in ends for ends in lists["two-hourly"])
    assert len(put_right) >= sum(ends.count("") for ends in lists["in-progress"]) - 5


def test_an_unstamped_feed_is_known_up_to_its_newest_row() -> None:
    """And a stamped one up to the hour of its last file, whatever came in it."""
    for name in ("unstamped", "two-hourly"):
        last = [file for file in exports((name,)) if file.name.startswith("milkings_")][-6:]
        store = read((name,), last)
        newest, end = int(all_rows(store, VISITS)["start"].max()), herd((name,)).calendar.until
        assert newest < end
        assert feed_state(store)["milkings"][1] == (newest if name == "unstamped" else end)


def test_the_quarters_of_a_visit_come_later_and_each_box_by_itself() -> None:
    """25 min after the visits of their box, which come four minutes after those of the box before."""
    comes = {file.name: file.arrives_at for file in exports(("files-by-box", "rows-in-pieces"))}
    stamp = next(name for name in comes if name.startswith("visits_1_")).removeprefix("visits_1_")

    assert comes[f"quarters_1_{stamp}"] - comes[f"visits_1_{stamp}"] == 25 * 60
    assert comes[f"visits_2_{stamp}"] - comes[f"visits_1_{stamp}"] == 4 * 60
    assert not any(name.startswith(("milkings_", "visits_20")) for name in comes)


def test_two_hourly_lists_are_half_as_many_and_missing_ones_are_missing() -> None:
    """Beside the lists of the same days that come every hour."""
    hourly, two_hourly, missing = (len(_lists(name)) for name in ("sparse-log", "two-hourly", "missing-exports"))

    assert two_hourly == pytest.approx(hourly / 2, abs=2)
    lost = herd(("missing-exports",)).mishaps.lost
    assert hourly - missing == sum((one.until - one.start) // HOUR_S for one in lost) > 0


def _lists(condition: str) -> list[File]:
    return [file for file in exports((condition,)) if file.name.startswith("milkings_")]


def _ends(file: File) -> list[str]:
    """How the visits of a list ended, as it says."""
    return [line.split(";")[3] for line in file.content.decode("cp1252").split("\r\n")[1:-1]]
