"""The benchmarks run: what they stand on changes with the program, and their figures are asked for seldom."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]


@pytest.mark.timeout(180)
@pytest.mark.parametrize("part", ["reading,ingest,rules", "latency"])
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
