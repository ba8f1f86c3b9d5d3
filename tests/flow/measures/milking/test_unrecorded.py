"""Intervals in which a milking may be missing from the record."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from text_tables import table

from sentinel.flow.measures.milking.unrecorded import maybe_unrecorded, recorded
from sentinel.flow.measures.milking.yield_share import milk_of


def visits(*milkings: tuple[float, float]) -> pd.DataFrame:
    """Ten whole milkings of cow 7 of 8 kg every 8 h, then others: hours since the one before, and kg."""
    rows, hour = [], 0.0
    for since, kg in [(8.0, 8.0)] * 10 + list(milkings):
        hour += since
        minutes = round(60 * hour)
        rows.append(f"7  {minutes // 1440}d{minutes // 60 % 24:02}:{minutes % 60:02}  milked  {kg}")
    return table("visits", "cow  start  outcome  milk_kg\n" + "\n".join(rows))


@pytest.mark.parametrize(
    ("since", "kg", "is_found"),
    [
        (16.0, 8.0, True),  # as if one of 8 kg between were not there
        (16.0, 16.0, False),  # she came late, and all her milk is there
        (14.0, 6.0, True),
        (16.0, 12.0, False),  # a quarter less at twice her usual time: half a usual interval is without milk, not more
        (8.0, 3.0, False),  # no longer than usual: less milk is less milk
        (10.0, 5.0, False),
        (24.0, 8.0, True),
    ],
)
def test_a_long_interval_with_the_milk_of_a_short_one(since: float, kg: float, is_found: bool) -> None:
    """Over 1.3 of her usual intervals long, with more than half a usual one without milk."""
    milk = milk_of(visits((since, kg)))

    assert list(np.flatnonzero(maybe_unrecorded(milk))) == ([10] if is_found else [])
    assert recorded(milk).counts[-1] == (not is_found)


def test_one_that_is_missing_does_not_make_the_next_doubtful() -> None:
    """What is usual are medians: a few long intervals among her last twelve do not move them."""
    lost = (16.0, 8.0), (8.0, 8.0)
    found = maybe_unrecorded(milk_of(visits(*lost, *lost, *lost)))

    assert list(np.flatnonzero(found)) == [10, 12, 14]


def test_nothing_is_doubtful_before_her_usual_is_known() -> None:
    """Four intervals are needed."""
    milk = milk_of(visits((16.0, 8.0)).iloc[[0, 1, 2, 3, 10]].reset_index(drop=True))

    assert not maybe_unrecorded(milk).any()
