"""The demo played by its command, and the hand that holds the phone afterwards."""

from __future__ import annotations

import os
import pickle
import re
import subprocess
import sys
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from filelock import FileLock

SENTINEL = (sys.executable, "-W", "error", "-m", "sentinel")


def sentinel(*given: str | Path) -> subprocess.CompletedProcess[str]:
    """Run a command as a user would, with warnings as errors."""
    command = [*SENTINEL, *map(str, given)]
    return subprocess.run(
        command, capture_output=True, text=True, timeout=600, check=False, env={**os.environ, "COLUMNS": "100"}
    )


class Told(NamedTuple):
    """A demo that was played: what it printed, its words without line breaks, and the farm it left."""

    result: subprocess.CompletedProcess[str]
    words: str
    farm: Path


def played(tmp_path_factory: pytest.TempPathFactory) -> Told:
    """The demo, played once as fast as it goes: once for all the processes that a run of the tests has."""
    base = tmp_path_factory.getbasetemp()
    base = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    farm, printed = base / "played-demo" / "farm", base / "played-demo.pickle"
    with FileLock(base / "played-demo.lock"):
        if not printed.exists():
            printed.write_bytes(pickle.dumps(sentinel("demo", "--fast", "--keep", farm)))
    result = pickle.loads(printed.read_bytes())
    return Told(result, " ".join(re.sub(r"[│╭╮╰╯─]", " ", result.stdout).split()), farm)


class Thumb:
    """Whoever holds the phone: every tap is counted."""

    def __init__(self, tab: Any) -> None:
        self.tab = tab
        self.taps = 0

    def follow(self, link: str) -> None:
        """Tap a link in a notice."""
        self.taps += 1
        self.tab.goto(link)

    def tap(self, what: str) -> None:
        """Tap something on the page that is open."""
        self.taps += 1
        self.tab.tap(what)
