"""The benchmarks run: what they stand on changes with the program, and their figures are asked for seldom."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]


@pytest.mark.timeout(180)
@pytest.mark.parametrize("part", ["reading,ingest,rules,sweep", "latency"])
def test_a_small_run_of_each_part_gives_its_figures(part: str) -> None:
    """No figure is held to anything here; each must be there."""
    asked = ["--cows", "12", "--days", "12", "--times", "1", "--exports", "1", "--only", part]
    run = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks", *asked],
        cwd=TOP,
        capture_output=True,
        text=True,
        timeout=170,
        check=False,
    )

    assert run.returncode == 0, run.stderr[-2000:]
    assert "best of 1" in run.stdout
    assert "Traceback" not in run.stderr


@pytest.mark.timeout(240)
def test_a_small_past_told_again_is_what_was_raised() -> None:
    """Tick by tick, with how long it took beside the reading in bulk; only the former is held to anything."""
    asked = ["--cows", "12", "--days", "11", "--exports", "40", "--skip-demo"]
    run = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.as_arrived", *asked],
        cwd=TOP,
        capture_output=True,
        text=True,
        timeout=230,
        check=False,
    )

    assert run.returncode == 0, run.stdout[-2000:] + run.stderr[-2000:]
    assert "as live" in run.stdout
