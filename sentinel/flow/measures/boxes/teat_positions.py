"""Where each box sees the teats, against where the other boxes see the same cow's."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from sentinel.flow.language import Said
from sentinel.flow.measures.base.chance import Numbers, Whole
from sentinel.flow.measures.boxes.peer_baseline import Named, Seen, deviations, middle, seen
from sentinel.flow.tables import Tables, wide

AXES = (Said("along"), Said("across"), Said("height"))

SPREAD_MM, FRAME_MM, MOST_MM = 6.0, 3.0, 25.0
"""One visit against the cow's mean; boxes against each other; how far a single visit may pull (assumptions)."""


@dataclass(frozen=True, slots=True)
class Teats:
    """Per visit where the box saw the udder, on three axes, and how the export counts them.

    `ahead` and `right` are running sums over the visits of `seen`, in its order, of the sign of front less rear teats
    along the cow and of right less left teats across her: an export may count either way, and the teats say which.
    """

    seen: Seen
    ahead: Whole
    right: Whole

    def direction(self, axis: int, shift_mm: float, first: int, end: int) -> Said:
        """Which way a shift of the visits [first, end) points: `to the left of`, `behind`, `above`, ... (the cow's)."""
        if axis == 2:
            return ABOVE if shift_mm > 0 else BELOW
        counts = self.ahead if axis == 0 else self.right
        side = shift_mm * float(counts[end] - counts[first])
        words = SIDES[axis]
        return words[0] if side > 0 else words[1] if side < 0 else words[2]


SIDES = (
    (Said("in front of"), Said("behind"), Said("in front of or behind")),
    (Said("to the right of"), Said("to the left of"), Said("to one side of")),
)
ABOVE, BELOW = Said("above"), Said("below")


def teats_of(tables: Tables, who: Named) -> Teats:
    """Each visit's udder against where the other boxes see the same cow's: the median over its teats, per axis.

    A median of four leaves out a teat that was misread or a quarter that changed. An axis that the export does not
    give counts as not shifted. A calibration in a box's log begins its past anew.
    """
    visits = tables.visits
    place = np.stack([visits[wide(axis)].to_numpy(float) for axis in ("x_mm", "y_mm", "z_mm")], axis=2)
    row = np.flatnonzero(np.isnan(place).sum(axis=(1, 2)) < 12)
    place, cow, box = place[row], who.cow[row], who.box[row]
    at = visits["start"].to_numpy(np.int64)[row]
    off = deviations(place.reshape(len(row), 12), cow, box, at).reshape(len(row), 4, 3)
    udder = middle(off)
    missing = np.isnan(udder)
    udder[missing & ~missing.all(axis=1, keepdims=True)] = 0.0
    resets = events(tables.box_log, "arm_calibrated", who)
    offsets, order = seen(udder, cow, box, at, spread=SPREAD_MM, frame=FRAME_MM, most=MOST_MM, resets=resets)
    ahead = _running_sign(place[order][:, :, 0] @ np.array([1.0, 1.0, -1.0, -1.0]))
    right = _running_sign(place[order][:, :, 1] @ np.array([-1.0, 1.0, -1.0, 1.0]))
    return Teats(offsets, ahead, right)


def _running_sign(side: Numbers) -> Whole:
    """The sum of signs before each visit, and of all."""
    return np.append(0, np.cumsum(np.sign(np.nan_to_num(side)).astype(np.int64)))


def events(log: pd.DataFrame, event: str, who: Named) -> tuple[Whole, Whole]:
    """The (box, moment) of every such event in the boxes' logs, of the boxes that had visits; by box, then time."""
    rows = (log["event"] == event).to_numpy(bool) & log["box"].isin(who.boxes).to_numpy(bool)
    if not rows.any():
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    box = np.searchsorted(who.boxes.astype(str), log["box"].to_numpy(object)[rows].astype(str)).astype(np.int64)
    at = log["at"].to_numpy(np.int64)[rows]
    order = np.lexsort((at, box))
    return box[order], at[order]
