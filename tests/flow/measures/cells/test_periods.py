"""The mean of cell counts over months."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import gmean
from text_tables import moment, table

from sentinel.flow.measures.cells.periods import PeriodMean, period_means

TESTS = """
tank  at       cells_k_ml
1     06:00    100
1     1d06:00  400
1     1d07:00  -
1     1d08:00  0
1     2d00:00  300
"""


def test_it_is_the_geometric_mean_of_the_counts_of_its_time() -> None:
    """100 and 400 are 200; a row without a count, and a count of nothing, are none; an end is not in it."""
    edges = [(moment(f"{n}d00:00"), moment(f"{n + 2}d00:00")) for n in (0, 2, 4)]
    first, second, third = period_means(table("tank", TESTS), edges)

    assert first == PeriodMean(*edges[0], pytest.approx(200.0), 2, moment("06:00"))
    assert (second.mean_k_ml, third) == (pytest.approx(300.0), PeriodMean(*edges[2], None, 0))


def test_it_is_scipys_whatever_the_order_of_the_rows() -> None:
    """Of many counts, turned around."""
    counts = np.random.default_rng(3).lognormal(5, 1, 200)
    rows = table("tank", TESTS).iloc[[0] * 200].assign(cells_k_ml=counts).iloc[::-1]

    [mean] = period_means(rows, [(moment("00:00"), moment("1d00:00"))])
    assert (mean.mean_k_ml, mean.tests) == (pytest.approx(gmean(counts)), 200)
