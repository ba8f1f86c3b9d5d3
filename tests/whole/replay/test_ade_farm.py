"""A farm whose herd computer speaks ICAR ADE alone: no map, every kind of resource, in pages; live equals replay."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.typed import SETTLE, sentinel
from whole.whole_farm import lived_through, shipped_rules

from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.exports.feeds import feed_state, rows_set_aside
from sentinel.edges.store.rows import all_rows
from sentinel.flow.alerts.listed import to_look_at
from sentinel.flow.evaluation.attributes import herd_changes
from sentinel.flow.model import DAY_S
from sentinel.flow.setup import read_setup
from sentinel.flow.tables import COW_TESTS, COWS, VISITS, Tables
from sentinel.runtime.record.replay import as_arrived, live_alerts
from sentinel.simulator import HerdSpec, Simulated, simulate
from sentinel.simulator.exports.farm_folder import farm_texts, write_farm
from sentinel.simulator.exports.files import export_files


@pytest.fixture(scope="module")
def herd() -> Simulated:
    """A small herd, twelve days long."""
    return simulate(HerdSpec(cows=24, boxes=2, days=12, seed=3))


@pytest.fixture(scope="module")
def lived(herd: Simulated) -> Store:
    """The store after a farm with these exports was lived through: ten days of them at once, then as they came."""
    texts = {**farm_texts(herd, dialect="ade"), **shipped_rules()}
    assert not [name for name in texts if name.startswith("feeds/")]
    setup, problems = read_setup(texts)
    assert setup is not None, problems
    begin = herd.exports.first + 10 * DAY_S
    files = sorted((one.arrives_at, one.name, one.content) for one in export_files(herd, dialect="ade"))
    return lived_through(setup, texts, [(max(begin, at), name, content) for at, name, content in files])


def test_everything_is_read(herd: Simulated, lived: Store) -> None:
    """Every visit that gave milk or was tried, every cow's state at every moment, every test; nothing set aside."""
    told = herd.tables.visits[(herd.tables.visits["outcome"] != "refused").to_numpy(bool)]
    read = all_rows(lived, VISITS)

    assert rows_set_aside(lived) == []
    assert set(feed_state(lived)) >= {"icar", "icar-cows"}
    assert len(set(zip(read["cow"], read["start"], strict=True))) == len(read)
    shown = {key for key in zip(told["cow"], told["start"], strict=True) if key[1] >= herd.exports.first}
    assert len(shown - set(zip(read["cow"], read["start"], strict=True))) <= 3  # those that end after the last file
    tests = all_rows(lived, COW_TESTS)
    recorded = herd.tables.cow_tests[["cow", "at", "cells_k_ml", "milk_kg"]]
    assert sorted(map(tuple, tests[["cow", "at", "cells_k_ml", "milk_kg"]].to_numpy().tolist())) == sorted(
        map(tuple, recorded[recorded["at"].isin(set(tests["at"]))].round(1).to_numpy().tolist())
    )


def test_a_cows_state_is_that_of_the_herd_at_every_moment(herd: Simulated, lived: Store) -> None:
    """Milking, dry or withheld, her group and her lactation, from events alone; but how often she may be milked."""
    names = ["cow", "status", "group", "lactation"]
    true = herd_changes(Tables(cows=herd.tables.cows))
    told = herd_changes(Tables(cows=all_rows(lived, COWS)))
    gone = herd.mishaps.gone
    moments = sorted({int(at) for at in [*true["from"], *told["from"]] if at < herd.calendar.until - 86400})

    def at(changes: object, moment: int) -> dict[str, tuple[object, ...]]:
        latest = changes[changes["from"] <= moment].drop_duplicates("cow", keep="last")  # type: ignore[index]
        return {str(row[0]): tuple(row[1:]) for row in latest[names].itertuples(index=False)}

    for moment in moments:
        if moment >= herd.exports.first:
            wanted = {cow: row for cow, row in at(true, moment).items() if gone.get(cow, moment + 1) > moment}
            assert {cow: row for cow, row in at(told, moment).items() if cow in wanted} == wanted


def test_live_equals_replay(lived: Store) -> None:
    """To the second, and there is something to compare."""
    live = live_alerts(lived)

    assert as_arrived(lived) == live
    assert {one.rule for one in live} >= {"box-quiet"}


def test_a_folder_without_any_map_works(herd: Simulated, tmp_path: Path) -> None:
    """`init`, `check`, `once`, and the alerts on animals for a herd program; what has no place there is said."""
    folder = tmp_path / "farm"
    write_farm(folder, herd, dialect="ade")
    assert sentinel("init", folder).code == 0
    (folder / "farm.yaml").write_text((folder / "farm.yaml").read_text() + SETTLE + "feeds: {icar: {every: 1 h}}\n")
    checked = sentinel("check", folder)
    once = sentinel("once", folder)
    said = sentinel("alerts", folder, "--ade", "--all")
    store = Store(folder / STORE_NAME)
    alerts, everything = live_alerts(store), all_alerts(store)
    store.close()

    assert (checked.code, once.code) == (0, 0), checked.words + once.words
    assert "All good: 0 feed maps" in checked.words
    [collection] = said.records
    animals = [one for one in alerts if one.subject.startswith(("cow:", "quarter:"))]
    recordings = [one for one in everything if one.subject.startswith("recording:")]
    of_cows = sum(len(to_look_at(one.facts)) for one in recordings)
    assert len(collection["member"]) == len(animals) + of_cows
    assert ("left out" in said.err) == (len(alerts) > len(animals) + len(recordings))
