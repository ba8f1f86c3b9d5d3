"""The store: one writer at a time, everything or nothing, and what comes out is what went in."""

from __future__ import annotations

import multiprocessing
import sqlite3
from pathlib import Path
from typing import Any

import pytest
from whole.whole_farm import BOX_FAILURES, LATE_COW, Life, batch, setup_of

from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.database import fetch
from sentinel.edges.store.inputs import put_answer, waiting_inputs
from sentinel.edges.store.log import append_entries, log_entries
from sentinel.errors import StoreError
from sentinel.flow.model import Answer, Entry

TIMES = 25
FILES = 10


def test_power_may_fail_after_a_commit(tmp_path: Path) -> None:
    """Write-ahead log, every commit brought to the disk, references checked."""
    store = Store(tmp_path / "sentinel.db")
    said = {name: fetch(store, f"pragma {name}")[0][0] for name in ("journal_mode", "synchronous", "foreign_keys")}

    assert said == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}


def test_a_transaction_is_kept_whole_or_not_at_all() -> None:
    """An error takes back everything in it, also what nested parts wrote; it is counted."""
    store = Store(None)
    with pytest.raises(ZeroDivisionError), store.writing():
        store.put_meta("a", "1")
        with store.writing():
            append_entries(store, [Entry(5, "start")])
        raise ZeroDivisionError
    assert (store.meta("a"), log_entries(store), store.undone) == (None, [], 1)

    with store.writing():
        store.put_meta("a", "2")
    assert (store.meta("a"), store.undone) == ("2", 1)


def test_a_full_disk_loses_nothing_that_was_kept(tmp_path: Path) -> None:
    """The tick that found no room is taken back; with room again, the alert it would have raised is raised."""
    store = Store(tmp_path / "sentinel.db")
    life = Life(setup_of(BOX_FAILURES), store)
    pages = fetch(store, "pragma page_count")[0][0]
    rows = "cow  start  box  outcome\n" + "\n".join(f"{n}  05:00  1  failed" for n in range(900))
    store.conn.execute(f"pragma max_page_count = {pages + 1}")
    with pytest.raises(sqlite3.OperationalError, match="full"):
        life.at("05:10", batch(rows))
    assert (fetch(store, "select 1 from visits"), log_entries(store, kind="raised"), store.conn.in_transaction) == (
        [],
        [],
        False,
    )

    store.conn.execute("pragma max_page_count = 100000")
    life.at("05:20", batch(rows))
    assert life.log("raised") == ["05:20 raised box-failures box:1"]
    store.verify()


def test_an_alert_whose_tick_was_not_kept_is_not_remembered() -> None:
    """The decision is undone with the transaction around it, in memory too, and made again at the next look."""
    life = Life(setup_of(BOX_FAILURES))
    rows = batch("cow  start  box  outcome\n" + "\n".join(f"{n}  05:00  1  failed" for n in range(3)))
    with pytest.raises(ZeroDivisionError), life.store.writing():
        life.at("05:10", rows)
        raise ZeroDivisionError
    assert all_alerts(life.store) == []

    life.at("05:20", rows)
    assert life.log("raised") == ["05:20 raised box-failures box:1"]


def _write(path: Path, number: int, together: Any) -> None:
    store = Store(path)
    together.wait(60)
    for one in range(TIMES):
        with store.writing():
            append_entries(store, [Entry(one, "start", person=str(number))])
        put_answer(store, Answer(1, one, str(number)))
    store.close()


def test_two_processes_that_write_at_once_never_fail_nor_lose(tmp_path: Path) -> None:
    """Each waits for the other; the chain is one chain and every entry and answer is in it."""
    Store(tmp_path / "sentinel.db").close()
    context = multiprocessing.get_context("spawn")
    together = context.Barrier(2)
    processes = [context.Process(target=_write, args=(tmp_path / "sentinel.db", n, together)) for n in range(2)]
    for process in processes:
        process.start()
    for process in processes:
        process.join(90)
    store = Store(tmp_path / "sentinel.db")

    assert [process.exitcode for process in processes] == [0, 0]
    assert store.verify()[0] == 2 * TIMES
    assert len(waiting_inputs(store)[0]) == 2 * TIMES


def test_damage_to_the_file_is_found(tmp_path: Path) -> None:
    """`verify` asks SQLite too."""
    path = tmp_path / "sentinel.db"
    store = Store(path)
    store.conn.execute("pragma foreign_keys = off")
    store.conn.execute("insert into visits (cow, start, first_file) values ('7', 0, 99)")

    with pytest.raises(StoreError, match="a row of visits belongs to none"):
        store.verify()


def test_a_backup_is_whole_while_the_store_is_in_use(tmp_path: Path) -> None:
    """Also with an open reader and in the middle of a day."""
    life = Life(setup_of(LATE_COW), Store(tmp_path / "sentinel.db"))
    life.at("05:10", batch("cow  start  box  outcome\n7  05:00  1  milked"))
    life.store.backup(tmp_path / "copy.db")
    copy = Store(tmp_path / "copy.db")

    assert copy.verify() == life.store.verify()
    assert len(fetch(copy, "select 1 from visits")) == 1


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
