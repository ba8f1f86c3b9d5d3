"""Copies of a store: whole or not there, and put in a store's place in an order that never leaves half of one."""

from __future__ import annotations

from pathlib import Path

import pytest

from sentinel.edges.store import Store
from sentinel.edges.store.copies import Reach, back_up, last_heard, looked_over, made_ready, put_in_place
from sentinel.edges.store.log import append_entries, log_entries
from sentinel.errors import DamagedError, UsageError
from sentinel.flow.model import Entry


def test_a_copy_goes_as_far_as_the_store_and_comes_back_in_its_place(tmp_path: Path) -> None:
    """What stood there is set aside with all that SQLite keeps beside it."""
    path, copy = tmp_path / "sentinel.db", tmp_path / "copy.db"
    store = Store(path)
    [first] = append_entries(store, [Entry(10, "start")])
    back_up(store, copy)
    append_entries(store, [Entry(20, "stop")])
    store.close()

    assert looked_over(copy) == Reach(1, 10, first.hash)
    assert put_in_place(made_ready(copy, tmp_path, path.name), path, tmp_path / "aside") == [path.name]
    assert last_heard(tmp_path / "aside" / path.name) == 20
    again = Store(path)
    assert [one.entry.kind for one in log_entries(again)] == ["start"]
    again.close()


def test_no_copy_is_left_of_a_damaged_store(tmp_path: Path) -> None:
    """It would take the place of a good one."""
    store = Store(tmp_path / "sentinel.db")
    store.conn.execute("pragma foreign_keys = off")
    store.conn.execute("insert into visits (cow, start, first_file) values ('7', 0, 99)")

    with pytest.raises(DamagedError, match="sentinel restore"):
        back_up(store, tmp_path / "copy.db")
    assert [path.name for path in tmp_path.glob("copy*")] == []


def test_what_is_no_whole_store_is_not_taken_back(tmp_path: Path) -> None:
    """The sentence says what speaks against it; nothing is changed."""
    (tmp_path / "copy.db").write_text("Cow;Start\n" * 200)

    with pytest.raises(UsageError, match="is not whole"):
        looked_over(tmp_path / "copy.db")
    with pytest.raises(UsageError, match="is not a file"):
        looked_over(tmp_path / "nothing.db")
    assert last_heard(tmp_path / "copy.db") is None
