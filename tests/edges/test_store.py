"""The store: one writer at a time, everything or nothing, and what comes out is what went in."""

from __future__ import annotations

import multiprocessing
import sqlite3
import threading
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from text_tables import moment, shown
from whole.whole_farm import BOX_FAILURES, LATE_COW, Life, batch, setup_of

from sentinel.edges.clock import Clock
from sentinel.edges.store import Store
from sentinel.errors import StoreError
from sentinel.flow.alerts import ENDED
from sentinel.flow.chain import START
from sentinel.flow.model import Alert, Answer, Chore, Entry, Notice
from sentinel.flow.reasons import as_said
from sentinel.flow.tables import CHORES, VISITS, frame_types

TIMES = 25


def test_power_may_fail_after_a_commit(tmp_path: Path) -> None:
    """Write-ahead log, every commit brought to the disk, references checked."""
    store = Store(tmp_path / "sentinel.db")
    said = {name: store.rows(f"pragma {name}")[0][0] for name in ("journal_mode", "synchronous", "foreign_keys")}

    assert said == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}


def test_a_transaction_is_kept_whole_or_not_at_all() -> None:
    """An error takes back everything in it, also what nested parts wrote; it is counted."""
    store = Store(None)
    with pytest.raises(ZeroDivisionError), store.writing():
        store.put_meta("a", "1")
        with store.writing():
            store.append([Entry(5, "start")])
        raise ZeroDivisionError
    assert (store.meta("a"), store.log(), store.undone) == (None, [], 1)

    with store.writing():
        store.put_meta("a", "2")
    assert (store.meta("a"), store.undone) == ("2", 1)


def test_a_full_disk_loses_nothing_that_was_kept(tmp_path: Path) -> None:
    """The tick that found no room is taken back; with room again, the alert it would have raised is raised."""
    store = Store(tmp_path / "sentinel.db")
    life = Life(setup_of(BOX_FAILURES), store)
    pages = store.rows("pragma page_count")[0][0]
    rows = "cow  start  box  outcome\n" + "\n".join(f"{n}  05:00  1  failed" for n in range(900))
    store.conn.execute(f"pragma max_page_count = {pages + 1}")
    with pytest.raises(sqlite3.OperationalError, match="full"):
        life.at("05:10", batch(rows))
    assert (store.rows("select 1 from visits"), store.log("kind = 'raised'"), store.conn.in_transaction) == (
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
    assert life.store.alerts() == []

    life.at("05:20", rows)
    assert life.log("raised") == ["05:20 raised box-failures box:1"]


def _write(path: Path, number: int, together: Any) -> None:
    store = Store(path)
    together.wait(60)
    for one in range(TIMES):
        with store.writing():
            store.append([Entry(one, "start", person=str(number))])
        store.put_answer(Answer(1, one, str(number)))
    store.close()


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
        store.last_tick()
        longest_s = max(longest_s, clock.steady() - begun)
    other.execute("rollback")
    write()

    assert refused == ["database is locked"]
    assert longest_s < 0.5
    assert store.meta("a") == "1"


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
    assert len(store.waiting_inputs()[0]) == 2 * TIMES


@pytest.mark.parametrize("number", [np.int64(7), np.int32(7), np.uint8(7)])
def test_a_numpy_integer_never_becomes_a_blob(number: Any) -> None:
    """SQLite would take one as raw bytes; the strict tables refuse it."""
    store = Store(None)
    with pytest.raises((sqlite3.Error, TypeError)):
        store.put_chore(Chore("wire", "east", number, "Marit"))
    assert store.waiting_inputs()[1] == ()


def test_a_frame_has_the_declared_types_also_when_empty() -> None:
    """Missing text is None, missing numbers are NaN, times are whole seconds; withdrawn rows are left out."""
    life = Life(setup_of(LATE_COW))
    empty = life.store.frame(VISITS)
    life.at(
        "06:00",
        batch("""
            cow  start  box  outcome  milk_kg  attempts  lf_kicked_off  deleted
            9    05:10  1    failed   -        -         -              no
            7    05:00  -    milked   11.5     2         yes            no
            8    05:20  2    milked   9        1         no             yes
        """),
    )
    frame = life.store.frame(VISITS)

    for one in (empty, frame):
        assert {name: str(kind) for name, kind in one.dtypes.items()} == frame_types(VISITS)
    assert shown(frame.assign(at=frame["start"]), "cow at box outcome milk_kg attempts lf_kicked_off") == [
        ["cow", "at", "box", "outcome", "milk_kg", "attempts", "lf_kicked_off"],
        ["7", "05:00", "-", "milked", "11.5", "2", "1"],
        ["9", "05:10", "1", "failed", "-", "-", "-"],
    ]
    assert frame["box"].iloc[0] is None
    assert pd.isna(frame["milk_kg"].iloc[1])


def test_what_people_said_waits_for_the_next_tick_once() -> None:
    """Left between two ticks, taken by one, and then remembered as known at that one."""
    life = Life(setup_of(LATE_COW))
    life.store.put_chore(Chore("wire", "east", moment("05:00"), "Marit", "moved"))
    assert len(life.store.waiting_inputs()[1]) == 1
    assert len(life.store.frame(CHORES, "known_at is not null")) == 0
    life.at("05:10")

    assert life.store.waiting_inputs() == ((), (), ())
    assert life.store.inputs_known_at(moment("05:10"))[1] == (Chore("wire", "east", moment("05:00"), "Marit", "moved"),)


def test_an_alert_is_kept_as_it_is() -> None:
    """Every field comes back, also figures, lists and words from other alphabets."""
    store = Store(None)
    alert = Alert(
        3, "late-cow", "cow:217", 50, 40, "now", "Kuh 217 – 14 h", 14.5, {"box": "2", "n": 3}, ("Im Hof?", "=1+1"),
        over_at=90, over_why=ENDED, answered_at=60, answered_by="Åse", finding="brought up", note="ж",
        covered_by=("box-quiet box:2",), again=2, came_at=70,
    )  # fmt: skip
    store.save_alerts([alert])

    assert store.alerts() == [alert]
    assert store.newest_alerts() == {("late-cow", "cow:217"): alert}


def test_the_newest_alert_of_each_rule_and_subject_is_remembered() -> None:
    """Older ones of the same pair stay in the store."""
    store = Store(None)
    store.save_alerts([Alert(n, "r", s, n, n, "now", "") for n, s in ((1, "cow:7"), (2, "cow:8"), (3, "cow:7"))])

    assert [a.id for a in store.newest_alerts().values()] == [2, 3]


def test_a_notice_has_a_line_in_the_outbox_for_each_channel() -> None:
    """It is due at once whatever the clock says, waits after a failed try, and is done when delivered; its id stays."""
    store = Store(None)
    notice = Notice(100, "Marit", "alert", "Box 2", "…", "now", (1,))
    [given] = store.put_notices([notice], {"Marit": ("phone", "mail"), "Åse": ("sms",)})
    assert [(r["notice"], r["channel"], r["attempts"]) for r in store.letters_due(40)] == [
        (1, "mail", 0),
        (1, "phone", 0),
    ]

    store.letter_tried(1, "phone", 101, "waiting", as_said("busy"), 131, ())
    store.letter_tried(1, "mail", 102, "delivered", None, None, [Entry(102, "delivered")])
    assert [r["channel"] for r in store.letters_due(130)] == []
    assert [(r["notice"], r["channel"], r["attempts"]) for r in store.letters_due(131)] == [(1, "phone", 1)]
    assert (given.id, store.next_letter_at()) == ("1", 131)
    assert [(d.channel, d.outcome) for d in store.waiting_inputs()[2]] == [("mail", "delivered")]


def test_the_chain_goes_on_after_the_store_was_closed(tmp_path: Path) -> None:
    """The first entry after opening follows the last one before."""
    store = Store(tmp_path / "sentinel.db")
    assert store.verify() == (0, START)
    first = store.append([Entry(1, "start"), Entry(2, "stop")])[-1]
    store.close()
    second = Store(tmp_path / "sentinel.db").append([Entry(3, "start")])[0]

    assert (second.seq, second.previous) == (3, first.hash)


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
    assert len(copy.rows("select 1 from visits")) == 1


def test_settings_are_kept_once_per_change() -> None:
    """The same texts again add nothing, so that the replay knows from when each was used."""
    store = Store(None)
    for at, text in ((1, "a"), (2, "a"), (3, "b"), (4, "a")):
        store.put_settings(at, {"rules/r.yaml": text})

    assert store.settings() == [(1, {"rules/r.yaml": "a"}), (3, {"rules/r.yaml": "b"}), (4, {"rules/r.yaml": "a"})]
