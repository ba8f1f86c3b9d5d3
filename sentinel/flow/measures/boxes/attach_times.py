"""How long each box takes to attach, against what the other boxes take with the same cow."""

from __future__ import annotations

import numpy as np

from sentinel.flow.measures.boxes.peer_baseline import Named, Seen, deviations, seen
from sentinel.flow.measures.milking.outcomes import milkings
from sentinel.flow.tables import Tables

SPREAD, FRAME, MOST = 0.35, 0.25, 1.2
"""Of the logarithm: one visit, boxes against each other, how far a single visit may pull (assumptions)."""


def times_of(tables: Tables, who: Named) -> Seen:
    """Each visit's time to attach against the cow's own at the other boxes, as a difference of logarithms.

    Only visits that were attached (`milked`, `incomplete`) have one; a time of zero or less is none.
    """
    visits = tables.visits
    seconds = visits["attach_s"].to_numpy(float)
    attached = milkings(visits)
    row = np.flatnonzero(attached & (seconds > 0) & np.isfinite(seconds))
    cow, box, at = who.cow[row], who.box[row], visits["start"].to_numpy(np.int64)[row]
    slower = deviations(np.log(seconds[row])[:, None], cow, box, at)
    none = np.zeros(0, np.int64)
    return seen(slower, cow, box, at, spread=SPREAD, frame=FRAME, most=MOST, resets=(none, none))[0]
