"""Visits and their quarters in two exports: in whatever order the files are read, it is as if they had been one."""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterable, Sequence
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from text_tables import DAY_0, moment
from whole.farm_rows import SECOND_FEED, SHAPES, Row, quick, visits
from whole.whole_farm import FEED, LATE_COW, Life, alert_table, alerts, batch, measured, setup_of, shipped_rules

from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.edges.store.exports.feeds import feed_state
from sentinel.flow.model import QUARTERS, Batch, Export, Rows, Tick, TickKind
from sentinel.flow.replay import Raised
from sentinel.flow.setup import Setup, read_setup
from sentinel.flow.tables import QUARTER_VALUES
from sentinel.runtime.engine import Engine
from sentinel.runtime.record.replay import live_alerts, on_time
from sentinel.runtime.ticks import batch_of
from sentinel.simulator import HerdSpec, Simulated, simulate
from sentinel.simulator.exports.farm_folder import farm_texts
from sentinel.simulator.exports.files import export_files

QUARTERS_FEED = """
feed: quarters
files: "quarters_*.csv"
form: delimited
tables:
  quarters:
    each: quarter
    cow: Cow
    start: Start
    box: Box
    conductivity_mS_cm: {column: "{quarter}", unit: mS/cm, reference_temperature_C: 25}
"""
END = DAY_0 + 14 * 3600
few = settings(quick, max_examples=10)


# --- what must not depend on the order -------------------------------------------------------------------


def tellers(store: Store) -> dict[tuple[str, int], set[str]]:
    """Which feeds told each visit."""
    together: dict[int, set[str]] = {}
    for number, feed in fetch(store, "select id, feed from tellers"):
        together.setdefault(number, set()).add(feed)
    rows = fetch(store, "select v.cow, v.start, v.told_by, f.feed from visits v join files f on f.id = v.first_file")
    return {(cow, start): together.get(number, {feed}) for cow, start, number, feed in rows}


def of_rows(raised: Iterable[Raised]) -> list[list[str]]:
    """The alerts that are about rows and not about the feeds themselves."""
    return alert_table(one for one in raised if not one.subject.startswith(("feed:", "unread:")))


def corrections(store: Store) -> int:
    """How often something that was known changed."""
    return len(fetch(store, "select 1 from changes where correction = 1"))


# --- any rows ---------------------------------------------------------------------------------------------


@cache
def split_farm() -> Setup:
    """A rule of every shape; visits in one feed, quarters in another."""
    return setup_of(SHAPES, (FEED, QUARTERS_FEED))


@cache
def whole_farm() -> Setup:
    """The same with both in one."""
    return setup_of(SHAPES, (FEED,))


def visit_part(row: Row, file: str) -> Batch:
    """The visit without its quarters."""
    told = {n: v for n, v in row.items() if n not in ("feed", "table") and n.partition("_")[0].upper() not in QUARTERS}
    return Batch("milkings", file, (Rows("visits", tuple(told), (tuple(told.values()),), (2,)),))


def quarter_part(row: Row, file: str, boxes: bool) -> Batch:
    """The visit's quarters, which say the box too, or not."""
    head = ("cow", "start", *(("box",) if boxes else ()))
    lines = []
    for quarter in QUARTERS:
        values = (row.get(f"{quarter.lower()}_{name}") for name in QUARTER_VALUES)
        lines.append((*(row[name] for name in head), quarter, *values))
    return Batch("quarters", file, (Rows("quarters", (*head, "quarter", *QUARTER_VALUES), tuple(lines), (2,) * 4),))


def whole(row: Row, file: str) -> Batch:
    """The visit with its quarters."""
    [visit], [quarters] = visit_part(row, file).rows, quarter_part(row, file, boxes=True).rows
    return Batch("milkings", file, (visit, quarters))


def read_at_once(setup: Setup, files: Sequence[Batch]) -> Life:
    """A farm that reads these files in one look after the end of the day."""
    life = Life(setup, begin=None)
    life.at(END, *files, kind=TickKind.START)
    return life


day_of_visits = st.lists(visits, min_size=1, max_size=8, unique_by=lambda row: (row["cow"], row["start"]))


@few
@given(day_of_visits, st.booleans(), st.data())
def test_split_files_read_in_any_order_are_as_one_export(rows: list[Row], boxes: bool, data: st.DataObject) -> None:
    """Rows, who told them, corrections, known-until, alerts and both kinds of replay: the same, however often read."""
    parts = [visit_part(row, f"milkings_{i}.csv") for i, row in enumerate(rows)]
    parts += [quarter_part(row, f"quarters_{i}.csv", boxes) for i, row in enumerate(rows)]
    again = data.draw(st.lists(st.sampled_from(parts), max_size=6))
    one = read_at_once(whole_farm(), [whole(row, f"milkings_{i}.csv") for i, row in enumerate(rows)])
    lived = [
        read_at_once(split_farm(), order)
        for order in (parts, parts[::-1], data.draw(st.permutations([*parts, *again])))
    ]

    for life in lived:
        assert measured(life.store) == measured(one.store)
        assert set(map(frozenset, tellers(life.store).values())) == {frozenset({"milkings", "quarters"})}
        assert corrections(life.store) == 0
        assert feed_state(life.store) == feed_state(lived[0].store)
        assert of_rows(live_alerts(life.store)) == of_rows(live_alerts(one.store))
        assert of_rows(on_time(life.store, split_farm(), END)) == of_rows(on_time(one.store, whole_farm(), END))
    assert lived[0].alerts == lived[1].alerts == lived[2].alerts
    assert lived[2].told_again == lived[2].alerts


@few
@given(day_of_visits, st.data())
def test_parts_that_never_come_are_missed_alike_in_any_order(rows: list[Row], data: st.DataObject) -> None:
    """Of some visits only the quarters come, of some only the visit: nobody is credited with what another brought."""
    parts = [visit_part(row, f"milkings_{i}.csv") for i, row in enumerate(rows) if data.draw(st.booleans())]
    parts += [quarter_part(row, f"quarters_{i}.csv", True) for i, row in enumerate(rows) if data.draw(st.booleans())]
    lived = [read_at_once(split_farm(), order) for order in (parts, data.draw(st.permutations(parts)))]

    told: dict[tuple[str, int], set[str]] = {}
    for part in parts:
        row = dict(zip(part.rows[0].columns, part.rows[0].values[0], strict=True))
        told.setdefault((row["cow"], row["start"]), set()).add(part.feed)
    for life in lived:
        assert measured(life.store) == measured(lived[0].store)
        assert tellers(life.store) == told
        assert life.alerts == lived[0].alerts
        replayed = alert_table(on_time(life.store, split_farm(), END))
        assert replayed == alert_table(on_time(lived[0].store, split_farm(), END))


@cache
def farm_of_two_parlours() -> Setup:
    """Two feeds of visits, and one of quarters."""
    return setup_of(SHAPES, (FEED, SECOND_FEED, QUARTERS_FEED))


@st.composite
def tellings(draw: st.DrawFn) -> list[Batch]:
    """What two feeds say of the same few visits, each once, or in versions: alike, apart, or nothing in some cells."""
    found = []
    for number in range(draw(st.integers(1, 8))):
        row = {
            "cow": draw(st.sampled_from("79")),
            "start": DAY_0 + 3600 * draw(st.integers(1, 3)),
            "box": draw(st.sampled_from(("1", "2", None))),
            "outcome": draw(st.sampled_from(("milked", "failed", None))),
            "milk_kg": draw(st.sampled_from((9.1, 9.12, None))),
        }
        feed = draw(st.sampled_from(("milkings", "parlour", "quarters")))
        name = f"{feed}_{number}.csv"
        if feed == "quarters":
            found.append(quarter_part({**row, "lf_conductivity_mS_cm": 5.0 + (number > 3)}, name, True))
            continue
        version: Row = {"modified": DAY_0 + number, "deleted": draw(st.sampled_from((False, False, False, True)))}
        row |= version if feed == "parlour" or draw(st.booleans()) else {}
        found.append(Batch(feed, name, (Rows("visits", tuple(row), (tuple(row.values()),), (2,)),)))
    once: dict[Any, Batch] = {}
    for one in found:  # without a version the newest file of one feed is right by its coming, so there is one only
        versioned = one.feed if one.feed != "quarters" and "modified" in one.rows[0].columns else ""
        once[one.feed, one.rows[0].values[0][:2], one.file if versioned else ""] = one
    unversioned = {key[:2] for key, one in once.items() if key[2] == ""}
    return [one for key, one in once.items() if key[2] == "" or key[:2] not in unversioned]


@few
@given(tellings(), st.data())
def test_feeds_that_say_it_differently_are_settled_alike_in_any_order(told: list[Batch], data: st.DataObject) -> None:
    """Boxes, outcomes and milk that contradict each other, empty cells, versions and withdrawals: one answer."""
    setup = farm_of_two_parlours()
    again = data.draw(st.lists(st.sampled_from(told), max_size=4))
    order = data.draw(st.permutations([*told, *again]))
    cut = data.draw(st.integers(0, len(order)))
    first, second = Life(setup, begin=None), Life(setup, begin=None)
    for life, files in ((first, (told,)), (second, (order[:cut], order[cut:]))):
        for number, some in enumerate(files):
            life.at(END + number, *some, kind=TickKind.RUN if number else TickKind.START)

    assert measured(second.store) == measured(first.store)
    assert tellers(second.store) == tellers(first.store)
    assert alert_table(on_time(second.store, setup, END)) == alert_table(on_time(first.store, setup, END))
    assert second.told_again == second.alerts


# --- by hand ----------------------------------------------------------------------------------------------

SEEN = "cow  start  quarter  box  conductivity_mS_cm\n7  00:30  LF  1  5\n7  15:00  LF  1  5\n8  15:10  LF  1  5"
VISITED = """
    cow  start  box  outcome
    7    00:30  1    milked
    9    14:31  1    failed
    7    15:00  1    milked
    8    15:10  1    milked
"""


@pytest.mark.parametrize("first", ["quarters", "visits"])
def test_the_cow_is_late_at_her_second_whichever_file_was_read_first(first: str) -> None:
    """Her visit ended it, and that came with the visits, though the quarters' file had brought the row already."""
    setup = setup_of(LATE_COW, (FEED, QUARTERS_FEED))
    files = [batch(SEEN, "quarters", feed="quarters", file="quarters_1.csv"), batch(VISITED)]
    life = Life(setup)
    life.at("16:00", *(files if first == "quarters" else files[::-1]))

    assert alert_table(on_time(life.store, setup)) == alerts("""
        rule      subject  raised  over   urgency  value
        late-cow  cow:7    14:31   15:00  round    14.017
    """)


def test_two_feeds_that_weigh_differently_correct_each_other_no_more() -> None:
    """Each file holds the hour before as well: what one said before is not told as a correction of the other's."""
    life = Life(setup_of(LATE_COW, (FEED, SECOND_FEED)))
    for number in range(6):
        feed, milk = (("parlour", "9.12"), ("milkings", "9.1"))[number % 2]
        rows = f"cow  start  box  milk_kg\n7  05:00  1  {milk}"
        life.at(f"06:0{number}", batch(rows, feed=feed, file=f"{feed}_{number}.csv"))

    assert [tuple(row) for row in fetch(life.store, "select milk_kg from visits")] == [(9.1,)]
    assert corrections(life.store) == 1


def test_an_empty_cell_takes_nothing_from_what_another_feed_says() -> None:
    """The box that the quarters' export names stays, and is taken back only by the one that named it."""
    life = Life(setup_of(LATE_COW, (FEED, QUARTERS_FEED)))
    head = "cow  start  quarter  box\n7  05:00  LF  "

    def box() -> list[str | None]:
        return [row["box"] for row in fetch(life.store, "select box from visits")]

    life.at("06:00", batch(head + "1", "quarters", feed="quarters", file="quarters_1.csv"))
    life.at("06:01", batch("cow  start  box  outcome\n7  05:00  -  milked"))
    assert box() == ["1"]
    life.at("06:02", batch(head + "2", "quarters", feed="quarters", file="quarters_1.csv"))
    assert box() == ["2"]
    life.at("06:03", batch(head + "-", "quarters", feed="quarters", file="quarters_1.csv"))
    assert box() == [None]


@pytest.mark.parametrize("order", ["012", "201", "120", "2012"])
def test_a_feed_that_begins_to_say_versions_said_none_before(order: str) -> None:
    """What it told without a version is not taken for as new as what the other feed says of the same visit."""
    files = [
        batch("cow  start  outcome  modified\n9  05:00  failed  05:10", feed="parlour", file="parlour_0.csv"),
        batch("cow  start  outcome  modified\n7  05:00  milked  05:20", file="milkings_1.csv"),
        batch("cow  start  outcome\n9  05:00  milked", file="milkings_2.csv"),
    ]
    life = Life(setup_of(LATE_COW, (FEED, SECOND_FEED)))
    life.at("06:00", *(files[int(place)] for place in order))

    [row] = fetch(life.store, "select outcome, modified from visits where cow = '9'")
    assert tuple(row) == ("failed", moment("05:10"))


# --- a simulated herd, file by file ------------------------------------------------------------------------

SPEC = HerdSpec(cows=30, boxes=1, days=12, seed=33)


@cache
def herd() -> Simulated:
    """Thirty cows, one box, twelve days."""
    return simulate(SPEC)


@cache
def farm(split: bool, stamped: bool) -> Setup:
    """The farm of these exports with the rules that ship; whose lists promise completeness by their names, or not."""
    texts = {**farm_texts(herd(), split), **shipped_rules()}
    if not stamped:
        texts = {
            name: re.sub(r"(?m)^complete_until: .*\n", "", text)
            if re.search("milkings|visits|quarters", name)
            else text
            for name, text in texts.items()
        }
    setup, problems = read_setup(texts)
    assert setup is not None, problems
    return setup


@cache
def exports(split: bool, stamped: bool) -> list[Batch]:
    """All exports but the boxes' logs, read by the farm's maps, in the order of their names."""
    read = []
    for file in sorted(export_files(herd(), split), key=lambda file: file.name):
        if not file.name.startswith("boxlog"):
            read.append(batch_of(farm(split, stamped), Export(file.name, file.content, file.arrives_at)))
    assert None not in read
    return read  # type: ignore[return-value]


@cache
def all_read(split: bool, stamped: bool, order: str) -> tuple[Store, list[list[str]], list[list[str]]]:
    """The store after all exports were taken in an order, in one look; its alerts; and its replay as if on time."""
    setup, store = farm(split, stamped), Store(None)
    store.put_meta("watched_since", str(herd().calendar.begin))
    engine, at = Engine(store, setup), herd().calendar.until + 86_400
    with store.writing():
        for one in ORDERS[order](exports(split, stamped)):
            engine.absorb(at, one)
    engine.step(Tick(at, TickKind.START))
    return store, of_rows(live_alerts(store)), of_rows(on_time(store, setup))


def shuffled(files: list[Batch]) -> list[Batch]:
    """In no order, and a third of them twice."""
    dice = random.Random(7)
    return dice.sample([*files, *dice.sample(files, len(files) // 3)], len(files) + len(files) // 3)


ORDERS: dict[str, Callable[[list[Batch]], list[Batch]]] = {
    "alphabetical": lambda files: files,
    "visits first": lambda files: sorted(files, key=lambda one: one.feed == "quarters"),
    "shuffled, some twice": shuffled,
}


@pytest.mark.parametrize("stamped", [True, False], ids=["stamped", "unstamped"])
@pytest.mark.parametrize("order", ORDERS)
def test_a_herds_split_exports_give_what_its_whole_ones_give(order: str, stamped: bool) -> None:
    """The rows, the alerts of one look and every alert of the replay as if on time, to the second."""
    one, standing, replayed = all_read(False, stamped, "alphabetical")
    store, mine, told = all_read(True, stamped, order)

    assert len([row for row in replayed if row[0] == "late-cow"]) > 20
    assert measured(store) == measured(one)
    assert corrections(store) == corrections(one)
    assert mine == standing
    assert told == replayed
