"""At which moments a box is read, and how many cows a window's visits are of."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from text_tables import moment, moment_text, table

from sentinel.flow.measures.boxes.box_context import Case
from sentinel.flow.measures.boxes.box_readings import asked_moments, box_moments, distinct_cows
from sentinel.flow.measures.boxes.peer_baseline import seen
from sentinel.flow.tables import Tables

VISITS = """
cow  start  box  outcome
7    06:00  1    milked
8    06:00  2    milked
7    07:00  1    refused
9    08:00  1    failed
9    09:00  -    milked
"""


def test_a_box_is_read_at_each_moment_at_which_it_was_to_attach() -> None:
    """A refused cow and a visit without a box are no such moment; of each box the last one is always asked."""
    case = Case.of(Tables(visits=table("visits", VISITS)))

    def read(asked_from: str) -> list[tuple[str, str]]:
        box, at = box_moments(case.tries, moment(asked_from))
        return [(case.who.boxes[b], moment_text(a)) for b, a in zip(box, at, strict=True)]

    assert read("00:00") == [("1", "06:00"), ("1", "08:00"), ("2", "06:00")]
    assert read("07:00") == [("1", "08:00"), ("2", "06:00")]


@given(st.lists(st.tuples(st.integers(0, 2), st.integers(0, 9)), max_size=15).map(sorted), st.integers(0, 10))
def test_each_asked_moment_of_a_group_has_one_place(rows: list[tuple[int, int]], asked_from: int) -> None:
    """The last of its rows, and the group's last moment whether asked or not."""
    group, at = (np.array([row[n] for row in rows], np.int64) for n in (0, 1))
    last = {group_: at_ for group_, at_ in rows}
    wanted = sorted({row for row in rows if row[1] >= asked_from or last[row[0]] == row[1]})

    found = asked_moments(group, at, asked_from)
    assert [rows[place] for place in found] == wanted
    assert all(place == len(rows) - 1 or rows[place + 1] != rows[place] for place in found)


def test_a_cow_that_came_twice_is_one_cow() -> None:
    """Of windows that nobody asks about nothing is counted."""
    cow, zero = np.array([7, 8, 7, 9]), np.zeros(4, np.int64)
    none = np.zeros(0, np.int64)
    found, _ = seen(np.zeros((4, 1)), cow, zero, np.arange(4), spread=1.0, frame=1.0, most=9.0, resets=(none, none))
    cows = distinct_cows(found, np.array([0, 0, 2]), np.array([3, 4, 2]), np.array([0, 2]))

    assert cows[[0, 2]].tolist() == [2.0, 0.0]
    assert np.isnan(cows[1])
