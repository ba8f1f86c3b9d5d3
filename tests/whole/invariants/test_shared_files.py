"""Two feed maps divide one file: rows, alerts and what is known of each feed are as if each had files of its own."""

from __future__ import annotations

import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st
from whole.farm_rows import quick
from whole.map_farm import RULES, MapFarm, at

from sentinel.edges.store.exports.feeds import feed_state, rows_set_aside
from sentinel.flow.tables import BOX_LOG, VISITS

MILKINGS = """\
feed: milkings
files: "day_*.csv"
times: "%Y-%m-%d %H:%M"
tables:
  visits:
    only: {column: Kind, is: M}
    cow: Who
    start: When
    milk_kg: Milk
"""
LOG = """\
feed: boxes
files: "day_*.csv"
times: "%Y-%m-%d %H:%M"
tables:
  box_log:
    only: {column: Kind, is: [F]}
    box: Who
    at: When
    event: {column: Kind, words: {F: filter_changed}}
"""
HEAD = "Kind,Who,When,Milk\n"
FILTERS = """\
- rule: filter-old
  measure: hours_since_filter
  raise_over: 4 h
  urgency: round
  say: "Box {box}: {value} since the filter was changed"
"""


def milking(cow: int, when: str) -> str:
    """A row of a milking."""
    return f"M,{cow},{when},12.5\n"


def filter_changed(box: int, when: str) -> str:
    """A row of a box's log."""
    return f"F,{box},{when},\n"


def test_a_map_that_comes_later_reads_what_was_there(tmp_path: Path) -> None:
    """The file is read again when the second map comes; when it goes, its rows go, and those of the first stay."""
    farm = MapFarm(tmp_path / "farm")
    farm.map("milkings", MILKINGS)
    text = HEAD + milking(7, "2026-05-04 05:00") + filter_changed(1, "2026-05-04 05:30")
    farm.export("day_1.csv", text, "2026-05-04 06:00")
    farm.look("2026-05-04 06:00")
    assert (len(farm.rows(VISITS)), farm.rows(BOX_LOG)) == (1, [])
    farm.map("boxes", LOG)
    farm.look("2026-05-04 07:00")

    assert (len(farm.rows(VISITS)), len(farm.rows(BOX_LOG))) == (1, 1)
    assert feed_state(farm.store) == {
        "boxes": (("box_log",), at("2026-05-04 05:30")),
        "milkings": (("visits",), at("2026-05-04 05:00")),
    }
    farm.map("boxes", None)
    farm.look("2026-05-04 08:00")
    assert (len(farm.rows(VISITS)), farm.rows(BOX_LOG)) == (1, [])
    assert set(feed_state(farm.store)) == {"milkings"}
    assert farm.told_again == farm.alerts


def test_a_box_event_makes_no_milking_known(tmp_path: Path) -> None:
    """A file in which the milkings stopped and the events go on accuses no cow: of her nothing is known past them."""
    farm = MapFarm(tmp_path / "farm", RULES)
    farm.map("milkings", MILKINGS)
    farm.map("boxes", LOG)
    farm.export("day_1.csv", HEAD + milking(7, "2026-05-04 05:00"), "2026-05-04 06:00")
    farm.look("2026-05-04 06:00")
    events = "".join(filter_changed(1, f"2026-05-04 {hour:02}:30") for hour in range(6, 22))
    farm.export("day_2.csv", HEAD + events, "2026-05-04 22:00")
    farm.look("2026-05-04 22:00")

    assert not [alert for alert in farm.alerts if "cow:7" in alert]
    assert farm.told_again == farm.alerts


def test_a_row_of_no_map_is_set_aside_once_and_mended_by_a_word(tmp_path: Path) -> None:
    """When one of the maps leaves that kind out, nothing is left to tell."""
    farm = MapFarm(tmp_path / "farm")
    farm.map("milkings", MILKINGS)
    farm.map("boxes", LOG)
    text = HEAD + milking(7, "2026-05-04 05:00") + "T,1,2026-05-04 05:30,\n"
    farm.export("day_1.csv", text, "2026-05-04 06:00")
    farm.look("2026-05-04 06:00")
    assert [(one["feed"], one["line"]) for one in rows_set_aside(farm.store)] == [("milkings", 3)]
    farm.map("boxes", LOG.replace("is: [F]", "is: [F], leave_out: T"))
    farm.look("2026-05-04 07:00")

    assert rows_set_aside(farm.store) == []
    assert farm.told_again == farm.alerts


def known_until(farm: MapFarm) -> dict[str, int]:
    """Up to when each feed is known of which anything is."""
    return {name: until for name, (_, until) in feed_state(farm.store).items() if until is not None}


CLOCKS = [f"2026-05-04 {hour:02}:{minute}0" for hour in range(12) for minute in range(6)]
ROWS = st.lists(
    st.one_of(
        st.builds(milking, st.integers(1, 3), st.sampled_from(CLOCKS)),
        st.builds(filter_changed, st.integers(1, 2), st.sampled_from(CLOCKS)),
    ),
    min_size=1,
    max_size=12,
    unique=True,
)


@settings(quick, max_examples=10)
@given(st.lists(ROWS, min_size=1, max_size=2), st.booleans())
def test_it_is_as_if_each_feed_had_files_of_its_own(days: list[list[str]], late: bool) -> None:
    """Whatever rows stand in which file, and whether the second map was there from the beginning."""
    with tempfile.TemporaryDirectory() as folder:
        shared, apart = (MapFarm(Path(folder) / name, RULES + FILTERS) for name in ("shared", "apart"))
        shared.map("milkings", MILKINGS)
        apart.map("milkings", MILKINGS.replace("day_*", "m_*"))
        for farm, text in ((shared, LOG), (apart, LOG.replace("day_*", "e_*"))):
            if not late:
                farm.map("boxes", text)
        for number, rows in enumerate(days):
            when = f"2026-05-04 {13 + number}:00"
            shared.export(f"day_{number}.csv", HEAD + "".join(rows), when)
            for kind, name in (("M", "m"), ("F", "e")):
                apart.export(f"{name}_{number}.csv", HEAD + "".join(r for r in rows if r[0] == kind), when)
            shared.look(when)
            apart.look(when)
        if late:
            shared.map("boxes", LOG)
            apart.map("boxes", LOG.replace("day_*", "e_*"))
        for farm in (shared, apart):
            farm.look("2026-05-04 23:00")

        assert shared.all_rows() == apart.all_rows()
        assert known_until(shared) == known_until(apart)
        assert shared.told_again == shared.alerts
        if not late:
            assert shared.alerts == apart.alerts
        shared.store.verify()


def test_of_two_maps_one_that_cannot_read_the_file_keeps_its_rows_and_the_other_is_put_right(tmp_path: Path) -> None:
    """A slip in one map's title neither takes its rows back nor holds up an edit of the other."""
    farm = MapFarm(tmp_path / "farm")
    farm.map("milkings", MILKINGS.replace("milk_kg: Milk", "milk_kg: {column: Milk, unit: lb}"))
    farm.map("boxes", LOG)
    text = HEAD + milking(7, "2026-05-04 05:00") + filter_changed(1, "2026-05-04 05:30")
    farm.export("day_1.csv", text, "2026-05-04 06:00")
    farm.look("2026-05-04 06:00")
    farm.map("milkings", MILKINGS)
    farm.map("boxes", LOG.replace("box: Who", "box: Whoo"))
    farm.look("2026-05-04 07:00")

    assert [row[-1] for row in farm.rows(VISITS)] == [12.5]
    assert len(farm.rows(BOX_LOG)) == 1
    farm.map("boxes", LOG.replace("box: Who", "box: Kind"))
    farm.look("2026-05-04 08:00")
    assert [row[0] for row in farm.rows(BOX_LOG)] == ["F"]
    assert farm.told_again == farm.alerts
