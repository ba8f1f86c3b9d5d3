"""Whether the quarters are named right, as far as milk can tell: the rear ones give more than half of it."""

from __future__ import annotations

from collections.abc import Iterator

from sentinel.flow.feeds.trial.tried import Tried
from sentinel.flow.model import Problem
from sentinel.flow.tables import QUARTER_ROWS

FEWEST = 100
"""Of fewer quarters nothing is said."""

LEAST = 0.5
"""Of a herd's milk the rear quarters give some 55 to 60 % (from memory); no herd is known in which the front ones give
more. A single cow's may."""


def rear_quarters(of: Tried) -> Iterator[Problem]:
    """A question about the quarters' names, if those that are called rear give less milk than the front ones."""
    given = {"F": 0.0, "R": 0.0}
    quarters = 0
    for batch in of.batches:
        for part in batch.rows:
            if part.table != QUARTER_ROWS.name or "milk_kg" not in part.columns:
                continue
            milk, quarter = part.columns.index("milk_kg"), part.columns.index("quarter")
            for row in part.values:
                if row[milk] is not None and row[quarter] is not None:
                    given[row[quarter][1]] += row[milk]
                    quarters += 1
    total = sum(given.values())
    if quarters < FEWEST or not total or given["R"] / total >= LEAST:
        return
    key = "each" if of.map.place("tables", "quarters", "each") != of.map.place("tables", "quarters") else "quarter"
    yield Problem(
        of.map.place("tables", "quarters", key),
        f"the quarters that the map calls rear (LR, RR) give {100 * given['R'] / total:.0f} % of the milk, though rear "
        "quarters give more than front ones: is each quarter named right? LF is left front, seen from behind the cow",
    )
