"""The exports' folder goes and comes back under a real service: nothing is lost, nothing told twice, nothing hidden."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from faults.share.gone_share import Back, and_back, back_otherwise, gone_at_start, share

pytestmark = [pytest.mark.timeout(200), pytest.mark.skipif(os.name != "posix", reason="mounts, links and signals")]

AWAY_S = 4.0


@pytest.fixture(scope="module")
def came(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Back]:
    """Ways for it to be away for a few seconds, at once: they mostly wait."""
    folder = tmp_path_factory.mktemp("share")
    ways = {
        "lazily": lambda place: and_back(place, AWAY_S, lazily=True),
        "at the start": lambda place: gone_at_start(place, AWAY_S),
        "otherwise": lambda place: back_otherwise(place, AWAY_S),
        "renamed": lambda place: and_back(place, AWAY_S, renamed=True),
    }
    with share(folder / "tried") as tried:
        if tried.kind != "mount":
            ways = {name: way for name, way in ways.items() if name == "renamed"}
    with ThreadPoolExecutor(len(ways)) as pool:
        begun = {name: pool.submit(way, folder / name.replace(" ", "_")) for name, way in ways.items()}
        return {name: one.result() for name, one in begun.items()}


@pytest.mark.parametrize("way", ["lazily", "at the start", "otherwise", "renamed"])
def test_what_was_written_before_and_meanwhile_rings_once(came: dict[str, Back], way: str) -> None:
    """Soon after it is back; the exports are left as they were written, and the past is told again as it was."""
    if way not in came:
        pytest.skip("nothing may be mounted here; a folder renamed away stands in")
    found = came[way]

    assert set(found.rang.values()) == {1}
    assert found.recovered_s < 10
    assert (found.rows_twice, found.changed, found.faced.lost, found.faced.doubled) == (0, 0, 0, 0)
    assert found.replay_equals_live
    assert found.told == ()  # a few seconds are no news


def test_what_is_said_meanwhile_is_the_truth(came: dict[str, Back]) -> None:
    """Also of a share that left an empty folder behind, and of one that was not there at a start."""
    for way in came.keys() - {"otherwise"}:
        assert came[way].health == (503, ("inbox",))
        assert "nothing is mounted at" in came[way].status or "is not there" in came[way].status


def test_a_share_that_is_really_empty_is_no_trouble(came: dict[str, Back], tmp_path: Path) -> None:
    """It is connected: whoever empties the folder each day hears nothing of it."""
    if "otherwise" not in came:
        pytest.skip("nothing may be mounted here; a folder renamed away stands in")

    assert came["otherwise"].health == (200, ())
