"""Who waits to write keeps nobody out who reads."""

from __future__ import annotations

import sqlite3
import threading
from pathlib import Path

from sentinel.edges.clock import Clock
from sentinel.edges.store import Store
from sentinel.edges.store.history import last_tick


def test_while_another_process_writes_those_who_read_do_not_wait(tmp_path: Path) -> None:
    """Whoever writes waits their turn, and is told if it does not come; the others read meanwhile."""
    store, clock = Store(tmp_path / "sentinel.db"), Clock()
    other = sqlite3.connect(tmp_path / "sentinel.db", isolation_level=None)
    other.execute("begin immediate")
    refused: list[str] = []

    def write() -> None:
        try:
            with store.writing(1.0):
                store.put_meta("a", "1")
        except sqlite3.OperationalError as error:
            refused.append(str(error))

    writer = threading.Thread(target=write)
    writer.start()
    longest_s = 0.0
    while writer.is_alive():
        begun = clock.steady()
        last_tick(store)
        longest_s = max(longest_s, clock.steady() - begun)
    other.execute("rollback")
    write()

    assert refused == ["database is locked"]
    assert longest_s < 0.5
    assert store.meta("a") == "1"
