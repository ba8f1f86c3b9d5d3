"""Many alerts at once under a real service: all are kept, the ceiling of pushes holds, and lists stay short."""

from __future__ import annotations

from pathlib import Path

import pytest
from faults.sending.storm import AT_MOST, LIST_S, live_through

from sentinel.flow.notices.wording import LINES_MOST


@pytest.mark.timeout(200)
def test_a_storm_of_alerts_is_kept_whole_and_told_in_few_words(tmp_path: Path) -> None:
    """Each alert is raised, told and over once; of many together the first are named, and how many more there are."""
    found = live_through(tmp_path / "farm", cows=60, factor=1800.0)

    assert (found.lost, found.doubled) == (0, 0)
    assert found.most_an_hour <= AT_MOST
    assert max(found.first_s) < 15
    assert found.list_s < LIST_S
    assert found.memory_mb < 250
    together = [one for one in found.messages if one.title == "55 alerts together"]
    assert len(together) == 2
    assert together[0].body.count("\n- ") == LINES_MOST
    assert f"and {55 - LINES_MOST} more" in together[0].body
    [ends] = [one for one in found.messages if one.title == "Over: 120 alerts"]
    assert f"and {120 - LINES_MOST} more" in ends.body
