"""`run` logs at its start what `check` would ask of the maps, and goes on."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

from cli.typed import FEED, export


def test_run_says_what_is_odd_and_watches_all_the_same(farm: Path) -> None:
    """A question left open and a pattern that no file fits: a line each with its place, then it watches."""
    (farm / "feeds" / "milkings.yaml").write_text(FEED + "# QUESTION: are these all?\n")
    (farm / "feeds" / "herd.yaml").write_text(
        'feed: herd\nfiles: "herd_*.csv"\ntables:\n  cows: {cow: Cow, from: Since}\n'
    )
    (farm / "exports" / "a.csv").write_text(export(("7", 60, "1", "milked")))
    process = subprocess.Popen(
        [sys.executable, "-m", "sentinel", "run", str(farm), "--no-page"],
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
    )  # fmt: skip
    lines: list[str] = []
    for line in process.stdout or ():
        lines.append(line.rstrip("\n"))
        if line.startswith("Watching "):
            break
    process.terminate()
    process.communicate(timeout=60)

    asked = [line.partition("WARNING ")[2] for line in lines if " WARNING " in line]
    assert [re.match(r"[^ ]+", one)[0] for one in asked] == ["feeds/herd.yaml:2:1:", "feeds/milkings.yaml:12:3:"]  # type: ignore[index]
    assert "an open question: are these all?" in asked[1]
    assert lines[-1].startswith("Watching ")
