"""The median of what is known, beside NumPy's own."""

from __future__ import annotations

import math

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.measures.base.medians import median_known

NAN = float("nan")
readings = st.just(NAN) | st.floats(-9, 9)


@given(st.lists(st.lists(readings, min_size=5, max_size=5), min_size=1, max_size=8))
def test_the_middle_is_the_median(rows: list[list[float]]) -> None:
    """The median of what is there, as NumPy has it; NaN where nothing is."""
    centre, number = median_known(np.array(rows))

    for row, mid, count in zip(rows, centre, number, strict=True):
        told = [one for one in row if not math.isnan(one)]
        assert count == len(told)
        np.testing.assert_array_equal(mid, np.median(told) if told else NAN)
