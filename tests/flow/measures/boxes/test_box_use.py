"""How much a box is at work, worked by hand."""

from __future__ import annotations

from text_tables import moment, table

from sentinel.flow.measures.boxes.box_use import BoxUse, box_use
from sentinel.flow.tables import Tables

VISITS = """
cow  start    box  outcome     milk_kg  duration_s  attach_s
1    00:30    1    milked      12       600         50
2    08:00    1    incomplete  4        1200        90
3    09:00    1    failed      -        300         -
4    10:00    1    refused     -        60          -
5    10:00    2    milked      9        -           70
1    1d06:00  1    milked      11       600         30
"""


def test_a_boxs_day_worked_by_hand() -> None:
    """2160 s of the day busy; one of three tries failed; the middle of 50 and 90 s; two days are halved."""
    tables = Tables(visits=table("visits", VISITS))
    day = box_use(tables, ["1"], moment("00:00"), moment("1d00:00"))["1"]
    both = box_use(tables, ["1"], moment("00:00"), moment("2d00:00"))["1"]

    assert day == BoxUse("1", 4.0, 16.0, 2.5, 100 / 3, 70.0)
    assert day.free_h == 23.4
    assert (both.visits, both.milk_kg, both.attach_s) == (2.5, 13.5, 50.0)


def test_without_durations_nobody_knows_how_busy_it_is() -> None:
    """And a box without visits was free all day, and failed at nothing."""
    tables = Tables(visits=table("visits", VISITS))
    used = box_use(tables, ["2", "3"], moment("00:00"), moment("1d00:00"))

    assert (used["2"].busy_pct, used["2"].free_h, used["2"].failed_pct) == (None, None, 0.0)
    assert (used["3"].visits, used["3"].free_h, used["3"].failed_pct, used["3"].attach_s) == (0.0, 24.0, None, None)
