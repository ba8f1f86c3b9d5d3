"""The note of which file is being read: what it says after the process ended, and when a file is given up."""

from __future__ import annotations

from pathlib import Path

import pytest

from sentinel.edges.inbox import Inbox, UnderWay
from sentinel.edges.inbox.under_way import GIVEN_UP, LENGTH, NAME, REMEMBERED

STAMP = (10, 5, 7)


class _Killed(BaseException):
    """Stands for the end of the process: nothing runs after it."""


def ended_in(folder: Path, name: str, stamp: tuple[int, int, int] = STAMP) -> None:
    """A process begins to read a file, and is no more."""
    reading = UnderWay(folder).reading(name, stamp)
    reading.__enter__()
    _never_left.append(reading)


_never_left: list[object] = []
"""Kept, as its end would otherwise run when it is let go of."""


def test_a_file_is_given_up_when_the_process_ended_in_it_twice(tmp_path: Path) -> None:
    """Once may be bad luck; another version of it, and other files, are read."""
    ended_in(tmp_path, "a.csv")
    assert UnderWay(tmp_path).given_up("a.csv", STAMP) is None
    ended_in(tmp_path, "a.csv")

    found = UnderWay(tmp_path)
    assert found.given_up("a.csv", STAMP) == GIVEN_UP
    assert found.given_up("a.csv", (11, 6, 7)) is None
    assert found.given_up("b.csv", STAMP) is None


def test_a_file_that_was_read_in_between_begins_anew(tmp_path: Path) -> None:
    """Two kills by hand, days apart, in the same file that grows or is read again, are no reason."""
    ended_in(tmp_path, "a.csv")
    again = UnderWay(tmp_path)
    with again.reading("a.csv", STAMP):
        pass
    again.was_read("a.csv", STAMP)
    ended_in(tmp_path, "a.csv")

    assert UnderWay(tmp_path).given_up("a.csv", STAMP) is None


def test_others_that_are_read_in_between_do_not_make_it_forgotten(tmp_path: Path) -> None:
    """New files may come before it at the next start."""
    ended_in(tmp_path, "a.csv")
    again = UnderWay(tmp_path)
    for name in ("b.csv", "c.csv"):
        with again.reading(name, STAMP):
            pass
        again.was_read(name, STAMP)
    ended_in(tmp_path, "a.csv")

    assert UnderWay(tmp_path).given_up("a.csv", STAMP) == GIVEN_UP


def test_what_is_raised_is_no_end_of_the_process(tmp_path: Path) -> None:
    """A full disk, or Ctrl-C: whoever raises still runs."""
    for _ in range(3):
        with pytest.raises(_Killed), UnderWay(tmp_path).reading("a.csv", STAMP):
            raise _Killed

    assert UnderWay(tmp_path).given_up("a.csv", STAMP) is None


def test_the_note_never_grows(tmp_path: Path) -> None:
    """Whatever the names, and however many."""
    for number in range(2 * REMEMBERED):
        ended_in(tmp_path, f"{number}" + "\U0001f404" * 3000, (2**60, 2**62, number))

    assert (tmp_path / NAME).stat().st_size == LENGTH
    assert UnderWay(tmp_path).given_up("7" + "\U0001f404" * 3000, (2**60, 2**62, 7)) is None


@pytest.mark.parametrize(
    "left", [b"", b"\xff" * 9, b"{", b'{"now": 5, "ended": []}', b'{"now": ["a", [1]], "ended": []}']
)
def test_a_note_that_cannot_be_read_says_nothing(tmp_path: Path, left: bytes) -> None:
    """It is no reason not to read, and the next one is written over it."""
    (tmp_path / NAME).write_bytes(left)

    assert UnderWay(tmp_path).given_up("a", (1, 1, 1)) is None


def test_where_no_note_can_be_written_files_are_read_all_the_same(tmp_path: Path) -> None:
    """A folder in its place stands for a disk that takes nothing."""
    (tmp_path / NAME).mkdir()

    with UnderWay(tmp_path).reading("a.csv", STAMP):
        pass


def test_a_file_given_up_is_found_once_refused_and_read_when_it_changed(tmp_path: Path) -> None:
    """Its rows are then all new, also those that it had before."""
    inbox, beside = tmp_path / "exports", tmp_path / "beside"
    inbox.mkdir(), beside.mkdir()
    path = inbox / "a.csv"
    path.write_bytes(b"cow\n1\n")
    info = path.stat()
    for _ in range(2):
        ended_in(beside, "a.csv", (info.st_size, info.st_mtime_ns, info.st_ino))
    watched = Inbox(inbox, {}, quiet_s=0, tail_s=0, under_way=UnderWay(beside))

    (found,) = watched.scan(0, 2e10).files
    assert found.refused == GIVEN_UP
    watched.settled(found.name, found.seen)
    assert watched.scan(1, 2e10).files == ()
    path.write_bytes(b"cow\n1\n2\n")
    (found,) = watched.scan(2, 2e10).files
    assert (found.refused, found.read_from, found.content) == (None, 0, b"cow\n1\n2\n")
