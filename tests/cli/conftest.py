"""Farm folders to type commands in: nothing read yet, an alert told, a small history."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.typed import FEED, RULES, SETTLE, export, failures, sentinel


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    """A farm folder as `init` makes it, with one feed map and two rules; nothing read yet."""
    folder = tmp_path / "farm"
    assert sentinel("init", folder, "--zone", "UTC").code == 0
    for shipped in (folder / "rules").glob("*.yaml"):
        shipped.unlink()
    (folder / "rules" / "boxes.yaml").write_text(RULES)
    (folder / "feeds" / "milkings.yaml").write_text(FEED)
    (folder / "farm.yaml").write_text((folder / "farm.yaml").read_text() + SETTLE)
    return folder


@pytest.fixture
def told(farm: Path) -> Path:
    """The same, after six cows were not attached at box 2 and `once` was run."""
    (farm / "exports" / "a.csv").write_text(export(*failures("2", 6, 100), ("7", 30, "1", "milked")))
    said = sentinel("once", farm)
    assert said.code == 0, said.err
    return farm


@pytest.fixture
def log(told: Path) -> Path:
    """A farm with a small history: an alert, an answer whose note would be a formula, and a second box's alert."""
    sentinel("answer", 1, "--by", "Operator", "--finding", "optics dirty", "--note", "=2+5", "--farm", told)
    (told / "exports" / "b.csv").write_text(export(*failures("1", 7, 200)))
    sentinel("once", told)
    return told
