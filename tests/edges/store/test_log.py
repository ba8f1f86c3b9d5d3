"""The log is one chain, and is asked by what its entries say."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sentinel.edges.store import Store
from sentinel.edges.store.log import append_entries, entries_after, entry_with, log_entries
from sentinel.flow.alerts.chain import START
from sentinel.flow.model import Entry


def test_the_chain_goes_on_after_the_store_was_closed(tmp_path: Path) -> None:
    """The first entry after opening follows the last one before."""
    store = Store(tmp_path / "sentinel.db")
    assert store.verify() == (0, START)
    first = append_entries(store, [Entry(1, "start"), Entry(2, "stop")])[-1]
    store.close()
    second = append_entries(Store(tmp_path / "sentinel.db"), [Entry(3, "start")])[0]

    assert (second.seq, second.previous) == (3, first.hash)


def test_entries_are_asked_for_by_what_they_say() -> None:
    """Everything given must hold; a subject stands for its parts too, and a span of time ends before its end."""
    store = Store(None)
    append_entries(
        store,
        [
            Entry(10, "raised", 1, "late-cow", "cow:7"),
            Entry(20, "answer", 1, "late-cow", "cow:7", "Marit"),
            Entry(20, "raised", 2, "quarter-conductivity", "quarter:7/LF"),
            Entry(30, "chore", subject="chore:filter/2", person="Marit"),
            Entry(40, "over", 1, "late-cow", "cow:7"),
        ],
    )

    def found(**asked: Any) -> list[int]:
        return [one.seq for one in log_entries(store, **asked)]

    assert found() == [1, 2, 3, 4, 5]
    assert (found(alert=1), found(kind="raised"), found(rule="late-cow")) == ([1, 2, 5], [1, 3], [1, 2, 5])
    assert (found(subject="chore:filter"), found(subject="quarter:7"), found(subject="cow")) == ([4], [3], [])
    assert (found(person="Marit"), found(person="Marit", kind="chore")) == ([2, 4], [4])
    assert (found(since=20), found(until=20), found(since=20, until=40)) == ([2, 3, 4, 5], [1], [2, 3, 4])
    assert [one.seq for one in entries_after(store, 3)] == [4, 5]
    assert entry_with(store, 5) == log_entries(store)[-1]
    assert entry_with(store, 6) is None
