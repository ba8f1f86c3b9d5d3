"""A full disk under a real service: nobody is rung again and again, a person is told once, and nothing is lost."""

from __future__ import annotations

from pathlib import Path

import pytest
from faults.full_disk import TOLD, disk, live_through


@pytest.mark.timeout(300)
@pytest.mark.parametrize("kind", ["tmpfs", "limit"])
def test_a_full_disk_rings_nobody_twice_and_ends_by_itself(tmp_path: Path, kind: str) -> None:
    """At most two copies of what was delivered and not noted; told once, from memory; well within a minute of room."""
    with disk(tmp_path / "tried") as tried:
        if kind == "tmpfs" and tried.kind != "tmpfs":
            pytest.skip("no disk of its own may be mounted here; the limit on files stands in for it")

    found = live_through(tmp_path / "farm", limited=kind == "limit")

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
