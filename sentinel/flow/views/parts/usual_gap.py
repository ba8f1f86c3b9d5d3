"""After how many hours a cow is usually milked, so that a late one can be told from one that never comes often."""

from __future__ import annotations

import numpy as np

from sentinel.flow.measures.milking.outcomes import outcomes
from sentinel.flow.model import HOUR_S
from sentinel.flow.tables import Tables
from sentinel.flow.views.parts.timeline import GLANCE_S
from sentinel.flow.views.parts.visits import rows_of

FEWEST = 4
"""Of fewer intervals nothing is called usual (our choice, no source)."""


def usual_gap_h(cow: str, tables: Tables, at: int) -> float | None:
    """The middle one of the hours between a cow's whole milkings in the two weeks before `at`; None if too few."""
    rows = rows_of(tables.visits, cow)
    start = rows["start"].to_numpy(np.int64)
    milked = start[(outcomes(rows) == "milked") & (start > at - GLANCE_S) & (start <= at)]
    gaps = np.diff(milked)
    return float(np.median(gaps)) / HOUR_S if len(gaps) >= FEWEST else None
