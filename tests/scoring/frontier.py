"""What a measure can do at any bound: sensitivity against specificity and false alerts, over several herds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from operator import add

import pandas as pd

from sentinel.flow.tables import Tables

from .baselines import over
from .episodes import Episode
from .score import UdderScore, quarter_milkings, score_udders

BOUNDS: Mapping[str, Sequence[float]] = {
    "evidence": (2.5, 3.0, 3.5, 3.8, 4.0, 4.5, 5.0, 6.0, 7.0),
    "level": (5.0, 5.25, 5.5, 5.75, 6.0, 6.25, 6.5, 6.75, 7.0, 7.5),
    "rise": (7.0, 8.5, 10.0, 12.0, 15.0, 18.0, 21.0, 25.0, 30.0, 40.0),
    "ratio": (1.08, 1.1, 1.12, 1.15, 1.18, 1.21, 1.25, 1.3, 1.4, 1.5),
}
"""The bounds at which each measure is tried."""


@dataclass(frozen=True, slots=True)
class Point:
    """A measure at one bound."""

    bound: float
    score: UdderScore

    @property
    def clinical(self) -> float:
        """Share of the clinical episodes found in time."""
        return self.score.found["udder-clinical"].value


def frontier(herds: Sequence[tuple[Tables, Sequence[Episode], pd.DataFrame]], bounds: Sequence[float]) -> list[Point]:
    """The points of one measure at each bound, over herds given as (tables, udder episodes, the measure's readings).

    Alerts are those of a plain bound (`baselines.over`): raised at the first reading past it, over at the next within.
    """
    milkings = [quarter_milkings(tables, episodes) for tables, episodes, _ in herds]
    points = []
    for bound in bounds:
        scores = [
            score_udders(tables, episodes, over(readings, bound, "bound"), healthy)
            for (tables, episodes, readings), healthy in zip(herds, milkings, strict=True)
        ]
        points.append(Point(bound, reduce(add, scores)))
    return points


def at_equal_false(points: Sequence[Point], false_per_1000: float) -> float:
    """Share of clinical episodes a measure finds with no more false alerts than so many per 1,000 cow milkings.

    Between two bounds it is read off the straight line between them; 0 if no bound is that quiet.
    """
    line = sorted((p.score.false_per_1000, p.clinical) for p in points)
    if not line or line[0][0] > false_per_1000:
        return 0.0
    best = 0.0
    for (left, low), (right, high) in zip(line, [*line[1:], (float("inf"), line[-1][1])], strict=True):
        if left <= false_per_1000:
            best = max(best, low)
            if right > false_per_1000 and right != float("inf"):
                best = max(best, low + (high - low) * (false_per_1000 - left) / (right - left))
    return best
