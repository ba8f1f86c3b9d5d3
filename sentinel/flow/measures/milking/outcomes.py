"""How a visit ended: as the export says, and where that is not enough, as the milk shows."""

from __future__ import annotations

import numpy as np
import pandas as pd

from sentinel.flow.measures.milking.yield_share import (
    FAILED_PCT,
    INTERRUPTED_PCT,
    LONGEST_S,
    RATE_OVER_S,
    milk_of,
    shares,
    silent,
    sure_milk_of,
)
from sentinel.flow.model import DAY_S
from sentinel.flow.tables import NOT_WHOLE

REACH_S = RATE_OVER_S + LONGEST_S + DAY_S
"""So far before a visit the rows reach that tell how it ended: her rate's 7 days, an interval, and a day to spare."""


def not_broken_off(outcome: np.ndarray) -> np.ndarray:
    """Which of some visits' outcomes say that the milking was whole, or say nothing of it."""
    return np.asarray((outcome == "milked") | pd.isna(outcome), dtype=bool)


def gave_milk(visits: pd.DataFrame) -> np.ndarray:
    """Which visits gave some milk: the export says so, or does not say how they ended and has milk for them.

    One that was not whole gave some unless it is weighed and is nothing.
    """
    outcome, kg = visits["outcome"], visits["milk_kg"].to_numpy(float)
    is_milking = outcome.isin(["milked", "incomplete"]).to_numpy(bool)
    not_whole = (outcome == NOT_WHOLE).to_numpy(bool)
    return np.asarray(is_milking | (silent(visits) & (kg > 0)) | (not_whole & ~(kg <= 0)))


def milkings(visits: pd.DataFrame) -> np.ndarray:
    """Which visits were milkings, whole or not: the same, without those whose drop of milk says that they had failed.

    It looks back `yield_share.TOLD_BACK_S`.
    """
    gave = gave_milk(visits)
    gave[_failed_by_milk(visits)] = False
    return gave


def outcomes(visits: pd.DataFrame) -> np.ndarray:
    """How each visit ended: `milked`, `incomplete`, `failed` or `refused`, or None where that cannot be told.

    Where the export does not say, or it could not be read, by the milk obtained of what she should have given:
    `milked` from 80 % of it on (ICAR Guidelines, Section 2: interrupted below), `incomplete` from 20 % on, `failed`
    below (Davis et al. 2005, Proc NZ Soc Anim Prod 65:271). None where that cannot be told either: no milk weight, or
    fewer than two milkings in the 7 days before to tell her rate from.

    Where the export only says that it was not whole, `failed` below 20 % by her rate of the 48 h before, or without
    any milk, and `incomplete` otherwise, also where that cannot be told.
    """
    outcome = visits["outcome"].to_numpy(object)
    not_whole, nothing_said = np.asarray(outcome == NOT_WHOLE, dtype=bool), silent(visits)
    if not not_whole.any() and not nothing_said.any():
        return np.asarray(outcome)
    outcome = np.array(outcome, dtype=object)
    outcome[not_whole] = "incomplete"
    outcome[_failed_by_milk(visits)] = "failed"
    outcome[nothing_said] = None
    milk = sure_milk_of(visits)
    expected, _ = shares(milk, RATE_OVER_S)
    is_judged = nothing_said[milk.rows.row] & (milk.grams >= 0) & ~np.isnan(expected)
    share = 100.0 * milk.grams[is_judged] / expected[is_judged]
    kinds = np.array(["failed", "incomplete", "milked"], dtype=object)
    outcome[milk.rows.row[is_judged]] = kinds[(share >= FAILED_PCT).astype(int) + (share >= INTERRUPTED_PCT)]
    return np.asarray(outcome)


def _failed_by_milk(visits: pd.DataFrame) -> np.ndarray:
    """The rows of the visits that were not whole and by their milk had failed."""
    if not (visits["outcome"] == NOT_WHOLE).any():
        return np.zeros(0, np.int64)
    milk = milk_of(visits)
    not_whole = milk.rows.take(visits["outcome"]) == NOT_WHOLE
    return np.asarray(milk.rows.row[not_whole & ~milk.ends])
