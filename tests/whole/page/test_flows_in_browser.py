"""What is done most often with the page takes no more taps and scrolls than this: as it is, under load, without signal.

`PYTHONPATH=tests python -m whole.page.flows` prints the same as a table.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browsers import Phones, needs_browser
from whole.demo.demo_page import at_work
from whole.demo.played_demo import played
from whole.page.flows import CONDITIONS, ON_THE_DEMO, ON_THE_ROUND, Opened, held_up
from whole.page.round_farm import farm_with_round

pytestmark = [needs_browser, pytest.mark.timeout(620)]

MOST = {
    "answer a box": (2, 0),
    "answer a quarter": (2, 0),
    "decide on a cow": (2, 0),
    "see the herd": (1, 0),
    "tick three boxes": (3, 4),
    "undo": (2, 1),
}
"""Taps, the one on the notice's link among them, and scrolls."""


@pytest.fixture
def opened(phones: Phones, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Opened]:
    """The farm that the demo left, at work again, with a page that can be held up."""
    with at_work(played(tmp_path_factory).farm, tmp_path / "farm") as farm, held_up(farm, phones) as found:
        yield found


@pytest.mark.parametrize("condition", CONDITIONS)
@pytest.mark.parametrize("flow", ON_THE_DEMO)
def test_what_is_done_on_an_alert_a_cow_or_the_herd(opened: Opened, flow: str, condition: str) -> None:
    """From the notice or the first page; what was said is with the farm once, whatever the line is like."""
    thumb = ON_THE_DEMO[flow](opened, condition)

    taps, scrolls = MOST[flow]
    assert (thumb.taps, thumb.scrolls <= scrolls) == (taps, True), thumb.scrolls


@pytest.mark.parametrize("condition", CONDITIONS)
@pytest.mark.parametrize("flow", ON_THE_ROUND)
def test_what_is_done_on_the_round(chromium: Any, tmp_path: Path, flow: str, condition: str) -> None:
    """Three boxes ticked, or one chore ticked and taken back; each is kept once."""
    with farm_with_round(chromium, tmp_path / "farm") as farm:
        thumb = ON_THE_ROUND[flow](farm, condition)

    taps, scrolls = MOST[flow]
    assert (thumb.taps, thumb.scrolls <= scrolls) == (taps, True), thumb.scrolls
