"""The last two weeks of a table's rows, and the alerts marked on their time line."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
from hypothesis import given
from hypothesis import strategies as st
from view_farm import AT, alert

from sentinel.flow.model import DAY_S
from sentinel.flow.views.parts.timeline import GLANCE_S, alert_marks, lately, number, records, text


@given(st.lists(st.integers(-100, 100)).map(sorted), st.integers(-100, 100), st.integers(0, 100))
def test_the_begin_of_a_glance_is_out_and_its_end_is_in(moments: list[int], at: int, back: int) -> None:
    """So that nothing of the future is shown."""
    found = lately(pd.DataFrame({"at": np.array(moments, np.int64)}), at, "at", back)

    assert found["at"].tolist() == [one for one in moments if at - back < one <= at]


def test_alerts_that_stood_in_the_last_two_weeks_are_marked_the_newest_first() -> None:
    """Of the wanted subjects only; one that ended earlier or is raised later is not."""
    alerts = [
        alert(1, "cow:7", since="-30d08:00", over_at=AT - GLANCE_S),
        alert(2, "cow:7", since="-30d08:00", over_at=AT - GLANCE_S + 1, finding="brought up", answered_by="Marit"),
        alert(3, "cow:7"),
        alert(4, "cow:7"),
        alert(5, "cow:8"),
        alert(6, "cow:7", since="2d08:00"),
    ]
    marks = alert_marks(alerts, ["cow:7"], AT)

    assert [mark.alert for mark in marks] == [4, 3, 2]
    assert (marks[-1].ends, marks[-1].person, marks[-1].note) == (AT - GLANCE_S + 1, "Marit", "brought up")
    assert marks[0].ends is None
    assert GLANCE_S == 14 * DAY_S


def test_what_is_missing_in_a_frame_is_nothing_on_a_page() -> None:
    """A figure is None, a word empty."""
    frame = pd.DataFrame({"kg": [9.5, math.nan], "box": ["1", None]})
    (first, second) = records(frame)

    assert (number(first["kg"]), text(first["box"])) == (9.5, "1")
    assert (number(second["kg"]), text(second["box"])) == (None, "")
    assert (number(None), text(math.nan)) == (None, "")
