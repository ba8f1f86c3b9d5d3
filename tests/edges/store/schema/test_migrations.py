"""The schema: what is declared is what is there, every table strict, and old stores are brought up to date."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from whole.whole_farm import alert_table, alerts

from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts, save_alerts
from sentinel.edges.store.database import fetch
from sentinel.edges.store.history import last_tick
from sentinel.edges.store.schema.declared_columns import SQL_TYPES
from sentinel.edges.store.schema.migrations import migrations
from sentinel.errors import StoreError
from sentinel.flow.tables import CHORES, DELIVERIES, FILES, MEASURED, VISITS, Table, frame_types
from sentinel.runtime.record.replay import as_arrived, live_alerts

FIRST = Path(__file__).parent / "released" / "store_v1.sql"
"""A store as the first version wrote it; never made anew: it is what the oldest farm has."""

SECOND = Path(__file__).parent / "released" / "alerts_v2.sql"
"""A store as the version before the course of alerts wrote it, with two alerts that stand."""


def shape(store: Store) -> dict[str, str]:
    """Every table, index and trigger of ours with its SQL, spaces evened out."""
    rows = fetch(store, "select name, sql from sqlite_master where sql is not null and name not like '%sqlite%'")
    return {row["name"]: " ".join(row["sql"].split()) for row in rows}


def columns(store: Store, table: Table) -> dict[str, tuple[str, int]]:
    """Column name to type and place in the primary key."""
    return {r["name"]: (r["type"].upper(), r["pk"]) for r in fetch(store, f"pragma table_xinfo('{table.name}')")}


@pytest.mark.parametrize("table", MEASURED, ids=lambda table: table.name)
def test_a_measured_table_has_the_declared_columns_types_and_key(table: Table) -> None:
    """The declaration in flow/tables.py is the one truth; visits hold their quarters as wide columns."""
    found = columns(Store(None), table)
    for column in table.columns:
        assert found[column.name][0] == SQL_TYPES[column.kind].upper(), column.name
    kept = {"first_file", "first_line", "modified", "deleted", "told_by", "apart"}
    assert set(found) == set(frame_types(table)) | kept
    assert {name for name, (_, place) in found.items() if place} == set(table.key)
    assert found[table.happened][1] == 1  # by time first, so that new rows go to the end of the file


@pytest.mark.parametrize("table", [CHORES, FILES, DELIVERIES], ids=lambda table: table.name)
def test_a_table_of_our_own_has_the_declared_columns(table: Table) -> None:
    """What a measure may read of chores, files and deliveries is there under the declared names."""
    assert set(table.names) <= set(columns(Store(None), table))


def test_every_table_is_strict() -> None:
    """A text in a number column is refused, whoever writes it."""
    store = Store(None)
    loose = [
        r["name"]
        for r in fetch(store, "pragma table_list")
        if not r["strict"] and r["type"] == "table" and "sqlite" not in r["name"]
    ]
    assert loose == []
    with pytest.raises(sqlite3.IntegrityError, match="cannot store TEXT value in INTEGER column"):
        store.conn.execute("insert into answers (alert, at, person, finding, note) values ('six', 0, '', '', '')")


def test_a_row_must_come_from_a_file_that_is_known() -> None:
    """Foreign keys are on."""
    store = Store(None)
    with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
        store.conn.execute("insert into visits (cow, start, first_file) values ('7', 0, 99)")


def test_a_store_of_the_first_version_is_brought_up_to_date(tmp_path: Path) -> None:
    """It opens, has today's schema, keeps its rows, alerts and chain, and its past can still be told again."""
    path = tmp_path / "sentinel.db"
    old = sqlite3.connect(path)
    old.executescript(FIRST.read_text(encoding="utf-8"))
    old.close()
    store = Store(path)

    assert shape(store) == shape(Store(None))
    store.verify()
    assert [
        tuple(r) for r in fetch(store, "select cow, outcome, lf_conductivity_mS_cm from visits order by start")
    ] == [
        ("9", "failed", None),
        ("8", "milked", None),
        ("7", "failed", None),
        ("6", "milked", 5.1),
    ]
    assert alert_table(live_alerts(store)) == alerts("""
        rule          subject        raised    over   urgency  value
        feed-quiet    feed:boxlog    01:30:01  05:32  now      90.017
        feed-quiet    feed:herd      01:30:01  05:31  now      90.017
        feed-quiet    feed:milkings  01:30:01  05:30  now      90.017
        box-failures  box:1          05:30     06:00  now      3
    """)
    assert alert_table(as_arrived(store)) == alert_table(live_alerts(store))


def test_an_alert_of_the_version_before_keeps_what_it_was_raised_with(tmp_path: Path) -> None:
    """The log has it, the latest value with which it was told anew; nothing is claimed of what is not known."""
    path = tmp_path / "sentinel.db"
    old = sqlite3.connect(path)
    old.executescript(SECOND.read_text(encoding="utf-8"))
    old.close()
    store = Store(path)

    assert shape(store) == shape(Store(None))
    store.verify()
    found = {a.id: (a.value, a.raised_value, a.worst_value, a.course, a.eased, a.caution) for a in all_alerts(store)}
    assert found == {
        1: (3.9, 6.8, None, "", "", ()),
        2: (15.0, 14.0, None, "", "", ()),
    }
    save_alerts(store, all_alerts(store))
    assert found == {
        a.id: (a.value, a.raised_value, a.worst_value, a.course, a.eased, a.caution) for a in all_alerts(store)
    }


def test_rows_that_a_second_feed_filled_in_before_are_known_to_be_of_both(tmp_path: Path) -> None:
    """An older store has only the file that brought a row first; its changes tell which other feeds brought it too."""
    path = tmp_path / "sentinel.db"
    old = sqlite3.connect(path)
    old.executescript(FIRST.read_text(encoding="utf-8"))
    [at] = old.execute("select start from visits where cow = '7'").fetchone()
    old.executescript(f"""
        insert into files (id, feed, file, at, sha256, rows_read, rows_set_aside, reason)
            values (90, 'quarters', 'quarters_1.csv', 1717400000, '', 1, 0, '');
        insert into changes (file_id, at, tab, key, old, new, correction)
            values (90, 1717400000, 'visits', '["7", {at}]', '{{"lf_milk_kg": null}}', '{{"lf_milk_kg": 2.5}}', 0);
    """)
    old.close()
    store = Store(path)

    rows = fetch(store, "select v.cow, t.feed from visits v join tellers t on t.id = v.told_by order by t.feed")
    assert [tuple(row) for row in rows] == [("7", "milkings"), ("7", "quarters")]


def test_the_ticks_of_a_store_of_before_keep_their_order_files_and_settings(tmp_path: Path) -> None:
    """Each with the last file and the last settings known at it, so that its past is told again as it was."""
    path = tmp_path / "sentinel.db"
    old = sqlite3.connect(path)
    old.executescript(FIRST.read_text(encoding="utf-8"))
    was = [
        (at, *old.execute("select coalesce(max(id), 0) from files where at <= ?", (at,)).fetchone())
        for (at,) in old.execute("select at from ticks order by at").fetchall()
    ]
    [settings] = old.execute("select count(*) from settings").fetchone()
    old.close()
    store = Store(path)

    ticks = [tuple(r) for r in fetch(store, "select at, files_to, jumped_s, settings_to from ticks order by number")]
    assert len(was) > 3 and settings == 1
    assert ticks == [(at, files, 0, 1) for at, files in was]
    assert last_tick(store) == was[-1][0]


def test_a_store_of_a_newer_version_is_refused(tmp_path: Path) -> None:
    """Rather than write into what it does not understand, it says to update."""
    store = Store(tmp_path / "sentinel.db")
    store.conn.execute(
        "insert into _sqlite_migrations (migration_set, name, applied_at) values ('sentinel', 'm999_far', '')"
    )
    store.close()

    with pytest.raises(StoreError, match=r"written by a newer sentinel .*m999_far"):
        Store(tmp_path / "sentinel.db")


def test_a_declared_column_that_is_not_there_is_added(tmp_path: Path) -> None:
    """A new column is declared and nothing else; its rows of before have nothing in it."""
    path = tmp_path / "sentinel.db"
    store = Store(path)
    store.conn.execute("insert into files values (1, '', '', 0, '', 1, 0, '', null, null, 0, 0, 0, '', 0)")
    store.conn.execute("insert into visits (cow, start, first_file, milk_kg) values ('7', 0, 1, 8.5)")
    store.conn.execute("alter table visits drop column attempts")
    store.close()

    store = Store(path)
    assert set(columns(store, VISITS)) == set(columns(Store(None), VISITS))
    assert [tuple(row) for row in fetch(store, "select milk_kg, attempts from visits")] == [(8.5, None)]
    assert "column visits.attempts" in {row["name"] for row in fetch(store, "select name from _sqlite_migrations")}
    store.close()
    Store(path).close()


def test_a_store_with_a_column_of_a_newer_version_is_refused(tmp_path: Path) -> None:
    """What it holds could not be told again without it."""
    store = Store(tmp_path / "sentinel.db")
    store.conn.execute("alter table visits add column colour text")
    added = "values ('sentinel', 'column visits.colour', '')"
    store.conn.execute(f"insert into _sqlite_migrations (migration_set, name, applied_at) {added}")
    store.close()

    with pytest.raises(StoreError, match=r"newer sentinel .*column visits\.colour"):
        Store(tmp_path / "sentinel.db")


def test_a_file_that_is_no_store_is_refused_in_words(tmp_path: Path) -> None:
    """An export put in the store's place is not overwritten."""
    path = tmp_path / "sentinel.db"
    path.write_text("Cow;Start\n" * 200)

    with pytest.raises(StoreError, match=r"is damaged .*file is not a database.*sentinel restore"):
        Store(path)
    assert path.read_text() == "Cow;Start\n" * 200


def test_migrations_are_named_in_order() -> None:
    """m001, m002, ...: what one did is never edited, the next one follows it."""
    numbers = [migration.name.partition("_")[0] for migration in migrations._migrations]
    assert numbers == [f"m{number + 1:03}" for number in range(len(numbers))]
