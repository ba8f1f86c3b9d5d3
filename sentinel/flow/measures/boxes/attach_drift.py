"""Do cups take longer to go on? A box's attach times against the same cows elsewhere and against its own past."""

from __future__ import annotations

import numpy as np

from sentinel.flow.measures.base.facts import COWS, FIRST_AT, SUSPECTS, UNCERTAINTY, VISITS
from sentinel.flow.measures.base.shape import FactColumn, Measure, Option, Options, Readings
from sentinel.flow.measures.boxes.box_context import Case
from sentinel.flow.measures.boxes.box_readings import box_moments, distinct_cows, readings_of
from sentinel.flow.measures.boxes.peer_baseline import FEWEST
from sentinel.flow.model import DAY_S
from sentinel.flow.tables import Tables

TOLD_PCT = 3.0
"""From here on a reading names its suspects and its cows."""


def attach_drift_pct(tables: Tables, per: str, options: Options) -> Readings:
    """How much longer a box takes to attach than is usual with these cows, at the least, per box, in %.

    Per attached visit the logarithm of its time, less the cow's own mean at the other boxes over the 12 days before
    (with one box: at this one). Per box the mean over the last 12, 24, 48 or 96 visits of 12 h, less the box's own over
    the 7 days before them. The value takes off so many standard errors (`errors`), so it is what the box is slower
    at the least; 0 if it may be as fast as ever. Missing with fewer than 5 such visits in 12 h. There is a reading at
    every visit at which cups were to be attached. `slower` is the plain figure.
    """
    case = Case.of(tables)
    box, at = box_moments(case.tries, tables.farm.asked_from)
    times = case.times
    shift = times.latest(box, at, options["errors"], rising=True)
    is_known = shift.visits >= FEWEST
    mean, error = shift.mean[:, 0], shift.error[:, 0]
    surely = 100.0 * np.expm1(np.maximum(np.where(is_known, mean - options["errors"] * error, 0.0), 0.0))
    value = np.where(is_known, surely, np.nan)
    notable = np.flatnonzero(value > TOLD_PCT)
    first, end = shift.first, shift.first + shift.visits
    start = times.at[np.minimum(first, len(times.at) - 1)] if len(times.at) else at
    why = "fewer than 5 visits in 12 h tell how long the cups of a known cow took"
    return readings_of(
        case,
        box,
        at,
        value,
        np.where(is_known, "", why),
        notable,
        start,
        slower=np.round(100.0 * np.expm1(mean)),
        uncertainty=np.round(np.where(is_known, 196.0 * error, np.nan)),
        visits=shift.visits,
        cows=distinct_cows(times, first, end, notable),
    )


ATTACH_DRIFT_PCT = Measure(
    name="attach_drift_pct",
    unit="%",
    per=("box",),
    doc="% by which the box takes longer to attach, at the least: the mean over the last 12, 24, 48 or 96 visits of "
    "the logarithm of the attach time less the cow's own at the other boxes, less the same over the box's 7 days "
    "before, less 3.5 standard errors",
    source="definition",
    check="slowness of known size put into a herd: test_attach_drift",
    compute=attach_drift_pct,
    charts=("failures", "teats"),
    needs=("visits",),
    uses=("box_log",),
    options=(Option("errors", "x", 3.5, "how many standard errors are taken off"),),
    lookback_s=32 * DAY_S,
    facts=(COWS, VISITS, FIRST_AT, UNCERTAINTY, FactColumn("slower", "longer attach time", "%"), *SUSPECTS),
)

MEASURES = (ATTACH_DRIFT_PCT,)
