"""A full disk under a real service: nobody is rung again and again, a person is told once, and nothing is lost."""

from __future__ import annotations

from pathlib import Path

import pytest
from faults.disk.full_disk import TOLD, disk, live_through, start_on_a_full_disk


@pytest.mark.timeout(300)
def test_a_full_disk_rings_nobody_twice_and_ends_by_itself(tmp_path: Path) -> None:
    """At most two copies of what was delivered and not noted; told once, from memory; well within a minute of room.

    The disk is a real one where it may be mounted, elsewhere a limit on the size of files stands in for it; both ways:
    `deploy/test --faults disk_full`.
    """
    with disk(tmp_path / "tried") as tried:
        kind = tried.kind

    found = live_through(tmp_path / "farm")

    assert found.kind == kind
    assert found.faced.lost == 0
    assert found.phone.count("Cow 7: 1 failure") <= 2
    assert found.phone.count("Cow 8: 1 failure") == 1
    assert sum(title in TOLD for title in (*found.phone, *found.mail)) == 1
    assert len(found.phone) + len(found.mail) <= 6
    assert found.noted
    assert found.recovered_s < 60
    assert found.health[0] == 503
    assert found.health[1]["ok"] is False
    assert set(found.health[1]["troubles"]) & {"disk-full", "store"}
    if kind == "tmpfs":  # the limit forbids writing in place as well, so what is left there is what was before
        assert found.state["failing_since"] is not None


@pytest.mark.timeout(200)
def test_a_service_that_starts_on_a_full_disk_stays_is_told_and_begins_when_there_is_room(tmp_path: Path) -> None:
    """It does not end and begin again for ever: one process, one ring, and `status` works meanwhile."""
    with disk(tmp_path / "tried") as tried:
        if tried.kind != "tmpfs":
            pytest.skip("no disk of its own may be mounted here, and a limit is laid on a process that runs already")

    found = start_on_a_full_disk(tmp_path / "farm")

    assert found.told == 1
    assert found.status[0] == 1
    assert "disk       full" in found.status[1]
    assert "they fail since" in found.status[1]
    assert found.recovered_s < 60
    assert found.titles.count("Cow 8: 1 failure") == 1
