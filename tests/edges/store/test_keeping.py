"""What is let go: what is older than the farm keeps, never what still counts; and the rest of the log can be proven."""

from __future__ import annotations

from pathlib import Path

import pytest
from text_tables import moment
from whole.whole_farm import BOX_LOG_FEED, FEED, FEED_QUIET, HERD_FEED, LATE_COW, Life, batch, setup_of

from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts, standing_alerts
from sentinel.edges.store.database import fetch
from sentinel.edges.store.keeping import (
    cut_log,
    let_go_aside,
    let_go_rows,
    old_aside,
    old_entries,
    old_rows,
    photos_of_log,
)
from sentinel.edges.store.log import append_entries, log_entries
from sentinel.errors import LogChainError
from sentinel.flow.model import Entry, SetAside
from sentinel.flow.reasons import Reason


@pytest.fixture
def life(tmp_path: Path) -> Life:
    """Three days of visits, a herd list a day, a wash a day, a row set aside, and alerts that came and ended."""
    setup = setup_of(LATE_COW + FEED_QUIET, (FEED, BOX_LOG_FEED, HERD_FEED))
    lived = Life(setup, Store(tmp_path / "sentinel.db"))
    for day in range(3):
        lived.at(
            f"{day}d05:00", batch(f"cow  from  group\n1  {day}d04:00  one", "cows", feed="herd", file=f"h_{day}.csv")
        )
        wash = f"box  at  event\n1  {day}d04:30  washed"
        lived.at(f"{day}d05:10", batch(wash, "box_log", feed="boxlog", file=f"b_{day}.csv"))
        for hour in (6, 12, 18):
            visit = f"cow  start  box  outcome\n1  {day}d{hour - 1:02}:00  1  milked"
            aside = (SetAside(9, "x;y", Reason("not-a-time", what="x")),) if (day, hour) == (0, 6) else ()
            lived.at(f"{day}d{hour:02}:00", batch(visit, file=f"m_{day}_{hour}.csv", set_aside=aside))
    return lived


BEFORE = "2d00:00"


def count(store: Store, table: str) -> int:
    """How many rows a table has."""
    return int(fetch(store, f"select count(*) from {table}")[0][0])


def test_old_rows_go_and_the_newest_of_each_stays(life: Life) -> None:
    """Visits of two days; of the herd list and the washes all but the newest before, which still counts."""
    before = moment(BEFORE)
    expected = {"visits": 6, "cows": 1, "box_log": 1}
    assert old_rows(life.store, before) == expected

    assert let_go_rows(life.store, before) == expected

    assert old_rows(life.store, before) == {}
    assert (count(life.store, "visits"), count(life.store, "cows")) == (3, 2)
    assert fetch(life.store, "select count(*) from cows where deleted = 0")[0][0] == 2
    life.store.verify()
    life.restart()
    life.at("2d20:00", batch("cow  start  box  outcome\n1  2d19:00  1  milked", file="m_last.csv"))


def test_texts_that_were_set_aside_go_and_what_is_known_of_them_stays(life: Life) -> None:
    """Whom it may have been and when still counts for the alerts."""
    before = moment(BEFORE)
    assert old_aside(life.store, before) == 1
    assert let_go_aside(life.store, before) == 1
    assert old_aside(life.store, before) == 0
    [row] = fetch(life.store, "select row, line, reason from set_aside")
    assert row["row"] == "" and row["line"] == 9 and "not-a-time" in row["reason"]


def test_the_logs_beginning_goes_and_the_rest_is_proven(life: Life) -> None:
    """An entry names the last that is gone with its hash; the numbers and hashes of the others stay."""
    before, kept = moment(BEFORE), {one.seq: one.hash for one in log_entries(life.store)}
    number, own = old_entries(life.store, before)
    assert number > 5 and kept[number] == own

    assert cut_log(life.store, before, moment("2d19:00")) == number

    left = log_entries(life.store)
    assert left[0].seq == number + 1 and left[0].previous == own
    assert (left[-1].entry.kind, left[-1].entry.body["up_to"]) == ("log-cut", number)
    assert all(kept[one.seq] == one.hash for one in left[:-1])
    life.store.verify()
    assert all(alert.standing or alert.over_at is not None for alert in all_alerts(life.store))


def test_a_log_cut_by_hand_is_found(life: Life) -> None:
    """Without the entry that says so the beginning is missing."""
    for (name,) in fetch(life.store, "select name from sqlite_master where type = 'trigger'"):
        life.store.conn.execute(f"drop trigger {name}")
    life.store.conn.execute("delete from log where seq <= 3")

    with pytest.raises(LogChainError, match="entry 1 is missing"):
        life.store.verify()


def test_it_can_be_cut_again_and_again(life: Life) -> None:
    """Each time the newest entry about it vouches for the beginning."""
    cut_log(life.store, moment("1d00:00"), moment("2d19:00"))
    cut_log(life.store, moment(BEFORE), moment("2d19:01"))

    life.store.verify()
    assert sum(one.entry.kind == "log-cut" for one in log_entries(life.store)) == 2
    with pytest.raises(Exception, match="append-only"):
        life.store.conn.execute("delete from log")


def test_an_alert_that_stands_keeps_its_log(tmp_path: Path) -> None:
    """However old: what is told of it must still be there."""
    life = Life(setup_of(LATE_COW, (FEED,)), Store(tmp_path / "sentinel.db"))
    life.at("01:00", batch("cow  start  box  outcome\n1  00:30  1  milked\n2  00:40  1  milked"))
    for hour in range(2, 60, 2):
        life.at(
            f"{hour // 24}d{hour % 24:02}:00",
            batch(
                f"cow  start  box  outcome\n2  {(hour - 1) // 24}d{(hour - 1) % 24:02}:00  1  milked",
                file=f"m_{hour}.csv",
            ),
        )
    [alert] = standing_alerts(life.store)

    cut_log(life.store, moment("2d10:00"), moment("2d11:00"))

    assert [one.entry.kind for one in log_entries(life.store, alert=alert.id)][:1] == ["raised"]
    life.store.verify()


def test_photos_are_named_by_when_they_were_last_added(life: Life) -> None:
    """One that was added again since is not old."""
    old, again = "a" * 32 + ".jpg", "b" * 32 + ".jpg"
    append_entries(
        life.store,
        [Entry(moment("1d00:00"), "photo", body={"file": old}), Entry(moment("1d00:00"), "photo", body={"file": again}),
         Entry(moment("2d12:00"), "photo", body={"file": again})],
    )  # fmt: skip

    assert photos_of_log(life.store, moment(BEFORE)) == [old]
