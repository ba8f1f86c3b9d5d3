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


REACH_PX = 560
"""So far a thumb moves the page at once: two thirds of a phone's screen (our choice, no source)."""

MOST_SCROLLS = 40

MENU_TOP = "document.querySelector('.tabs').getBoundingClientRect().top"


class Thumb:
    """Whoever holds the phone: every tap and every scroll is counted."""

    def __init__(self, tab: Any) -> None:
        self.tab = tab
        self.taps = 0
        self.scrolls = 0

    def follow(self, link: str) -> None:
        """Tap a link in a notice."""
        self.taps += 1
        self.tab.goto(link)

    def tap(self, what: str) -> None:
        """Tap something on the page that is open."""
        self.taps += 1
        self.tab.tap(what)

    def touch(self, what: str) -> None:
        """Scroll as a thumb does until something is seen whole above the menu, and tap it where it is."""
        self.see(what)
        box = self.tab.locator(what).first.bounding_box()
        self.taps += 1
        self.tab.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)

    def see(self, what: str) -> None:
        """Scroll as a thumb does until something is seen whole above the menu."""
        found = self.tab.locator(what).first
        found.wait_for()
        for _ in range(MOST_SCROLLS):
            box, menu = found.bounding_box(), self.tab.evaluate(MENU_TOP)
            if box["y"] >= 0 and box["y"] + box["height"] <= menu:
                return
            self.tab.mouse.wheel(0, REACH_PX if box["y"] > 0 else -REACH_PX / 2)
            self.tab.wait_for_timeout(150)
            self.scrolls += 1
        raise AssertionError(f"not seen in {MOST_SCROLLS} scrolls: {what}")
