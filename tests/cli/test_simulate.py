"""`sentinel simulate`: what it writes, and what it refuses in one sentence."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from sentinel.cli import app
from sentinel.errors import UsageError
from sentinel.simulator.conditions import CONDITIONS


def test_command(tmp_path: Path) -> None:
    """`sentinel simulate OUT` writes exports, maps, farm.yaml, arrivals and truth, but not into a full folder."""
    asked = ["simulate", str(tmp_path / "herd"), "--cows", "20", "--boxes", "1", "--days", "12", "--seed", "4"]
    result = CliRunner().invoke(app, asked)

    assert result.exit_code == 0, result.output
    assert "20 cows and 1 boxes over 12 days" in result.output
    assert sorted(p.name for p in (tmp_path / "herd").iterdir()) == [
        "arrivals.csv",
        "exports",
        "farm.yaml",
        "feeds",
        "truth.json",
    ]
    assert isinstance(CliRunner().invoke(app, asked).exception, UsageError)


def test_command_with_split_exports(tmp_path: Path) -> None:
    """`sentinel simulate OUT --split` writes visits and quarters apart, each with its map, and the same truth."""
    asked = ["--cows", "20", "--boxes", "1", "--days", "12", "--seed", "4"]
    whole = CliRunner().invoke(app, ["simulate", str(tmp_path / "whole"), *asked])
    split = CliRunner().invoke(app, ["simulate", str(tmp_path / "split"), *asked, "--split"])

    assert (whole.exit_code, split.exit_code) == (0, 0), split.output
    assert sorted(p.name for p in (tmp_path / "split/feeds").iterdir()) == [
        "boxlog.yaml",
        "herd.yaml",
        "quarters.yaml",
        "recording.yaml",
        "tank.yaml",
        "visits.yaml",
    ]
    kinds = {path.name.partition("_")[0] for path in (tmp_path / "split/exports").iterdir()}
    assert kinds == {"boxlog", "herd", "quarters", "recording", "tank", "visits"}
    for same in ("truth.json", "farm.yaml"):
        assert (tmp_path / "split" / same).read_bytes() == (tmp_path / "whole" / same).read_bytes()


def test_command_under_conditions(tmp_path: Path) -> None:
    """`--condition` may be given often, decides the herd, and stands in the truth; `?` lists all there are."""
    asked = ["simulate", str(tmp_path / "herd"), "--days", "12", "--condition", "one-box", "--condition", "no-box-log"]
    result = CliRunner().invoke(app, asked)
    listed = CliRunner().invoke(app, ["simulate", str(tmp_path / "none"), "--condition", "?"])
    unknown = CliRunner().invoke(app, ["simulate", str(tmp_path / "none"), "--condition", "hard"])
    truth = json.loads((tmp_path / "herd" / "truth.json").read_text(encoding="utf-8"))

    assert "60 cows and 1 boxes" in result.output
    assert [one["name"] for one in truth["conditions"]] == ["one-box", "no-box-log"]
    assert not (tmp_path / "herd/feeds/boxlog.yaml").exists()
    assert all(f"{one.name}: {one.means}" in listed.output for one in CONDITIONS.values())
    assert isinstance(unknown.exception, UsageError)
    assert not (tmp_path / "none").exists()


@pytest.mark.parametrize(
    ("option", "given"), [("--zone", "Nowhere/Land"), ("--start", "5.1.2026"), ("--cows", "900"), ("--days", "3")]
)
def test_wrong_choices_are_one_sentence(tmp_path: Path, option: str, given: str) -> None:
    """A zone, day or size that cannot be is said, and nothing is written."""
    result = CliRunner().invoke(app, ["simulate", str(tmp_path / "herd"), option, given])

    assert isinstance(result.exception, UsageError)
    assert not (tmp_path / "herd").exists()
