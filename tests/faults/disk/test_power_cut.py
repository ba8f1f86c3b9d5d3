"""The power goes while a real service works: what it told or was answered is still known, and nobody is rung again."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from faults.disk.power_cut import Disk, Done, cannot, power_cut


@pytest.mark.skipif(bool(cannot()), reason=cannot() or "it can be tried")
def test_a_power_cut_at_any_moment_loses_nothing_that_was_told(tmp_path: Path) -> None:
    """Sixty moments of a farm at work; on three of the disks that are left the service begins again."""
    _, found = power_cut(tmp_path, cuts=60, cows=4, seed=3)

    assert (found.lost, found.doubled) == ([], [])
    assert (found.cuts, found.begun_again) == (60, 3)


def _left(*done: Done) -> list[dict[str, bytes]]:
    """What a hundred power cuts leave of what was done."""
    disk = Disk({"farm/a": b"before"})
    for one in done:
        disk.do(one)
    return [disk.after_the_cut(random.Random(seed)) for seed in range(100)]


def test_what_was_not_synced_may_be_there_or_not() -> None:
    """Of a write that nobody asked to be kept, some cuts leave the old and some the new bytes; torn at sectors."""
    found = _left(Done("w", "farm/a", 0, b"x" * 1024))
    kept = {one["farm/a"].ljust(1024, b".") for one in found}

    assert {b"before".ljust(1024, b"."), b"x" * 1024} <= kept
    assert b"x" * 512 + b"." * 512 in kept


def test_what_was_synced_is_always_there() -> None:
    """The bytes by a sync of the file, the name by one of its folder."""
    written = (Done("c", "farm/b", 0, b""), Done("w", "farm/b", 0, b"kept"), Done("s", "farm/b", 0, b""))

    assert {one.get("farm/b") for one in _left(*written)} == {None, b"kept"}
    assert {one.get("farm/b") for one in _left(*written, Done("s", "farm", 0, b""))} == {b"kept"}


def test_a_file_renamed_before_it_was_synced_may_be_empty_under_its_new_name() -> None:
    """The mistake that keeps a name and forgets what was in it."""
    done = (Done("c", "farm/b", 0, b""), Done("w", "farm/b", 0, b"new"), Done("r", "farm/b", 0, b"farm/a"))

    assert {b"before", b"", b"new"} <= {one.get("farm/a") for one in _left(*done)}
