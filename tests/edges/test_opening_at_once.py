"""Opening a store: several processes at once, also when the file is not there yet."""

from __future__ import annotations

import multiprocessing
from pathlib import Path
from typing import Any

from sentinel.edges.store import Store

FILES = 10


def _open_and_write(folder: Path, number: int, together: Any) -> None:
    """Open each store at the same moment as the others, leave a word, and close it; fails if it cannot."""
    for name in range(FILES):
        together.wait(60)
        store = Store(folder / f"{name}.db")
        store.put_meta(str(number), "was here")
        store.close()


def test_a_new_store_can_be_opened_by_several_processes_at_once(tmp_path: Path) -> None:
    """`sentinel run` died of "database is locked" when another command opened the farm's new store beside it."""
    context = multiprocessing.get_context("spawn")
    together = context.Barrier(3)
    processes = [context.Process(target=_open_and_write, args=(tmp_path, number, together)) for number in range(3)]
    for process in processes:
        process.start()
    for process in processes:
        process.join(90)

    assert [process.exitcode for process in processes] == [0, 0, 0]
    for name in range(FILES):
        store = Store(tmp_path / f"{name}.db")
        assert [store.meta(str(number)) for number in range(3)] == ["was here"] * 3
        store.close()
