"""Rows come out of the store as frames with the declared types."""

from __future__ import annotations

import pandas as pd
from text_tables import moment, shown
from whole.whole_farm import LATE_COW, Life, batch, setup_of

from sentinel.edges.store.rows import all_rows, count_rows, rows_between
from sentinel.flow.tables import COWS, VISITS, frame_types


def test_a_frame_has_the_declared_types_also_when_empty() -> None:
    """Missing text is None, missing numbers are NaN, times are whole seconds; withdrawn rows are left out."""
    life = Life(setup_of(LATE_COW))
    empty = all_rows(life.store, VISITS)
    life.at(
        "06:00",
        batch("""
            cow  start  box  outcome  milk_kg  attempts  lf_kicked_off  deleted
            9    05:10  1    failed   -        -         -              no
            7    05:00  -    milked   11.5     2         yes            no
            8    05:20  2    milked   9        1         no             yes
        """),
    )
    frame = all_rows(life.store, VISITS)

    for one in (empty, frame):
        assert {name: str(kind) for name, kind in one.dtypes.items()} == frame_types(VISITS)
    assert shown(frame.assign(at=frame["start"]), "cow at box outcome milk_kg attempts lf_kicked_off") == [
        ["cow", "at", "box", "outcome", "milk_kg", "attempts", "lf_kicked_off"],
        ["7", "05:00", "-", "milked", "11.5", "2", "1"],
        ["9", "05:10", "1", "failed", "-", "-", "-"],
    ]
    assert frame["box"].iloc[0] is None
    assert pd.isna(frame["milk_kg"].iloc[1])


def test_rows_of_a_stretch_of_the_past_come_with_the_newest_older_one_where_that_counts() -> None:
    """Of a herd list each cow's last row before it; with a column named only what has a value in it."""
    life = Life(setup_of(LATE_COW))
    life.at(
        "3d06:00",
        batch("""
            cow  start    box  outcome  milk_kg
            7    05:00    1    milked   11
            7    1d05:00  1    milked   12
            8    1d06:00  1    failed   -
            7    2d00:00  1    milked   13
        """),
        batch(
            """
            cow  from     status
            7    -9d00:00  dry
            7    -3d00:00  milking
            8    1d00:00   milking
            9    2d12:00   milking
            """,
            "cows",
            feed="herd",
            file="herd_1.csv",
        ),
    )
    begin, end = moment("1d00:00"), moment("2d00:00")
    day = rows_between(life.store, VISITS, begin, end)
    weighed = rows_between(life.store, VISITS, begin, end, having="milk_kg")
    listed = rows_between(life.store, COWS, begin, end)

    assert [list(frame["cow"]) for frame in (day, weighed)] == [["7", "8"], ["7"]]
    assert shown(listed.assign(at=listed["from"]), "cow at") == [["cow", "at"], ["7", "-3d00:00"], ["8", "1d00:00"]]
    assert [count_rows(life.store, VISITS, *span) for span in ((0,), (begin,), (begin, end))] == [4, 3, 2]
