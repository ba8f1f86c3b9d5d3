"""A new version over an old store: every schema that a farm may still have is brought up to date whole, or not at all.

`store_v1.sql` is what the first released version wrote, the others what the schemas since then wrote; `make_store.py`
makes the newest. What the last lines here kill is a real process.
"""

from __future__ import annotations

import os
import re
import sqlite3
import struct
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlite_utils import Database
from text_tables import moment
from whole.whole_farm import alert_table, batch

from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts, standing_alerts
from sentinel.edges.store.database import fetch
from sentinel.edges.store.history import settings_used
from sentinel.edges.store.inputs import waiting_inputs
from sentinel.edges.store.schema.migrations import migrations
from sentinel.flow.model import Tick, TickKind
from sentinel.flow.reasons import from_json, in_english
from sentinel.flow.setup import read_setup
from sentinel.runtime.engine import Engine
from sentinel.runtime.record.replay import as_arrived, live_alerts

HERE = Path(__file__).parent
STORES = sorted((HERE / "released").glob("store_v*.sql"), key=lambda path: int(re.sub(r"\D", "", path.name)))
TESTS = HERE.parents[2]
ROOT = TESTS.parent
KEPT = ("files", "set_aside", "visits", "box_log", "cows", "tank", "cow_tests", "changes", "seen", "ticks", "settings")
PATIENCE_S = 500
"""Hundreds of processes are killed one after the other; on a busy machine that takes its time."""

REASONS = {("set_aside", '"reason"'), ("files", '"reason"'), ("deliveries", '"detail"')}
"""Columns that were sentences before schema 7."""
SAID = ("answers", "chores", "log", "notices", "deliveries", "meta")


def laid(path: Path, sql: Path) -> Path:
    """The store of an earlier schema as a file."""
    conn = sqlite3.connect(path)
    conn.executescript(sql.read_text(encoding="utf-8"))
    conn.close()
    return path


def content(path: Path) -> list[str]:
    """All that a store's file holds, schema and rows, as text; a log left behind by a process that died is taken in."""
    conn = sqlite3.connect(path)
    assert conn.execute("pragma integrity_check").fetchone() == ("ok",)
    told = list(conn.iterdump())
    conn.close()
    return told


def rows(conn: sqlite3.Connection, tables: tuple[str, ...], like: dict[str, list[str]]) -> dict[str, list[tuple]]:
    """The rows of some tables, with the columns that they had in an earlier schema, and reasons in English."""
    found = {}
    for name in tables:
        shown = ", ".join(f"english({one})" if (name, one) in REASONS else one for one in like[name])
        conn.create_function("english", 1, lambda text: in_english(from_json(text)))
        found[name] = sorted(conn.execute(f"select {shown} from {name}").fetchall(), key=repr)
    return found


def columns(conn: sqlite3.Connection) -> dict[str, list[str]]:
    """The columns of every table, quoted."""
    names = [name for (name,) in conn.execute("select name from sqlite_master where type = 'table'")]
    return {name: [f'"{r[1]}"' for r in conn.execute(f"pragma table_info('{name}')")] for name in names}


def test_every_released_version_has_left_a_store() -> None:
    """And so has every schema since the first, but for one that is being written just now."""
    changelog = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    released = set(re.findall(r"^## \[(\d[^\]]*)\]", changelog, re.M))
    heads = {path.name: path.read_text(encoding="utf-8").partition("\n")[0] for path in STORES}
    told = {name: re.fullmatch(r"-- The store of a lived day as sentinel (\S+) wrote it; schema (\d+)\.", head)
            for name, head in heads.items()}  # fmt: skip

    assert {name for name, found in told.items() if found is None} == set()
    assert released <= {found[1] for found in told.values() if found}
    assert [found[2] for found in told.values() if found] == [str(number + 1) for number in range(len(STORES))]
    assert len(STORES) >= len(migrations._migrations) - 1, f"PYTHONPATH=tests:. python {HERE}/make_store.py"


@pytest.mark.parametrize("sql", STORES, ids=lambda path: path.stem)
def test_a_store_of_any_schema_is_brought_up_to_date_with_all_it_holds(sql: Path, tmp_path: Path) -> None:
    """Rows, log, answers and notices are as they were, the chain is whole, and its past is told again as lived."""
    path = laid(tmp_path / "sentinel.db", sql)
    old = sqlite3.connect(path)
    shape = columns(old)
    before = rows(old, KEPT + SAID, shape)
    number, head = old.execute("select seq, hash from log order by seq desc limit 1").fetchone()
    raised = old.execute("select id, rule, subject, raised_at, over_at, text from alerts order by id").fetchall()
    old.close()

    store = Store(path)

    assert migrations.pending(Database(store.conn)) == []
    assert store.verify() == (number, head)
    plain = sqlite3.connect(path)
    after = rows(plain, KEPT + SAID, shape)
    after["meta"] = [one for one in after["meta"] if one[0] != "read_by" or one in before["meta"]]  # noted since then
    assert after == before
    plain.close()
    assert [(a.id, a.rule, a.subject, a.raised_at, a.over_at, a.text) for a in all_alerts(store)] == raised
    assert len(raised) >= 4
    assert alert_table(as_arrived(store)) == alert_table(live_alerts(store))


@pytest.mark.parametrize("sql", STORES, ids=lambda path: path.stem)
def test_work_goes_on_in_a_store_that_was_brought_up_to_date(sql: Path, tmp_path: Path) -> None:
    """The next export is read and decided on, no alert of before is lost, and the past is still told as lived."""
    store = Store(laid(tmp_path / "sentinel.db", sql))
    setup, problems = read_setup(settings_used(store)[-1][1])
    assert setup is not None, problems
    standing = standing_alerts(store)
    at = moment("1d07:00")
    engine = Engine(store, setup)
    engine.step(Tick(at - 60, TickKind.START, (), *waiting_inputs(store)))

    engine.step(
        Tick(at, TickKind.RUN, (batch("cow  start  box  outcome\n3  1d06:50  2  milked", file="milkings_99.csv"),))
    )

    store.verify()
    assert [tuple(r) for r in fetch(store, "select cow, outcome from visits order by start desc limit 1")] == [
        ("3", "milked")
    ]
    assert {a.id for a in standing} <= {a.id for a in all_alerts(store)}
    assert alert_table(as_arrived(store)) == alert_table(live_alerts(store))


def killed(folder: Path, old: Path, every: int = 0, first: int = 1, step: int = 1) -> list[Path]:
    """A store for each instant at which the process died that brought it up to date; the last one had got through."""
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join([str(TESTS), str(ROOT)])}
    script = str(TESTS / "faults" / "store" / "killed_at_opening.py")
    command = [sys.executable, script, folder, old, str(every), str(first), str(step)]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=PATIENCE_S, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    return sorted(folder.glob("killed_*.db"))


@pytest.fixture
def memory() -> Iterator[Path]:
    """A folder in memory where there is one: a kill loses nothing there, and nothing waits for a disk."""
    with tempfile.TemporaryDirectory(dir="/dev/shm" if os.access("/dev/shm", os.W_OK) else None) as folder:
        yield Path(folder)


@pytest.mark.timeout(PATIENCE_S + 60)
@pytest.mark.parametrize(
    ("sql", "every", "step"),
    [(STORES[0], 1000, 1), *((sql, 0, 5) for sql in STORES[1:-1])],
    ids=lambda one: getattr(one, "stem", None),
)
def test_killed_at_any_instant_of_it_the_store_is_as_it_was_and_the_next_start_completes_it(
    sql: Path, every: int, step: int, memory: Path
) -> None:
    """kill -9 at each statement of the oldest, also between the database's own steps, at each fifth of the others."""
    old = laid(memory / "old.db", sql)
    was = content(old)
    left = killed(memory, old, every, step=step)

    assert len(left) > 30 / step, "there were hardly any statements to be killed at"
    done = told_of(left[-1])
    assert done != told_of(old)
    untouched = [path for path in left if content(path) == was]
    assert left[: len(untouched)] == untouched
    assert len(untouched) > 20 / step, "hardly any statement came before the new schema was there"
    for path in left[len(untouched) :]:
        assert told_of(path) == done, path.name
    for path in left[::4]:  # they are all the same by now
        Store(path).close()
        assert told_of(path) == done, path.name


def told_of(path: Path) -> list[str]:
    """All that a store's file holds, but for when it was brought up to date."""
    return [re.sub(r"'20\d\d-\d\d-\d\d \d\d:[^']*'", "''", line) for line in content(path)]


def test_power_lost_while_the_last_of_it_was_written_leaves_the_store_as_it_was_or_whole(tmp_path: Path) -> None:
    """Of the write-ahead log any number of pages may have reached the disk: the old schema stands until all have."""
    old = laid(tmp_path / "old.db", STORES[0])
    was = content(old)
    [path] = killed(tmp_path, old, first=100_000)  # it got through, and died before it closed
    log = Path(f"{path}-wal").read_bytes()
    page = struct.unpack(">I", log[8:12])[0]
    ends = [32 + number * (24 + page) for number in range((len(log) - 32) // (24 + page) + 1)]
    assert len(ends) > 5
    cuts = sorted({0, *ends, *(end - page // 2 for end in ends[1:])})
    done = told_of_cut(tmp_path, path, log)

    for cut in cuts[:-1]:
        assert told_of_cut(tmp_path, path, log[:cut]) == was, f"{cut} of {len(log)} bytes"
        store = Store(tmp_path / "cut.db")
        store.verify()
        store.close()
    assert len(done) > len(was)
    assert ends[-1] == cuts[-1] == len(log)


def told_of_cut(folder: Path, path: Path, log: bytes) -> list[str]:
    """What a store holds of whose write-ahead log only so much was written."""
    for end in ("-wal", "-shm"):
        Path(f"{folder / 'cut.db'}{end}").unlink(missing_ok=True)
    (folder / "cut.db").write_bytes(path.read_bytes())
    (folder / "cut.db-wal").write_bytes(log)
    return content(folder / "cut.db")
