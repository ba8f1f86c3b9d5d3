"""The week that was."""

from __future__ import annotations

import pytest
from flow.herd.herd_rows import herd, milkings
from text_tables import DAY_0, moment

from sentinel.flow.herd.history import HerdPast
from sentinel.flow.herd.week import herd_week
from sentinel.flow.model import DAY_S


def test_seven_days_are_held_against_the_two_weeks_before_them() -> None:
    """Three milkings a day against two; box 2 is where most fail."""
    week = milkings(14, 7)
    week.loc[(week["box"] == "2") & (week["start"] > DAY_0 + 20 * DAY_S), "outcome"] = "failed"
    until = moment("21d00:00") - 1
    found = herd_week(herd(milkings(0, 14, hours=(5, 17)), week, until=until), HerdPast(), {}, (), "UTC", until)

    assert found.week is not None and found.before is not None
    assert (found.week.per_cow, found.before.per_cow) == (pytest.approx((6 * 3 + 1.5) / 7), 2.0)
    assert found.worst_box is not None and found.worst_box.box == "2"
    assert found.worst_box.failed_pct == pytest.approx(100 / 7)


def test_what_is_not_known_is_not_told() -> None:
    """A farm of which nothing was read, and one of a day."""
    empty = herd_week(herd(milkings(0, 1), until=moment("12:00")), HerdPast(), {}, (), "UTC", moment("12:00"))

    assert (empty.week, empty.before, empty.worst_box, empty.watched) == (None, None, None, ())
