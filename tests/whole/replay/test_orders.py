"""The same export rows split, ordered and repeated in any way: the same store, the same replay, the same alerts."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from text_tables import DAY_0
from whole.farm_rows import Row, batch_of_row, box_events, farm_of_all_shapes, herd_rows, quick, visits
from whole.whole_farm import BOX_FAILURES, BOX_LOG_FEED, FEED, LATE_COW, Life, alert_table, batch, measured, setup_of

from sentinel.edges.store.alerts import all_alerts, standing_alerts
from sentinel.edges.store.database import fetch
from sentinel.flow.model import TickKind
from sentinel.runtime.record.replay import on_time

END = DAY_0 + 14 * 3600
FILTER_TIME = """
- rule: filter-time
  measure: hours_since_filter
  raise_over: 4 h
  urgency: round
  say: "Box {box}: {value}"
"""
one_of_a_kind = st.one_of(visits, visits, box_events, herd_rows)


@st.composite
def versions(draw: st.DrawFn) -> list[Row]:
    """Rows that each have up to three versions with rising stamps, of any feed; the last may withdraw the row."""
    found: dict[tuple[Any, ...], list[Row]] = {}
    for row in draw(st.lists(one_of_a_kind, min_size=1, max_size=12)):
        key = tuple(
            row.get(name)
            for name in ("table", "cow", "start", "box" if row["table"] == "box_log" else "", "at", "event", "from")
        )
        mine = found.setdefault(key, [])
        if len(mine) < 3:
            mine.append(row)
    rows = []
    for mine in found.values():
        for number, row in enumerate(mine):
            last = number == len(mine) - 1
            withdrawn = last and number > 0 and draw(st.booleans())
            rows.append({**row, "modified": DAY_0 + number, "deleted": withdrawn})
    return rows


def lived(orders: list[list[Row]]) -> Life:
    """A farm that reads files of these rows, one file a minute from the end of the day on."""
    life = Life(farm_of_all_shapes(), begin=None)
    for number, rows in enumerate(orders):
        files = [batch_of_row(row, f"{row['feed']}_{number}_{i}.csv") for i, row in enumerate(rows)]
        life.at(END + 60 * number, *files, kind=TickKind.RUN if number else TickKind.START)
    life.at(END + 3600)
    return life


def standing(life: Life) -> list[tuple[str, str, int]]:
    """Rule, subject and since of what stands; when each was raised depends on when its rows came."""
    return sorted((a.rule, a.subject, a.since) for a in standing_alerts(life.store) if a.rule != "silent")


@quick
@given(versions(), st.data())
def test_any_split_order_and_repetition_gives_the_same(rows: list[Row], data: st.DataObject) -> None:
    """Store content, the replay in bulk and what stands in the end do not depend on how the rows came."""
    setup = farm_of_all_shapes()
    again = data.draw(st.lists(st.sampled_from(rows), max_size=6))
    shuffled = data.draw(st.permutations([*rows, *again]))
    cuts = sorted(data.draw(st.lists(st.integers(0, len(shuffled)), max_size=3)))
    split = [shuffled[a:b] for a, b in zip([0, *cuts], [*cuts, len(shuffled)], strict=True)]
    at_once, in_pieces = lived([rows]), lived(split)

    assert measured(in_pieces.store) == measured(at_once.store)
    assert alert_table(on_time(in_pieces.store, setup)) == alert_table(on_time(at_once.store, setup))
    assert standing(in_pieces) == standing(at_once)


HISTORY = [
    batch("cow  start  box  outcome\n7  05:00  1  milked\n9  05:10  1  failed\n9  05:30  1  failed"),
    batch("cow  start  box  outcome\n9  05:50  1  failed\n8  06:00  1  milked", file="milkings_2.csv"),
    batch("cow  start  box  outcome\n7  19:30  2  milked\n9  19:40  2  milked", file="milkings_3.csv"),
]


@settings(max_examples=12, deadline=None, database=None)
@given(st.permutations(range(3)), st.lists(st.integers(0, 2), max_size=4))
def test_overlapping_exports_add_nothing_twice(order: list[int], again: list[int]) -> None:
    """Whole files in any order, some of them again later: every row once, and the rows that stand are the same."""
    setup = setup_of(LATE_COW + BOX_FAILURES)
    life = Life(setup, begin=None)
    for number, index in enumerate([*order, *again]):
        life.at(DAY_0 + 20 * 3600 + number, HISTORY[index], kind=TickKind.RUN if number else TickKind.START)

    assert [
        tuple(row) for row in fetch(life.store, "select cow, start - 1717372800, outcome from visits order by 2")
    ] == [
        ("7", 18000, "milked"),
        ("9", 18600, "failed"),
        ("9", 19800, "failed"),
        ("9", 21000, "failed"),
        ("8", 21600, "milked"),
        ("7", 70200, "milked"),
        ("9", 70800, "milked"),
    ]
    assert alert_table(on_time(life.store, setup)) == alert_table(on_time(_in_order(), setup))
    assert [a.subject for a in standing_alerts(life.store)] == ["box:1"]


def _in_order() -> Any:
    life = Life(setup_of(LATE_COW + BOX_FAILURES), begin="20:00")
    for number, one in enumerate(HISTORY):
        life.at(DAY_0 + 20 * 3600 + 1 + number, one)
    return life.store


def test_a_row_that_comes_late_puts_right_since_when_an_alert_stands() -> None:
    """The cow was milked once more in between: she is late all the same, but since later than was told at first."""
    life = Life(setup_of(LATE_COW))
    life.at("20:05", batch("cow  start  box  outcome\n7  01:00  1  milked\n8  20:00  1  milked"))
    told_first = all_alerts(life.store)[0].since
    life.at("20:10", batch("cow  start  box  outcome\n7  05:30  1  milked", file="milkings_2.csv"))

    [alert] = all_alerts(life.store)
    assert (alert.standing, alert.since - told_first) == (True, 16_200)
    assert alert.text == "Cow 7 not milked for 14 h 30 min"


def test_a_reset_that_comes_late_ends_what_was_told_of_data_that_has_stopped() -> None:
    """The filter of box 2 was told of as it was at 12:00; a file that comes later shows that it had been changed."""
    changed = "box  at  event\n"
    life = Life(setup_of(FILTER_TIME, (FEED, BOX_LOG_FEED)))
    life.at("14:00", batch(f"{changed}2  04:00  filter_changed\n1  12:00  filter_changed", "box_log", feed="boxlog"))
    told = [alert.subject for alert in standing_alerts(life.store)]
    late = batch(f"{changed}2  08:40  filter_changed", "box_log", feed="boxlog", file="boxlog_2.csv")
    life.at("14:10", late)

    assert told == ["box:2"]
    assert not standing_alerts(life.store)
