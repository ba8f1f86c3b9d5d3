"""Each box now, as usual, and before."""

from __future__ import annotations

from flow.herd.herd_rows import herd, milkings
from text_tables import moment

from sentinel.flow.herd.boxes import boxes_compared


def test_each_box_is_told_of_a_day_each_time() -> None:
    """Box 1 gets twice as many visits on the last day as on those before; the two weeks before have six days known."""
    until = moment("21d00:00") - 1
    tables = herd(milkings(0, 20), milkings(20, 1, hours=(2, 5, 8, 13, 18, 21)), until=until)
    one, two = boxes_compared(tables, ["1", "2"], until)

    assert (one.box, one.now.visits, one.usual and one.usual.visits, one.before and one.before.visits) == (
        "1",
        30,
        15,
        15,
    )
    assert (two.now.busy_pct, two.usual and two.usual.busy_pct) == (12.5, 6.25)
    assert (two.now.free_h, two.now.attach_s, two.now.failed_pct) == (21.0, 60.0, 0.0)


def test_a_box_that_the_farm_does_not_name_is_told_of_when_cows_go_there() -> None:
    """And what was before the first visit is not told as none."""
    until = moment("2d00:00") - 1
    found = boxes_compared(herd(milkings(0, 2, boxes=3), until=until), ["1"], until)

    assert [box.box for box in found] == ["1", "2", "3"]
    assert (found[0].usual, found[0].before) == (None, None)
