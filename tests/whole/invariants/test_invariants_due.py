"""Invariant 5: deadlines, not polling; and the cost of a tick follows the rows that are new."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from text_tables import DAY_0, moment, moment_text
from whole.farm_rows import Row, batch_of_row, box_events, farm_of_all_shapes, moment_of, quick, visits
from whole.whole_farm import BOX_FAILURES, BOX_LOG_FEED, FEED_QUIET, LATE_COW, Life, alerts, batch, setup_of

from sentinel.edges.store import Store
from sentinel.flow.model import Chore, TickKind
from sentinel.flow.tables.exported import MEASURED

FILTER = """
- rule: filter-overdue
  measure: hours_since_filter
  raise_over: 9 h
  now_over: 16 h
  urgency: round
  say: "Box {box}: {value}"
"""

WIRE = """
- rule: chore-due
  measure: hours_since_chore
  raise_over: 12 h
  lasting: 30 min
  over_after: 3 h
  where: {chore: wire}
  urgency: round
  say: "{subject}: {value}"
"""


def dues(life: Life) -> list[str]:
    """The due moments after each tick so far."""
    return ["-" if step.due is None else moment_text(step.due) for step in life.steps]


def test_due_is_the_second_at_which_a_bound_is_passed() -> None:
    """Nine hours and a second after the filter, then sixteen; a change moves it on."""
    life = Life(setup_of(FILTER, ()))
    life.at("02:00", chores=(Chore("filter", "1", moment("02:00"), "Marit"),))
    life.at("09:00:02")
    life.at("10:00", chores=(Chore("filter", "2", moment("10:00"), "Marit"),))

    assert dues(life) == ["09:00:01", "09:00:01", "11:00:01", "11:00:01", "11:00:01"]
    assert life.log("raised", "over") == [
        "09:00:01 raised filter-overdue box:2",
        "10:00 over filter-overdue box:2",
    ]


def test_due_counts_how_long_a_rule_must_hold_and_how_long_its_alert_may_stand() -> None:
    """Twelve hours, half an hour's grace, and three hours after which the alert ends by itself."""
    life = Life(setup_of(WIRE, ()))
    life.at("20:00")

    assert dues(life) == ["12:30:01", "15:30:01", "-", "-"]
    assert life.alerts == alerts("""
        rule       subject          raised    over      urgency  value
        chore-due  chore:wire/east  12:30:01  15:30:01  round    12.5
    """)


def test_nothing_is_due_while_everything_waits_for_an_export() -> None:
    """A late cow cannot be told before rows come, so nobody need wake for her; the quiet feed has its moment."""
    life = Life(setup_of(LATE_COW + FEED_QUIET))
    life.at("05:10", batch("cow  start  box  outcome\n7  05:00  1  milked"))

    assert dues(life)[-1] == "06:30:01"
    life.at("07:00")
    assert dues(life)[-1] == "-"


extra = st.lists(st.integers(0, 14 * 3600), max_size=8)


@quick
@given(st.lists(st.one_of(visits, visits, box_events), min_size=1, max_size=12), extra)
def test_looking_at_other_moments_too_changes_no_alert(rows: list[Row], moments: list[int]) -> None:
    """Between the due moments nothing happens: extra ticks raise nothing earlier, later or otherwise."""
    by_moment: dict[int, list[Row]] = {}
    for row in rows:
        by_moment.setdefault(moment_of(row) + 60, []).append(row)

    def lived(extra_ticks: list[int]) -> Life:
        life = Life(farm_of_all_shapes(), begin=None)
        begin, end = min(by_moment), max(by_moment)
        wanted = {DAY_0 + one for one in extra_ticks if begin < DAY_0 + one < end} | set(by_moment)
        for number, at in enumerate(sorted(wanted)):
            files = [batch_of_row(row, f"{row['feed']}_{at}_{i}.csv") for i, row in enumerate(by_moment.get(at, ()))]
            life.at(at, *files, kind=TickKind.RUN if number else TickKind.START)
        return life

    assert lived(moments).alerts == lived([]).alerts


class CountingCursor:
    """A cursor that counts the rows it hands out."""

    def __init__(self, cursor: sqlite3.Cursor, store: CountingStore) -> None:
        self._cursor, self._store = cursor, store

    def __getattr__(self, name: str) -> Any:
        return getattr(self._cursor, name)

    def __setattr__(self, name: str, value: Any) -> None:
        if name == "row_factory":
            self._cursor.row_factory = value
        else:
            super().__setattr__(name, value)

    def __iter__(self) -> Iterator[Any]:
        return iter(self.fetchall())

    def execute(self, *args: Any) -> CountingCursor:
        """As a cursor does."""
        self._cursor.execute(*args)
        return self

    def fetchone(self) -> Any:
        """As a cursor does, counted."""
        found = self._cursor.fetchone()
        self._store.handed_out += found is not None
        return found

    def fetchall(self) -> list[Any]:
        """As a cursor does, counted."""
        found = self._cursor.fetchall()
        self._store.handed_out += len(found)
        return found

    def fetchmany(self, size: int) -> list[Any]:
        """As a cursor does, counted."""
        found = self._cursor.fetchmany(size)
        self._store.handed_out += len(found)
        return found


class CountingConnection:
    """A connection whose cursors count for a store."""

    def __init__(self, conn: sqlite3.Connection, store: CountingStore) -> None:
        self._conn, self._store = conn, store

    def __getattr__(self, name: str) -> Any:
        return getattr(self._conn, name)

    def cursor(self) -> CountingCursor:
        """A cursor that counts."""
        return CountingCursor(self._conn.cursor(), self._store)

    def execute(self, *args: Any) -> CountingCursor:
        """As a connection does, counted."""
        return CountingCursor(self._conn.execute(*args), self._store)


class CountingStore(Store):
    """A store that counts the rows it hands out, whichever query asks for them."""

    def __init__(self) -> None:
        super().__init__(None)
        self.handed_out = 0
        self.conn = CountingConnection(self.conn, self)  # type: ignore[assignment]


def history(days: int) -> Iterator[str]:
    """Visits of eight cows every three hours, a day a text."""
    for day in range(days):
        rows = [f"{cow}  {day}d{hour:02}:0{cow}  1  milked" for hour in range(0, 24, 3) for cow in range(1, 9)]
        yield "\n".join(["cow  start  box  outcome", *rows])


def handed_out_by_one_tick(days: int) -> int:
    """How many rows the store hands out at a tick with one new visit, after so many days of history."""
    store = CountingStore()
    life = Life(setup_of(LATE_COW + BOX_FAILURES + FEED_QUIET), store)
    for day, text in enumerate(history(days)):
        life.at(f"{day}d23:00", batch(text, file=f"milkings_{day}.csv"))
    store.handed_out = 0
    life.at(f"{days - 1}d23:10", batch(f"cow  start  box  outcome\n1  {days - 1}d23:05  1  milked", file="last.csv"))
    return store.handed_out


def test_the_rows_read_at_a_tick_follow_the_new_rows_not_the_history() -> None:
    """After twelve days as after three, one new visit makes the store hand out a few rows of that cow and its own."""
    after_three, after_twelve = handed_out_by_one_tick(3), handed_out_by_one_tick(12)

    assert after_twelve <= after_three + 12  # one row for each file read in a month
    assert after_twelve < 40


def test_a_tick_without_anything_new_reads_no_measured_row() -> None:
    """A due moment looks at what is in memory."""
    store = Store(None)
    life = Life(setup_of(LATE_COW + FILTER, (FEED := BOX_LOG_FEED,)), store)
    assert FEED
    life.at("05:10", batch("box  at  event\n1  05:00  filter_changed", "box_log", feed="boxlog", file="boxlog_1.csv"))
    asked: list[str] = []
    store.conn.set_trace_callback(asked.append)
    life.at("07:00")

    assert [one for one in asked if any(f'from "{table.name}"' in one for table in MEASURED)] == []
    assert asked
