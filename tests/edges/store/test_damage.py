"""What is looked at of a store's file, and what an error says of it."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from sentinel.edges.store import Store
from sentinel.edges.store.damage import MARK, at_first_sight, check_file, is_damage, refuse_what_is_gone
from sentinel.edges.store.log import append_entries
from sentinel.errors import DamagedError, LogChainError
from sentinel.flow.model import Entry


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """The file of a store with a log of two entries, that is closed."""
    store = Store(tmp_path / "sentinel.db")
    append_entries(store, [Entry(10, "start"), Entry(20, "stop")])
    store.close()
    return tmp_path / "sentinel.db"


def test_a_look_at_a_whole_store_finds_nothing_and_changes_nothing(path: Path) -> None:
    """Its bytes stay as they are; all of it read tells how far its log goes."""
    before = path.read_bytes()

    assert at_first_sight(path) == ""
    assert check_file(path, still=True)[0] == 2
    assert path.read_bytes() == before


def test_broken_pages_are_found_at_first_sight(path: Path) -> None:
    """In SQLite's own words."""
    broken = bytearray(path.read_bytes())
    broken[4096:] = bytes(len(broken) - 4096)
    path.write_bytes(broken)

    assert at_first_sight(path).startswith("SQLite says: ")
    with pytest.raises(DamagedError):
        check_file(path, still=True)


def test_an_entry_that_was_changed_is_found_by_the_chain(path: Path) -> None:
    """The triggers that refuse it can be taken away, but not the hashes of what follows."""
    conn = sqlite3.connect(path)
    conn.execute("drop trigger log_is_never_changed")
    conn.execute("update log set person = 'Nobody' where seq = 1")
    conn.commit()
    conn.close()

    with pytest.raises(LogChainError, match="the log is not whole"):
        check_file(path, still=True)


def test_a_store_that_is_gone_is_told_from_one_that_never_was(path: Path, tmp_path: Path) -> None:
    """The mark beside it says that there was one."""
    refuse_what_is_gone(tmp_path / "new" / "sentinel.db")
    path.unlink()

    assert path.with_name(path.name + MARK).is_file()
    with pytest.raises(DamagedError, match="there was a store here before"):
        refuse_what_is_gone(path)


def test_a_full_disk_or_a_lock_is_no_damage() -> None:
    """What SQLite says of others is no fault of the file."""
    said = (
        "database disk image is malformed",
        "file is not a database",
        "database or disk is full",
        "database is locked",
    )

    assert [is_damage(sqlite3.DatabaseError(one)) for one in said] == [True, True, False, False]
    assert not is_damage(ValueError("malformed"))
