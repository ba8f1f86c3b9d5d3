"""Intervals in which a milking may be missing from the record, told by a milk that fits a shorter time.

Milkings get lost: an export that never came, a row that could not be read, a box that was offline. The interval that is
left is long, and its milk is that of its last part alone; taken as it stands, the cow gave nothing for hours.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sentinel.flow.measures.base.medians import median_known
from sentinel.flow.measures.milking.yield_share import Milk
from sentinel.flow.model import DAY_S

USUAL_OVER_S = 7 * DAY_S
USUAL_OF, USUAL_FEWEST = 12, 4
"""What is usual for her are the medians of her last 12 intervals of a week, at least 4 (our choice, no source): up to
five of twelve may be wrong."""

LONGER = 1.3
"""So many of her usual intervals make one in which a milking may be missing (chosen on herds of seeds 1 to 3)."""

WITHOUT_MILK = 0.5
"""So many of her usual intervals are without milk then (the same): a milking that is missing takes one away, or near
it, while a cow that gives a quarter less does so only after twice her usual time."""


def recorded(milk: Milk) -> Milk:
    """The milk without the intervals in which a milking may be missing: what was taken in them is not known."""
    return replace(milk, taken=np.where(maybe_unrecorded(milk), -1, milk.taken))


def maybe_unrecorded(milk: Milk) -> np.ndarray:
    """Which visits end an interval in which a milking may be missing from the record.

    It is longer than her usual ones, and her usual rate would have given its milk in much less. Rests on the visits of
    a week and an interval before.
    """
    found = np.zeros(len(milk.rows), bool)
    row = np.flatnonzero(milk.counts)
    code, at, since = milk.rows.code[row], milk.rows.at[row], milk.since[row].astype(float)
    grams = (milk.grams + milk.taken)[row].astype(float)
    place = np.arange(len(row))[:, None] - np.arange(1, USUAL_OF + 1)
    before = np.maximum(place, 0)
    hers = (place >= 0) & (code[before] == code[:, None]) & (at[before] > at[:, None] - USUAL_OVER_S)
    usual_s, usual_rate = (median_known(np.where(hers, each[before], np.nan))[0] for each in (since, grams / since))
    is_known = (hers.sum(axis=1) >= USUAL_FEWEST) & (usual_rate > 0)
    without_milk = since - grams / np.where(is_known, usual_rate, 1.0)
    is_long = since > LONGER * usual_s
    found[row] = is_known & is_long & (without_milk > WITHOUT_MILK * usual_s)
    return found
