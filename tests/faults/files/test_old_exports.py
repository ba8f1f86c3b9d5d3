"""Old exports by the hundred, at a first start and into a running farm: what fails now rings while they are read."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from faults.files.old_exports import Waited, at_the_start, while_running

pytestmark = [
    pytest.mark.timeout(200),
    pytest.mark.skipif(os.name != "posix", reason="moves files into a running farm"),
]


@pytest.mark.parametrize("live", [at_the_start, while_running])
def test_a_box_that_fails_now_rings_while_old_exports_are_read(tmp_path: Path, live: Callable[..., Waited]) -> None:
    """All rows are there in the end, no old failure rings, and it says how much is left."""

    found = live(tmp_path / "farm", 700, 24)

    assert len(found.rang_s) >= 1
    assert max(seconds if seconds is not None else 999 for seconds in found.rang_s) < 20
    assert (found.missing, found.flood, found.doubled, found.faced("").lost) == (0, 0, 0, 0)
    assert found.read_s < 60
    assert 1 <= found.shown < 10
    assert found.lines < 100
    assert found.memory_mb < 250
