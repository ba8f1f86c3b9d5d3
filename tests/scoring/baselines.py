"""Plain ways to raise alerts, as a yardstick: run on the same rows in the same run, decided at the same hours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from sentinel.flow.measures import measure_named
from sentinel.flow.measures.base.shape import Readings
from sentinel.flow.tables import Tables

HOUR_S = 3600


@dataclass(frozen=True, slots=True)
class Plain:
    """One alert of a plain rule."""

    rule: str
    subject: str
    raised_at: int
    over_at: int | None
    urgency: str = "round"


def over(readings: pd.DataFrame, bound: float, rule: str, every_s: int = HOUR_S) -> list[Plain]:
    """Alerts of a plain bound: raised at the first reading over it, over at the next one that is not.

    `readings` as measures give them: `subject`, `at`, `value`, by subject, then time. A missing value neither raises
    nor ends. Both are decided when the export comes that holds the reading, at the next multiple of `every_s`.
    """
    told = readings[readings["value"].notna()]
    subject, at = told["subject"].to_numpy(object), told["at"].to_numpy(np.int64)
    high = told["value"].to_numpy(float) > bound
    known = -(-at // every_s) * every_s
    new = np.append(True, subject[1:] != subject[:-1]) if len(at) else np.empty(0, bool)
    before = np.append(False, high[:-1]) & ~new
    raised = np.flatnonzero(high & ~before)
    lowered = np.flatnonzero(~high & before)
    ends = np.searchsorted(lowered, raised)
    alerts = []
    for row, place in zip(raised.tolist(), ends.tolist(), strict=True):
        end = lowered[place] if place < len(lowered) else -1
        closed = end >= 0 and subject[end] == subject[row]
        alerts.append(Plain(rule, str(subject[row]), int(known[row]), int(known[end]) if closed else None))
    return alerts


def computed(tables: Tables, measure: str, per: str, **options: float) -> pd.DataFrame:
    """A measure's readings."""
    one = measure_named(measure)
    found = one.compute(tables, per, one.settings(options))
    assert isinstance(found, Readings)
    return found.frame


def levels(rise: pd.DataFrame) -> pd.DataFrame:
    """The conductivity itself, from the readings of the rise."""
    return rise.assign(value=rise["conductivity"])


def udder_readings(tables: Tables, with_evidence: bool = False) -> dict[str, pd.DataFrame]:
    """What the plain udder rules look at: the level, the rise over the mean of 14, the ratio to the two lowest.

    `with_evidence`: and the evidence that ships.
    """
    rise = computed(tables, "conductivity_rise_pct", "quarter")
    found = {"level": levels(rise), "rise": rise, "ratio": computed(tables, "conductivity_ratio", "quarter")}
    return found | {"evidence": computed(tables, "udder_evidence", "quarter")} if with_evidence else found


UDDER_BOUNDS = (
    # best cut-offs of two of three herds, read on a summary page (scilit.com/publications/1ec986c7); whose paper it is
    # was not to be seen there
    ("level over 5.8 mS/cm", "level", 5.8),
    ("level over 6.5 mS/cm", "level", 6.5),
    ("rise over 10 %", "rise", 10.0),  # Biggadike et al. 2002, Vet Record 150:655 (from memory)
    ("rise over 15 %", "rise", 15.0),  # same
    ("ratio over 1.15", "ratio", 1.15),  # the ratio: Mollenhorst et al. 2010, J Dairy Sci 93:3358; bound: assumption
    ("ratio over 1.25", "ratio", 1.25),  # same
)


def udder_baselines(readings: dict[str, pd.DataFrame]) -> dict[str, list[Plain]]:
    """The alerts of each plain udder rule."""
    return {name: over(readings[of], bound, name) for name, of, bound in UDDER_BOUNDS}


def box_readings(tables: Tables) -> dict[str, pd.DataFrame]:
    """What rules on a box's failures look at: a count in six hours, and the months of `failures_beyond_chance`."""
    return {
        "count": computed(tables, "failed_attachments", "box", within=6 * HOUR_S),
        "months": computed(tables, "failures_beyond_chance", "box"),
    }


def box_baselines(tables: Tables, counts: Sequence[int] = (4, 5, 6, 8)) -> dict[str, list[Plain]]:
    """The alerts of a plain count of failures at a box in six hours."""
    failures = computed(tables, "failed_attachments", "box", within=6 * HOUR_S)
    return {f"{n} failures in 6 h": over(failures, n - 0.5, f"{n} failures in 6 h") for n in counts}
