"""A farm's days with everything going wrong in them lead to the same alerts as those in which nothing does."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from faults.days.faulty_days import FAULTS
from faults.days.soak import soak

QUICK = {name: 0.12 for name in FAULTS if name not in ("disk_full", "locked")}
"""A fault at nearly every step, but for the two that have tests of their own and take half a minute each."""


@pytest.mark.timeout(300)
@pytest.mark.skipif(os.name != "posix", reason="kills processes with POSIX signals")
def test_half_a_day_full_of_faults_leads_to_the_same_alerts(tmp_path: Path) -> None:
    """Half a day of a simulated herd. Thirty days, and the other two faults: `deploy/test --faults soaked`."""
    found = soak(tmp_path, days=15, seed=2, faults=QUICK, before=300, upto=335)

    assert (found.lost, found.more) == ([], []), str(found)
    assert len({rule for rule, *_ in found.peace.alerts}) > 2, found.peace.alerts
    assert len(found.faults.took) >= len(QUICK) - 2, str(found)
    assert found.faults.took["killed"] > 0
    assert found.faults.memory_mb < 250
