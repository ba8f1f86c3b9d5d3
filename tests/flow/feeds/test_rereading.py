"""What another feed map makes of files that were read before."""

from __future__ import annotations

from itertools import combinations

from sentinel.flow.again_and_pages import Reread
from sentinel.flow.feeds import FeedMap, load_feed_map
from sentinel.flow.feeds.rereading import (
    Given,
    map_changes,
    no_longer_given,
    reads_versions_alike,
    rows_changed,
    way_of_reading,
)
from sentinel.flow.model import Batch, Rows

MAP = """\
feed: milkings
files: "milkings_*.csv"
form: delimited
tables:
  visits: {cow: Cow, start: Start, milk_kg: {column: Milk, unit: kg}}
"""


def feed_map(text: str = MAP) -> FeedMap:
    """A map, read."""
    found, problems = load_feed_map(text, "feeds/milkings.yaml")
    assert found is not None, problems
    return found


def given(*parts: Rows) -> Given:
    """What one reading of these rows gave."""
    found = Given()
    found.add(Batch("milkings", "milkings_1.csv", parts))
    return found


def visits(columns: str, *rows: tuple[object, ...]) -> Rows:
    """Rows of visits."""
    return Rows("visits", tuple(columns.split()), rows, (1,) * len(rows))


def test_the_way_a_file_is_read_heeds_no_remark_and_no_pace() -> None:
    """But the zone of the farm, where the map has none of its own."""
    here, there = "UTC", "Europe/Berlin"
    way = way_of_reading(feed_map(), here)

    assert way == way_of_reading(feed_map("# remark\n" + MAP + "pace: daily\n"), here)
    assert way == way_of_reading(feed_map(MAP + "zone: UTC\n"), there)
    assert way != way_of_reading(feed_map(), there)


def test_what_was_changed_in_a_map_is_said_in_its_own_terms() -> None:
    """Each setting with what it was and is; of many the number."""
    assert map_changes(feed_map(), feed_map(MAP.replace("unit: kg", "unit: lb"))) == [
        "tables.visits.milk_kg.unit kg → lb"
    ]
    assert map_changes(feed_map(), feed_map(MAP + "zone: UTC\n")) == ["zone - → UTC"]
    assert map_changes(None, feed_map()) == []
    others = MAP.replace("cow: Cow, start: Start", "cow: A, start: B, box: C, duration_s: D, attempts: E, attach_s: F")
    assert map_changes(feed_map(), feed_map(others + "zone: UTC\ndecimal: ','\n"))[-1] == "... (8)"


def test_rows_that_are_no_longer_made_are_taken_back() -> None:
    """And columns that are no longer carried are emptied in the rows that stay."""
    was = given(visits("cow start box milk_kg", ("7", 100, "1", 12.0), ("8", 200, "1", 11.0)))
    now = given(visits("cow start milk_kg", ("7", 100, 12.0)))
    why = Reread("feeds/milkings.yaml", files={"milkings_1.csv": True})

    back = no_longer_given("milkings", was, now, why)

    assert back.takes_back and back.reread == why
    assert [(part.columns, part.values) for part in back.rows] == [
        (("cow", "start", "deleted"), (("8", 200, True),)),
        (("cow", "start", "box"), (("7", 100, None),)),
    ]


def test_rows_are_counted_that_have_other_cells() -> None:
    """Also where only which quarter a figure is of has changed; not rows that come in another order, or are gone."""
    rows = (("7", 100, "LF", 3.0), ("7", 100, "RF", 4.0), ("8", 200, "LF", 3.0))
    columns = "cow start quarter milk_kg"
    was = given(Rows("quarters", tuple(columns.split()), rows, (1,) * 3), visits("cow start box", ("9", 300, "1")))
    same = given(
        Rows("quarters", tuple(columns.split()), rows[::-1], (1,) * 3), visits("cow start box", ("9", 300, "1"))
    )
    turned = [(cow, at, {"LF": "RF", "RF": "LF"}[quarter], kg) for cow, at, quarter, kg in rows[:2]]
    now = given(Rows("quarters", tuple(columns.split()), (*turned, rows[2]), (1,) * 3))

    assert rows_changed(was, same) == 0
    assert rows_changed(was, now) == 1
    assert rows_changed(same, given()) == 0


def test_two_quarters_that_were_swapped_count_in_every_row() -> None:
    """Whatever the figures: near ones, and whole ones, are no exception."""
    columns = ("cow", "start", "quarter", "milk_kg")
    pairs = [(cow, one, other) for cow, (one, other) in enumerate(combinations([n / 2 for n in range(30)], 2))]

    def halves(left: str, right: str) -> Given:
        rows = [row for cow, one, other in pairs for row in ((str(cow), 1, left, one), (str(cow), 1, right, other))]
        return given(Rows("quarters", columns, tuple(rows), (1,) * len(rows)))

    assert rows_changed(halves("LF", "RF"), halves("RF", "LF")) == len(pairs)


def test_quarters_are_columns_of_their_visit() -> None:
    """As they are stored."""
    quarters = Rows("quarters", ("cow", "start", "quarter", "milk_kg"), (("7", 100, "LF", 3.0),), (1,))
    back = no_longer_given("milkings", given(quarters), given(visits("cow start", ("7", 100))), Reread("", files={}))

    assert [(part.table, part.columns[2:]) for part in back.rows] == [
        ("visits", ("lf_milk_kg", "lr_milk_kg", "rf_milk_kg", "rr_milk_kg"))
    ]


def test_a_row_that_a_file_withdraws_is_none_that_it_gives() -> None:
    """So it is not taken back a second time."""
    was = given(visits("cow start deleted", ("7", 100, True), ("8", 200, False)))

    assert was.keys == {"visits": {("8", 200)}}


def test_versions_are_held_against_rows_only_if_they_were_read_alike() -> None:
    """A day read as a month would make every right version look old."""
    versioned = MAP.replace("cow: Cow", "cow: Cow, modified: Changed")

    assert reads_versions_alike(feed_map(), feed_map(MAP.replace("unit: kg", "unit: lb")))
    assert reads_versions_alike(feed_map(versioned), feed_map(versioned + "decimal: ','\n"))
    assert not reads_versions_alike(feed_map(versioned), feed_map(versioned + "times: '%d.%m.%Y %H:%M'\n"))
    assert not reads_versions_alike(feed_map(), feed_map(versioned))
