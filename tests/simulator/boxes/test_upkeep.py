"""What is done at the boxes: a chore that is planned to be forgotten is missing from the log, and no other."""

from __future__ import annotations

from sentinel.flow.model import HOUR_S
from sentinel.simulator import simulate
from sentinel.simulator.plans.demo_week import FILTER_BOX, FILTER_FROM, FILTER_UNTIL, DemoWeek, demo_spec


def test_a_forgotten_filter_is_missing_from_the_log() -> None:
    """The wash goes on without a new filter at the box and time that are planned, and nowhere else."""
    herd = simulate(demo_spec(5), DemoWeek())
    log, at = herd.tables.box_log, herd.calendar.local.at
    begin, end = at(FILTER_FROM), at(FILTER_UNTIL)

    def missing(box: str) -> list[int]:
        washed, changed = (
            log[(log["box"] == box) & (log["event"] == what)]["at"] for what in ("washed", "filter_changed")
        )
        return [end for end in washed if not changed.between(end - HOUR_S, end).any()]

    (left,) = missing(FILTER_BOX)
    assert begin <= left <= end
    assert missing("2") == missing("3") == []
