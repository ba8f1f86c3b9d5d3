"""Columns go to fields so that the scores add up to the most."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

from sentinel.flow.feeds.drafting.guessing.matching import best_matching


@given(
    st.integers(1, 6).flatmap(
        lambda wide: st.lists(st.lists(st.integers(-9, 9), min_size=wide, max_size=wide), min_size=1, max_size=6)
    )
)
def test_no_other_matching_is_better(scores: list[list[float]]) -> None:
    """As much as SciPy's finds, each column once, and nothing that speaks against a field."""
    matched = best_matching(scores)
    table = np.maximum(np.array(scores, dtype=float), 0)
    rows, columns = linear_sum_assignment(table, maximize=True)
    taken = [place for place in matched if place >= 0]

    assert sum(scores[row][place] for row, place in enumerate(matched) if place >= 0) == table[rows, columns].sum()
    assert len(set(taken)) == len(taken)
    assert all(scores[row][place] > 0 for row, place in enumerate(matched) if place >= 0)


def test_without_columns_nobody_gets_one() -> None:
    """Nor without fields."""
    assert best_matching([]) == []
    assert best_matching([[], []]) == [-1, -1]
