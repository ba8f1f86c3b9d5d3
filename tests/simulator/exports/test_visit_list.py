"""Visit lists: semicolons, decimal commas and local times, one line a visit."""

from __future__ import annotations

from functools import cache

import pytest

from sentinel.flow.model import QUARTERS
from sentinel.simulator import HerdSpec, Simulated, simulate
from sentinel.simulator.exports.visit_list import (
    COLUMNS,
    ENDED,
    QUARTER_COLUMNS,
    UNFINISHED,
    comma,
    csv_line,
    csv_rows,
)
from sentinel.simulator.local_time import LocalTime

NAN = float("nan")


@cache
def herd() -> Simulated:
    """Forty cows, two boxes, two weeks."""
    return simulate(HerdSpec(cows=40, boxes=2, days=14, seed=3))


def test_csv_line() -> None:
    """A row has semicolons, decimal commas, local times and min:s; a failed visit leaves the quarters empty."""
    came_in, quarter = "04.05.2026 00:00:00", (4.8, 2.5, "no", 415.0, 72.0, 492.0)
    line = csv_line(came_in, "1", "217", "milked", 425, 71.4, 1, 10.0, quarter * 4)
    assert line == ";".join([f"{came_in};1;217;done;7:05;71;1;10,0", *["4,80;2,50;no;415;72;492"] * 4])

    failed = csv_line(came_in, "1", "217", "failed", 226, NAN, 3, 0.0, (NAN, NAN, "", NAN, NAN, NAN) * 4).split(";")
    assert failed[3:8] == ["no cups", "3:46", "", "3", "0,0"]
    assert set(failed[8:]) == {""}
    assert len(failed) == len(COLUMNS)


@pytest.mark.parametrize("zone", ["Europe/Dublin", "Asia/Kathmandu", "Australia/Lord_Howe"])
def test_rows_are_written_column_by_column_in_the_zone(zone: str) -> None:
    """Whatever the zone is apart by, each line has the visit's own wall time, words and figures."""
    visits, local = herd().tables.visits, LocalTime(zone)

    lines = [line.split(";") for line in csv_rows(visits, local)]

    assert [line[0] for line in lines] == [f"{local.wall(at):%d.%m.%Y %H:%M:%S}" for at in visits["start"].tolist()]
    assert [line[1:4] for line in lines] == [
        [box, cow, ENDED[how]] for box, cow, how in zip(visits["box"], visits["cow"], visits["outcome"], strict=True)
    ]
    assert {line[3] for line in lines} == set(ENDED.values()) - {ENDED[UNFINISHED]}
    for place, quarter in enumerate(QUARTERS):
        cells = [line[8 + place * len(QUARTER_COLUMNS)] for line in lines]
        assert cells == [comma(level, 2) for level in visits[f"{quarter.lower()}_conductivity_mS_cm"]]
