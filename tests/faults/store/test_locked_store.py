"""Another process holds the store of a real service for seconds: it waits, the page can be read, nothing is lost."""

from __future__ import annotations

from pathlib import Path

import pytest
from faults.store.locked_store import live_through


@pytest.mark.timeout(200)
def test_a_store_held_for_seconds_makes_nobody_wait_who_reads(tmp_path: Path) -> None:
    """The page opens at once, an answer is kept when the other process is done, and nobody is told of a trouble."""
    found = live_through(tmp_path / "farm", "immediate", 3)

    assert (found.lost, found.doubled) == (0, 0)
    assert found.page is not None and found.page.status == 200 and found.page.took_s < 2
    assert found.answered is not None and found.answered.status == 200
    assert found.in_log == 1
    assert found.told == (0, 0)
    assert found.recovered_s < 15
