"""Rows come out of the store as frames with the declared types."""

from __future__ import annotations

import pandas as pd
from text_tables import shown
from whole.whole_farm import LATE_COW, Life, batch, setup_of

from sentinel.edges.store.rows import all_rows
from sentinel.flow.tables import VISITS, frame_types


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
