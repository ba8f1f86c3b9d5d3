"""The mean of cell counts over months and years: of the tank's tests, or of the cows'."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd


@dataclass(frozen=True, slots=True)
class PeriodMean:
    """The geometric mean of the counts from `begins` until before `ends`, in k/ml; None without a count.

    Of so many `tests`, the first at `first_at`.
    """

    begins: int
    ends: int
    mean_k_ml: float | None
    tests: int
    first_at: int | None = None


def period_means(tests: pd.DataFrame, edges: Sequence[tuple[int, int]]) -> tuple[PeriodMean, ...]:
    """The geometric mean of `cells_k_ml`, all counts alike, between each pair of moments of `at`.

    exp(mean of log cells): as the law averages the tank's, and as `herd_cells_k_ml` does the cows' at one recording. A
    count of zero or less is none.
    """
    at, cells = tests["at"].to_numpy(np.int64), tests["cells_k_ml"].to_numpy(float)
    usable = np.isfinite(cells) & (cells > 0)
    order = np.argsort(at[usable], kind="stable")
    at, log = at[usable][order], np.log(cells[usable][order])
    found = []
    for begins, ends in edges:
        low, high = (int(n) for n in np.searchsorted(at, [begins, ends]))
        mean, first = (float(np.exp(log[low:high].mean())), int(at[low])) if high > low else (None, None)
        found.append(PeriodMean(begins, ends, mean, high - low, first))
    return tuple(found)
