"""The demo's week as a plan: one seed, one week; and the command that writes it."""

from __future__ import annotations

from pathlib import Path

from typer.testing import CliRunner

from sentinel.simulator import Simulated
from sentinel.simulator.__main__ import app
from sentinel.simulator.demo import demo_week
from sentinel.simulator.exports.files import export_files
from sentinel.simulator.plans.demo_week import DRIES, FAILS, ONCE_A_DAY


def test_one_seed_one_week() -> None:
    """The same seed gives the same bytes and truth; another seed another week with the same things planned."""
    one, same, other = demo_week(5), demo_week(5), demo_week(6)
    files = [{file.name: file.content for file in export_files(week)} for week in (one, same, other)]

    assert (files[0], one.truth) == (files[1], same.truth)
    assert list(files[0]) == list(files[2])
    assert files[0] != files[2]

    def planned(week: Simulated) -> set[tuple[str, str]]:
        by_itself = ("cow-late", "row-corrected")
        return {(item["kind"], item["subject"]) for item in week.items if item["kind"] not in by_itself}

    assert planned(one) == planned(other)


def test_parts_go_to_cows_that_are_there_once() -> None:
    """Each number is one cow's, and the cows of the parts have those of the plan."""
    subjects = {item["kind"]: item["subject"] for item in demo_week(5).items}
    numbers = demo_week(5).tables.cows.drop_duplicates("cow")["cow"]

    assert numbers.is_unique
    assert [subjects[kind] for kind in ("cow-fails-everywhere", "once-a-day", "dried-off")] == [
        f"cow:{name}" for name in (FAILS, ONCE_A_DAY, DRIES)
    ]


def test_command(tmp_path: Path) -> None:
    """`python -m sentinel.simulator demo OUT` writes the farm folder's exports, maps, arrivals and truth."""
    result = CliRunner().invoke(app, ["demo", str(tmp_path / "demo")])

    assert result.exit_code == 0, result.output
    assert "687 exports" in result.output
    assert sorted(p.name for p in (tmp_path / "demo").iterdir()) == [
        "arrivals.csv",
        "exports",
        "farm.yaml",
        "feeds",
        "truth.json",
    ]
