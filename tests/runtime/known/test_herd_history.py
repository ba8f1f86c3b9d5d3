"""The herd's past as the store has it, and what a command reads of the present."""

from __future__ import annotations

from text_tables import moment
from whole.whole_farm import FEED, HERD_FEED, LATE_COW, Life, batch, setup_of

from sentinel.edges.store.database import fetch
from sentinel.flow.herd.history import YEAR_S, HerdPast
from sentinel.flow.tables import COWS, VISITS
from sentinel.runtime.farm_now import tables_now
from sentinel.runtime.known.herd_history import HerdHistory

DAYS = range(-10, 1)


def visits_of(days: range, kg: float, shift_d: int = 0) -> str:
    """Two cows, milked at 06:00 and 18:00 of some days."""
    rows = [
        f"{cow}  {day + shift_d}d{hour}:0{cow}  1  milked  {kg}"
        for day in days
        for hour in ("06", "18")
        for cow in (7, 8)
    ]
    return "\n".join(["cow  start  box  outcome  milk_kg", *rows])


def a_year() -> Life:
    """A farm with visits of now and of a year ago, and cells in between."""
    life = Life(setup_of(LATE_COW, feeds=(FEED, HERD_FEED)), begin="-380d00:00")
    shift = -YEAR_S // 86400
    life.at("-350d00:00", batch(visits_of(range(-25, 1), 9, shift), file="milkings_0.csv"))
    life.at(
        "-350d00:10", batch("cow  from  status\n7  -400d00:00  milking\n8  -400d00:00  milking", "cows", feed="herd")
    )
    tests = "tank  at  cells_k_ml  temperature_C\n1  -300d06:00  300  -\n1  -20d06:00  200  -\n1  -10d06:00  -  4"
    life.at("0d20:00", batch(visits_of(DAYS, 11), file="milkings_1.csv"), batch(tests, "tank", file="tank.csv"))
    life.at("0d20:10", batch("cow  at  cells_k_ml  milk_kg\n7  -200d06:00  90  30", "cow_tests", file="tests.csv"))
    return life


def past_of(life: Life, history: HerdHistory | None = None) -> HerdPast:
    """The past as it is known at 20:00 of day 0."""
    at = moment("20:10")
    tables, setup = tables_now(life.store, life.engine.setup, at), life.engine.setup
    return (history or HerdHistory(life.store)).past(tables, setup.rules, "UTC", at)


def test_it_gives_results_that_memory_has_let_go_of_and_two_weeks_of_a_year_before() -> None:
    """Rows without a count are left out; of the weeks a year before there are the averages alone."""
    past = past_of(a_year())

    assert list(past.tank["cells_k_ml"]) == [300.0, 200.0]
    assert list(past.cow_tests["cells_k_ml"]) == [90.0]
    assert past.year_before is not None
    assert (past.year_before.cows, past.year_before.per_cow, past.year_before.kg_per_cow) == (2.0, 2.0, 18.0)


def test_a_farm_without_a_year_has_none_before() -> None:
    """Nor has one whose visits nobody knows."""
    young = Life(setup_of(LATE_COW))
    assert past_of(young).year_before is None
    young.at("20:00", batch(visits_of(range(1), 11)))
    assert past_of(young).year_before is None


def test_a_year_before_is_worked_out_again_when_more_of_it_is_read() -> None:
    """An old export that comes late is seen; otherwise it is read once an hour."""
    life = a_year()
    history = HerdHistory(life.store)
    first = past_of(life, history).year_before
    assert past_of(life, history).year_before is first
    shift = -YEAR_S // 86400
    life.at("0d20:30", batch(visits_of(range(-25, 1), 9, shift).replace("7  ", "9  "), file="milkings_2.csv"))
    again = past_of(life, history).year_before

    assert again is not None and again.cows == 3.0


def test_the_rows_of_now_are_those_that_a_service_has_in_memory_and_nothing_is_written() -> None:
    """Frame by frame; with the farm's feeds and their known-until."""
    life = a_year()
    before = fetch(life.store, "select total_changes()")[0][0]
    tables = tables_now(life.store, life.engine.setup, moment("20:10"))

    assert life.engine.tables is not None
    for table in (VISITS, COWS):
        assert getattr(tables, table.name).equals(getattr(life.engine.tables, table.name))
    assert {feed.name: feed.known_until for feed in tables.farm.feeds}["milkings"] == moment("18:08")
    assert fetch(life.store, "select total_changes()")[0][0] == before
