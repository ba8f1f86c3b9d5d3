"""What a file's name or folder says of all its rows, and that it is told where it does not."""

from __future__ import annotations

import pytest
from flow.feeds.mapped import batch_of, cells, problems_of
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.feeds.origins.file_names import taken

BY_FOLDER = """\
feed: visits
files: "visits_*.csv"
tables:
  visits:
    cow: Cow
    start: Start
    box: {file_name: "box{box}/*", is: [1, 2]}
  quarters:
    each: quarter
    milk_kg: "{quarter}"
"""
LINES = "Cow,Start,LF,RF,LR,RR\n217,2026-05-10 06:00,1,2,3,4\n218,2026-05-10 06:10,1,2,3,4\n"
LOG = """\
feed: log
files: "*"
tables:
  box_log:
    box: {file_name: "robot-{box}_*"}
    at: When
    event: {column: What, words: {F: filter_changed}}
"""


@pytest.mark.parametrize(
    ("pattern", "name", "found"),
    [
        ("box{box}/*", "box2/visits_20260510.csv", "2"),
        ("box{box}/*", "Box2/2026/05/visits.csv", "2"),
        ("box{box}/*", "old/box2/visits.csv", None),
        ("*/box{box}/*", "old/box2/visits.csv", "2"),
        ("box{box}/*", "visits.csv", None),
        ("robot-{box}_*", "robot-3_20260510.csv", "3"),
        ("robot-{box}_*", "2026/robot-3_20260510.csv", "3"),
        ("robot-{box}_*", "ROBOT-A3_x_y.csv", "A3"),
        ("robot-{box}_*", "robot-_x.csv", None),
        ("{box}_*.csv", "left_1.csv", "left"),
        ("visits {box}.csv", "visits 2.csv", "2"),
        ("robot-{box}_*", "robot-ẞ_İ.csv", "ẞ"),
    ],
)
def test_what_stands_at_the_place_is_taken(pattern: str, name: str, found: str | None) -> None:
    """As it is written, within one part of the path, as short as can be; capitals of the rest do not matter."""
    assert taken(pattern, name) == found


@given(st.text("ab/{}*?[]_İ", max_size=12), st.text("abAB/_*İß", max_size=30))
def test_no_pattern_and_no_name_is_too_much(around: str, name: str) -> None:
    """Whatever is written around the place: what is taken stands in the name, and in no two folders."""
    around = around.replace("{", "").replace("}", "")
    found = taken(f"{around}{{box}}{around[::-1]}", name)

    assert found is None or (found and found in name and "/" not in found)


def test_the_folder_says_the_box_of_all_rows() -> None:
    """Of visits, and of the quarters that go by them."""
    batch = batch_of(BY_FOLDER, LINES, "box2/visits_20260510.csv")

    assert cells(batch, "box") == ["2"] * 10
    assert batch.set_aside == ()


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("visits_20260510.csv", '"box": its name does not fit the map\'s pattern box{box}/*'),
        ("box3/visits_20260510.csv", '"box": its name says "3", and the map knows only 1, 2'),
    ],
)
def test_a_name_that_does_not_say_it_costs_that_field_and_is_told_once(name: str, said: str) -> None:
    """The rows stand without it: their who and when are known."""
    batch = batch_of(BY_FOLDER, LINES, name)

    assert cells(batch, "cow") == ["217", "218", *["217"] * 4, *["218"] * 4]
    assert cells(batch, "box") == ["-"] * 10
    assert [(one.line, one.kept, str(one.reason)) for one in batch.set_aside] == [(2, True, said)]


def test_a_file_whose_name_lacks_what_tells_its_rows_apart_is_set_aside_whole() -> None:
    """A box's log without its box is nobody's; with it each entry is that box's."""
    lines = "When,What\n2026-05-10 06:00,F\n"
    batch = batch_of(LOG, lines, "log_1.csv")

    assert cells(batch_of(LOG, lines, "robot-3_1.csv"), "box") == ["3"]
    assert batch.rows == ()
    assert [(one.line, str(one.reason)) for one in batch.set_aside] == [
        (0, "its name does not fit the map's pattern robot-{box}_*")
    ]


def test_figures_and_words_may_stand_in_a_name() -> None:
    """They are read as those of a column are."""
    feed = BY_FOLDER.replace(
        "start: Start",
        """start: Start
    attempts: {file_name: "{attempts}_*"}
    milk_kg: {file_name: "*_*_{milk_kg}lb.csv", unit: lb}
    outcome: {file_name: "*/*_{outcome}_*", words: {ok: milked}}""",
    )
    batch = batch_of(feed, LINES, "box1/3_ok_22lb.csv")
    other = batch_of(feed, LINES, "box1/three_odd_x.csv")

    assert [cells(batch, name)[0] for name in ("attempts", "milk_kg", "outcome")] == [
        3,
        pytest.approx(22 * 0.45359237),
        "milked",
    ]
    assert [cells(other, name)[0] for name in ("attempts", "milk_kg", "outcome")] == ["-", "-", "-"]
    assert {str(one.reason) for one in other.set_aside} == {
        '"attempts": "three" is not a number',
        '"milk_kg": its name does not fit the map\'s pattern *_*_{milk_kg}lb.csv',
        '"outcome": "odd" is not in the map\'s word table (known here: ok)',
    }


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("box{box}/*", "box*/*", "must hold {box} once"),
        ("box{box}/*", "box{stall}/*", "must hold {box} once"),
        ("box{box}/*", "{box}{box}/*", "must hold {box} once"),
        ("box{box}/*", "{box}" + "*" * 300, "this is no pattern of a name"),
        ("start: Start", 'start: {file_name: "{start}_*"}', "complete_until reads the stamp"),
        ('box: {file_name: "box{box}/*", is: [1, 2]}', "box: {column: Box, is: [1, 2]}", "is belongs to file_name"),
    ],
)
def test_a_map_that_means_no_place_in_a_name_is_told(old: str, new: str, said: str) -> None:
    """With what would be right."""
    assert any(said in one for one in problems_of(BY_FOLDER.replace(old, new))), problems_of(
        BY_FOLDER.replace(old, new)
    )
