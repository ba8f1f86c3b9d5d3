"""How a visit ended: as the export says, and where it does not say, as the milk tells."""

from __future__ import annotations

import numpy as np
import pandas as pd

from sentinel.flow.measures.yield_share import FAILED_PCT, INTERRUPTED_PCT, LONGEST_S, RATE_OVER_S, milk_of, shares
from sentinel.flow.model import DAY_S

REACH_S = RATE_OVER_S + LONGEST_S + DAY_S
"""So far before a visit the rows reach that tell how it ended: her rate's 7 days, an interval, and a day to spare."""


def gave_milk(visits: pd.DataFrame) -> np.ndarray:
    """Which visits were milkings, whole or not: the export says so, or says nothing and has milk for it."""
    outcome = visits["outcome"]
    said = outcome.isin(["milked", "incomplete"]).to_numpy(bool)
    nothing_said = outcome.isna().to_numpy(bool)
    return said | (nothing_said & (visits["milk_kg"].to_numpy(float) > 0)) if nothing_said.any() else said


def outcomes(visits: pd.DataFrame) -> np.ndarray:
    """How each visit ended; where the export does not say, by the milk obtained of what she should have given.

    `milked` from 80 % of it on (ICAR Guidelines, Section 2: interrupted below), `incomplete` from 20 % on, `failed`
    below (Davis et al. 2005, Proc NZ Soc Anim Prod 65:271). None where that cannot be told either: no milk weight, or
    fewer than two milkings in the 7 days before to tell her rate from.
    """
    found = visits["outcome"].to_numpy(object)
    nothing_said = pd.isna(found)
    if not nothing_said.any():
        return np.asarray(found)
    milk = milk_of(visits)
    expected, _ = shares(milk, RATE_OVER_S)
    told = nothing_said[milk.rows.row] & (milk.grams >= 0) & ~np.isnan(expected)
    share = 100.0 * milk.grams[told] / expected[told]
    kinds = np.array(["failed", "incomplete", "milked"], dtype=object)
    found = np.array(found, dtype=object)
    found[nothing_said] = None
    found[milk.rows.row[told]] = kinds[(share >= FAILED_PCT).astype(int) + (share >= INTERRUPTED_PCT)]
    return np.asarray(found)
