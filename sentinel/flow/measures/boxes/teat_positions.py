"""Where each box sees the teats, against where the other boxes see the same cow's."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from sentinel.flow.language import Said
from sentinel.flow.measures.base.chance import Numbers, Whole
from sentinel.flow.measures.base.medians import median_known
from sentinel.flow.measures.boxes.peer_baseline import Named, Seen, deviations, seen
from sentinel.flow.tables import Tables, wide

AXES = (Said("along"), Said("across"), Said("height"), Said("not known"))
"""What an axis of the export is, by the cow: what `Teats.role` gives is a place among these."""

ALONG, ACROSS, HEIGHT, UNTOLD = range(4)

CLEARLY, LEAST_MM, MOST_APART_MM = 2.0, 20.0, 400.0
"""The axis along the cow parts her front and rear teats by so many times as much as any other axis does, and by more
than 20 mm; across her the same of left and right (our choice, no source). No pair of teats counts as further apart."""

SPREAD_MM, FRAME_MM, MOST_MM = 6.0, 3.0, 25.0
"""One visit against the cow's mean; boxes against each other; how far a single visit may pull (assumptions)."""


@dataclass(frozen=True, slots=True)
class Teats:
    """Per visit where the box saw the udder, on three axes, and how the export counts them.

    `ahead` and `right` are running sums over the visits of `seen`, in its order, a column for each axis: of front less
    rear teats and of right less left ones, in mm. An export may count either way, and on any axis: the open standard
    does not say which is which. The teats themselves do. `up`: of the third axis a map says that it counts upwards.
    """

    seen: Seen
    ahead: Numbers
    right: Numbers
    up: bool = True

    def role(self, axis: int, first: int, end: int) -> int:
        """What an axis is in the visits [first, end): `ALONG` the cow, `ACROSS` her, `HEIGHT`, or `UNTOLD`."""
        ahead, right = (sums[end] - sums[first] for sums in (self.ahead, self.right))
        return roles(ahead / max(1, end - first), right / max(1, end - first))[axis]

    def direction(self, axis: int, shift_mm: float, first: int, end: int) -> Said:
        """Which way a shift of the visits [first, end) points: `to the left of`, `behind`, `above`, ... (the cow's).

        Where the teats do not tell what the axis is, `away from`; nothing tells which way height is counted.
        """
        role = self.role(axis, first, end)
        if role == UNTOLD:
            return AWAY
        if role == HEIGHT:
            return (ABOVE if shift_mm > 0 else BELOW) if self.up and axis == HEIGHT else EITHER
        sums = self.ahead if role == ALONG else self.right
        side = shift_mm * float(sums[end, axis] - sums[first, axis])
        return SIDES[role][0 if side > 0 else 1]


def roles(ahead_mm: Numbers, right_mm: Numbers) -> tuple[int, int, int]:
    """What each of three axes is, by how far front teats lie from rear ones on it, and right ones from left ones.

    >>> import numpy as np
    >>> roles(np.array([-130.0, 4, 10]), np.array([3.0, 90, 1])), roles(np.array([2.0, 120, 5]), np.array([95.0, 1, 0]))
    ((0, 1, 2), (1, 0, 2))
    """
    along, across = _clearest(ahead_mm, right_mm), _clearest(right_mm, ahead_mm)
    rest = HEIGHT if along is not None and across is not None else UNTOLD
    return tuple(ALONG if axis == along else ACROSS if axis == across else rest for axis in range(3))  # type: ignore[return-value]


def _clearest(apart: Numbers, other: Numbers) -> int | None:
    """The axis that parts one pair of teats clearly more than any other axis does, and than the other pair."""
    far = np.abs(apart)
    axis = int(far.argmax())
    rivals = [*np.delete(far, axis), abs(float(other[axis]))]
    return axis if far[axis] > LEAST_MM and far[axis] >= CLEARLY * max(rivals) else None


SIDES = (
    (Said("in front of"), Said("behind")),
    (Said("to the right of"), Said("to the left of")),
)
ABOVE, BELOW, EITHER, AWAY = Said("above"), Said("below"), Said("above or below"), Said("away from")


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
    udder, _ = median_known(np.moveaxis(off, 1, -1))
    missing = np.isnan(udder)
    udder[missing & ~missing.all(axis=1, keepdims=True)] = 0.0
    resets = events(tables.box_log, "arm_calibrated", who)
    offsets, order = seen(
        udder, cow, box, at, spread=SPREAD_MM, frame=FRAME_MM, most=MOST_MM, resets=resets, wanders=True
    )
    ahead = _running(place[order], np.array([0.5, 0.5, -0.5, -0.5]))
    right = _running(place[order], np.array([-0.5, 0.5, -0.5, 0.5]))
    feeds = tables.farm.feeds
    up = not feeds or any("quarters.z_mm" in feed.tables for feed in feeds)
    return Teats(offsets, ahead, right, up)


def _running(place: Numbers, weights: Numbers) -> Numbers:
    """Per axis the sum before each visit, and of all, of how far apart two pairs of teats lie, in mm."""
    apart = np.clip(np.nan_to_num(np.einsum("nqa,q->na", place, weights)), -MOST_APART_MM, MOST_APART_MM)
    return np.vstack([np.zeros((1, 3)), np.cumsum(np.round(apart), axis=0)])


def events(log: pd.DataFrame, event: str, who: Named) -> tuple[Whole, Whole]:
    """The (box, moment) of every such event in the boxes' logs, of the boxes that had visits; by box, then time."""
    rows = (log["event"] == event).to_numpy(bool) & log["box"].isin(who.boxes).to_numpy(bool)
    if not rows.any():
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    box = np.searchsorted(who.boxes.astype(str), log["box"].to_numpy(object)[rows].astype(str)).astype(np.int64)
    at = log["at"].to_numpy(np.int64)[rows]
    order = np.lexsort((at, box))
    return box[order], at[order]
