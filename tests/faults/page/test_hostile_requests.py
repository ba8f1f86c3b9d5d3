"""A few seconds of each kind of hostile request to a real page, while somebody goes on using it."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from besieged import besieged_farm
from faults.page.hostile_requests import Siege

pytestmark = [
    pytest.mark.skipif(sys.platform != "linux", reason="needs Linux: addresses of this machine"),
    pytest.mark.timeout(240),
]


def test_nothing_that_is_asked_makes_the_page_fail_or_somebody_wait(tmp_path: Path) -> None:
    """No 5xx, no good request unanswered, nothing said of a failure."""
    with besieged_farm(tmp_path) as page:
        siege = Siege(page)

        def hostile() -> None:
            for part in (siege.odd, siege.bad_http, siege.slow_and_huge):
                part(2)

        stood = siege.while_good(hostile)

    assert stood.failed == []
    assert stood.unanswered == []
    assert stood.traceback == ""
    assert stood.asked > 30 and stood.good > 3
    assert stood.longest_s < 10
    assert stood.memory_mb < 250
