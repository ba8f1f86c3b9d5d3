"""`map`: the draft of a feed map."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.typed import sentinel

DEMO = Path(__file__).parents[3] / "demo_feeds"


@pytest.mark.parametrize(
    "name", ["milkings_20260504_0100.csv", "boxlog_2026-05-04_0100.xlsx", "tank_*.jsonl", "herd_2026-05-04_0000.xlsx"]
)
def test_a_drafted_map_is_accepted_or_explained_by_check(farm: Path, name: str) -> None:
    """The draft of each of the demo's exports, saved under feeds/: check takes it, or names places in it."""
    sample = sorted((DEMO / "exports").glob(name))[0]
    drafted = sentinel("map", sample, "--farm", farm)
    (farm / "feeds" / "milkings.yaml").write_text(drafted.out)
    checked = sentinel("check", farm)

    assert drafted.code == 0
    assert drafted.out.count("#") > 3  # commented
    explained = all(line.startswith("feeds/milkings.yaml:") for line in checked.err.splitlines())
    assert checked.code == 0 or (checked.err and explained), checked.err


def test_a_draft_is_asked_of_a_file(farm: Path) -> None:
    """A name that is no file is refused in one sentence."""
    said = sentinel("map", farm / "nothing.csv", "--farm", farm)

    assert (said.code, said.err.strip()) == (2, f"{farm / 'nothing.csv'} is not a file")
