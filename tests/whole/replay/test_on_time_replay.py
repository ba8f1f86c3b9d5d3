"""In bulk as tick by tick: where every row came at its own second, both readings of history give the same alerts."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from hypothesis import given, settings
from hypothesis import strategies as st
from text_tables import DAY_0, moment_text
from whole.farm_rows import (
    MOMENT,
    SECOND_FEED,
    Row,
    batch_of_row,
    box_events,
    chores,
    farm_of_all_shapes,
    herd_rows,
    moment_of,
    quick,
    unread,
    visits,
)
from whole.whole_farm import BOX_LOG_FEED, FEED, HERD_FEED, Life, alert_table, alerts, batch, setup_of, shipped_rules

from sentinel.edges.store.history import last_tick
from sentinel.flow.measures import MEASURES
from sentinel.flow.model import Chore, TickKind
from sentinel.flow.replay import Raised
from sentinel.flow.setup import Setup
from sentinel.runtime.record.replay import live_alerts, on_time


def lived(setup: Setup, rows: Iterable[Row]) -> Life:
    """A farm at which every row is known in the second in which it happened."""
    life = Life(setup, begin=None)
    by_moment: dict[int, list[Row]] = {}
    for row in rows:
        by_moment.setdefault(moment_of(row), []).append(row)
    for number, (at, mine) in enumerate(sorted(by_moment.items())):
        batches = []
        for i, row in enumerate(row for row in mine if row["feed"]):
            batches.append(batch_of_row(row, f"{row['feed']}_{at}_{i}.csv"))
        done = [Chore(row["chore"], row["place"], at, "Marit") for row in mine if not row["feed"]]
        life.at(at, *batches, kind=TickKind.RUN if number else TickKind.START, chores=tuple(done))
    return life


def compared(life: Life, setup: Setup, apart: frozenset[str] = frozenset()) -> tuple[list[list[str]], list[list[str]]]:
    """The alerts that were raised, and those of the replay in bulk, whose incidents agree.

    Rules about arrival have no meaning there.

    `apart`: measures that are not compared, as what they rest on was not on time.
    """
    names = {
        name
        for name, rule in setup.rules.items()
        if rule.measure not in {*(one.name for one in MEASURES if one.about_arrival), *apart}
    }
    real = [one for one in live_alerts(life.store) if one.rule in names]
    until = last_tick(life.store)
    bulk = [one for one in on_time(life.store, setup, until) if one.rule in names]
    assert troubles(bulk, names) == troubles(real, names)
    return alert_table(real), alert_table(bulk)


def troubles(raised: Iterable[Raised], names: set[str]) -> list[list[str]]:
    """Which alert founded the incident of each, and when it rings, but for those of rules that are not compared.

    Nor are those of feeds: which of them stopped together is looked at again at every tick, and here once.
    """
    return sorted(
        [
            *(one.rule, one.subject, moment_text(one.raised_at), one.incident.rule),
            *(moment_text(one.incident.raised_at), "-" if one.rings_at is None else moment_text(one.rings_at)),
        ]
        for one in raised
        if one.incident is not None
        and one.incident.rule in names
        and not {one.subject[:5], one.incident.subject[:5]} & {"feed:"}
    )


@quick
@given(st.lists(st.one_of(visits, visits, visits, box_events, herd_rows, chores, unread), min_size=1, max_size=40))
def test_in_bulk_as_tick_by_tick_for_every_shape_of_a_rule(rows: list[Row]) -> None:
    """Bounds, classes, lasting, pressing, coming again, ageing, four feeds and chores: the two readings agree."""
    setup = farm_of_all_shapes()
    # the share of late cows counts a visit that could not be read from when it may have been, hours before it is known
    known_late = any(row.get("lasting_s") for row in rows)
    live, bulk = compared(lived(setup, rows), setup, frozenset({"late_share"} if known_late else ()))

    assert bulk == live


@cache
def farm_of_shipped_rules() -> Setup:
    """The rules that ship, on the same four feeds."""
    return setup_of(shipped_rules(), (FEED, SECOND_FEED, BOX_LOG_FEED, HERD_FEED))


def slower(row: Row) -> Row:
    """The row on a grid eight times as coarse: five days, in which bounds of a day are passed."""
    name = MOMENT.get(row.get("table", ""), "at")
    return {**row, name: DAY_0 + 8 * (row[name] - DAY_0)}


@settings(quick, max_examples=8)
@given(st.lists(st.one_of(visits, visits, visits, box_events, herd_rows, chores), min_size=10, max_size=50))
def test_in_bulk_as_tick_by_tick_for_the_rules_that_ship(rows: list[Row]) -> None:
    """The same for every shipped rule that has a meaning where everything is on time."""
    setup = farm_of_shipped_rules()
    live, bulk = compared(lived(setup, [slower(row) for row in rows]), setup)

    assert bulk == live


BOX_QUIET = """
- rule: box-quiet
  measure: box_quiet_min
  raise_over: 30 min
  urgency: now
  say: "Box {box}: {value}"
"""


def test_files_that_come_at_their_stamps_are_told_as_they_came() -> None:
    """Nobody saw the visit of 01:20 before the file of 02:00, and then the box was quiet again: one alert."""
    setup = setup_of(BOX_QUIET)
    life = Life(setup)
    life.at("01:00", batch("cow  start  box  outcome\n7  00:00  1  milked\n9  00:50  2  milked", until="01:00"))
    rows = "cow  start  box  outcome\n8  01:20  1  milked\n9  01:40  2  milked"
    life.at("02:00", batch(rows, file="milkings_2.csv", until="02:00"))
    rows = "cow  start  box  outcome\n8  02:50  1  milked\n9  02:10  2  milked"
    life.at("03:00", batch(rows, file="milkings_3.csv", until="03:00"))
    live, bulk = compared(life, setup)

    assert live == alerts("""
        rule       subject  raised  over   urgency  value
        box-quiet  box:1    01:00   03:00  now      60
        box-quiet  box:2    03:00   -      now      50
    """)
    assert bulk == live


def test_a_visit_that_may_have_been_a_milking_comes_with_the_first_decision() -> None:
    """Two feeds bring visits: cow 9 can first be judged as the visit comes of which it cannot be read how it ended."""
    cells = {"feed": "milkings", "table": "visits", "cow": "9", "box": "2"}
    rows: list[Row] = [
        {**cells, "outcome": "milked", "start": DAY_0 + 50 * 60},
        {**cells, "feed": "parlour", "cow": "10", "outcome": "incomplete", "start": DAY_0 + 520 * 60},
        {**cells, "outcome": "unknown", "start": DAY_0 + 570 * 60},
    ]
    live, bulk = compared(lived(farm_of_all_shapes(), rows), farm_of_all_shapes())

    assert not [alert for alert in live if alert[:2] == ["late", "cow:9"]]
    assert bulk == live
