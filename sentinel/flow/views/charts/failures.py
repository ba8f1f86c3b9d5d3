"""A box's failures against those expected for the cows it served, and where it sees their teats."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sentinel.flow.measures.boxes.failures.failure_chance import UNIT, tries_of
from sentinel.flow.measures.boxes.peer_baseline import deviations, named
from sentinel.flow.measures.boxes.teat_positions import ACROSS, ALONG, roles
from sentinel.flow.model import QUARTERS
from sentinel.flow.tables import Tables, wide

FRONT_LESS_REAR, RIGHT_LESS_LEFT = np.array([0.5, 0.5, -0.5, -0.5]), np.array([-0.5, 0.5, -0.5, 0.5])
"""By quarter: how far the front teats lie before the rear ones, and the right ones from the left ones."""


@dataclass(frozen=True, slots=True)
class Counted:
    """The tries of one box in a stretch of time, in order: after each, how many have failed and how many were expected.

    `cows` are the numbers of the cows that failed, in order.
    """

    box: str
    begins: int
    ends: int
    steps: tuple[tuple[int, int, float], ...]
    cows: tuple[str, ...]


def counted(box: str, tables: Tables, begins: int, ends: int) -> Counted:
    """The failures of a box in (begins, ends], counted up; the chances are those of the measure of box failures."""
    visits = tables.visits
    who = named(visits)
    tries = tries_of(visits, who)
    code = int(np.flatnonzero(who.boxes == box)[0]) if box in set(who.boxes) else -2
    rows = (tries.box == code) & (tries.at > begins) & (tries.at <= ends)
    failed, expected = np.cumsum(tries.failed[rows]), np.cumsum(tries.own[rows]) / UNIT
    steps = zip(tries.at[rows], failed, expected, strict=True)
    cows = who.cows[tries.cow[rows & tries.failed]]
    return Counted(
        box,
        begins,
        ends,
        tuple((int(at), int(count), float(chance)) for at, count, chance in steps),
        tuple(str(cow) for cow in cows),
    )


@dataclass(frozen=True, slots=True)
class Teat:
    """One teat on the map in mm: where the other boxes see it on the mean cow, and how far this box sees it off.

    `along` counts towards her head, `right` to her right. `visits` are those that the shift is the mean of.
    """

    quarter: str
    along: float
    right: float
    off_along: float
    off_right: float
    visits: int


@dataclass(frozen=True, slots=True)
class TeatMap:
    """The four teats as one box saw them in a stretch of time; empty where the exports give no positions."""

    box: str
    begins: int
    ends: int
    teats: tuple[Teat, ...]


def teat_map(box: str, tables: Tables, begins: int, ends: int) -> TeatMap:
    """Where a box saw the teats in (begins, ends], against where the other boxes see the same cows'.

    An export may count either way; the teats themselves say which way is the cow's front and which her right.
    """
    visits = tables.visits
    at = visits["start"].to_numpy(np.int64)
    who = named(visits)
    place = np.stack([visits[wide(axis)].to_numpy(float) for axis in ("x_mm", "y_mm", "z_mm")], axis=2)
    rows = (visits["box"] == box).to_numpy(bool) & (at > begins) & (at <= ends)
    seen = ~np.isnan(place).all(axis=(1, 2))
    if not (rows & seen).any():
        return TeatMap(box, begins, ends, ())
    elsewhere = place[seen & ~rows] if (seen & ~rows).any() else place[seen]
    usual = np.array([[_mean(elsewhere[:, q, axis]) for axis in range(3)] for q in range(4)])
    ahead, right = (np.nan_to_num(weights @ np.nan_to_num(usual)) for weights in (FRONT_LESS_REAR, RIGHT_LESS_LEFT))
    which = roles(ahead, right)
    if ALONG not in which or ACROSS not in which:
        return TeatMap(box, begins, ends, ())  # which axis is which cannot be told
    axes = [which.index(ALONG), which.index(ACROSS)]
    signs = np.sign([ahead[axes[0]], right[axes[1]]])
    place, usual = place[:, :, axes], usual[:, axes]
    off = deviations(place.reshape(len(place), 8), who.cow, who.box, at).reshape(len(place), 4, 2)
    teats = []
    for q, quarter in enumerate(QUARTERS):
        shift = off[rows, q]
        known = ~np.isnan(shift).any(axis=1)
        if not known.any() or np.isnan(usual[q]).any():
            continue
        moved = np.median(shift[known], axis=0) * signs
        here = (usual[q] - np.nanmean(usual, axis=0)) * signs
        along, right_mm, off_along, off_right = (float(mm) for mm in (*here, *moved))
        teats.append(Teat(quarter, along, right_mm, off_along, off_right, int(known.sum())))
    return TeatMap(box, begins, ends, tuple(teats))


def _mean(values: np.ndarray) -> float:
    known = values[~np.isnan(values)]
    return float(known.mean()) if len(known) else float("nan")
