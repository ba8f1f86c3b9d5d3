"""How much boxes and cows are at work: visits, minutes, the share that failed, and boxes that others leave behind."""

from __future__ import annotations

import numpy as np
import pandas as pd

from sentinel.flow.measures.base.facts import FAILED, VISITS
from sentinel.flow.measures.base.ordered import Ordered, moments_of, ordered, texts
from sentinel.flow.measures.base.shape import NO_CHART, FactColumn, Measure, Option, Options, Readings, Resets
from sentinel.flow.measures.milking.outcomes import REACH_S, outcomes
from sentinel.flow.model import DAY_S
from sentinel.flow.tables import Tables

LONGEST_S = 30 * DAY_S - REACH_S
TRIED = ("milked", "incomplete", "failed")


def failed_share_pct(tables: Tables, per: str, options: Options) -> Readings:
    """Failures to attach among the tries of the last hours, per box or cow, in %.

    At each moment t with a try: 100 x failed / tries over (t - within, t]. A try is a visit that was milked, incomplete
    or failed; where the export does not say, by the milk (`outcomes`). Missing with fewer tries than `fewest`: one of
    two failing is 50 % and says little. `within` reaches back 21 days at most.
    """
    visits = tables.visits
    ended = outcomes(visits)
    rows = ordered(per, visits[per], visits["start"], np.isin(ended.astype(str), TRIED))
    failed, tries = _within(rows, (ended[rows.row] == "failed").astype(np.int64), options["within"])
    is_known = tries >= options["fewest"]
    return Readings(
        rows.only(rows.ends_moment).frame(
            value=np.where(is_known, 100.0 * failed / np.maximum(tries, 1), np.nan),
            why=texts(np.where(is_known, "", "too few tries in that time to tell a share")),
            failed=failed,
            visits=tries,
        )
    )


def visits_number(tables: Tables, per: str, options: Options) -> Readings:
    """Visits of any outcome in the last hours, per box or cow, as a number of visits: in (t - within, t], at each."""
    visits = tables.visits
    rows = ordered(per, visits[per], visits["start"], np.ones(len(visits), bool))
    refused = (visits["outcome"].to_numpy(object)[rows.row] == "refused").astype(np.int64)
    turned_away, number = _within(rows, refused, options["within"])
    return Readings(
        rows.only(rows.ends_moment).frame(
            value=number.astype(float), why=texts(np.full(len(number), "", dtype=object)), refused=turned_away
        )
    )


def box_minutes(tables: Tables, per: str, options: Options) -> Readings:
    """Time in the box over the visits begun in the last hours, per box or cow, in min.

    At each moment t with a visit: the sum of the durations of the visits begun in (t - within, t], refused ones too.
    Missing while one of them has no duration: part of a sum is not a sum.
    """
    visits = tables.visits
    rows = ordered(per, visits[per], visits["start"], np.ones(len(visits), bool))
    lasted = visits["duration_s"].to_numpy(float)[rows.row]
    known = np.isfinite(lasted) & (lasted >= 0)
    seconds, number = _within(rows, np.rint(np.where(known, lasted, 0.0)).astype(np.int64), options["within"])
    unknown, _ = _within(rows, (~known).astype(np.int64), options["within"])
    return Readings(
        rows.only(rows.ends_moment).frame(
            value=np.where(unknown == 0, seconds / 60.0, np.nan),
            why=texts(np.where(unknown == 0, "", "the export has no duration for some of these visits")),
            visits=number,
        )
    )


def visits_elsewhere(tables: Tables, per: str, options: Options) -> Resets:
    """Visits at the other boxes since the box's own last one, per box, as a number of visits.

    A box that is quiet while the others work falls behind; when the whole herd is away, none does. A box of the farm
    that never had a visit is counted from the moment sentinel began to watch.
    """
    visits = tables.visits
    named = visits["box"].notna().to_numpy()
    rows = ordered("box", visits["box"], visits["start"], named)
    own = [(visits["box"].to_numpy(object)[named], visits["start"].to_numpy(np.int64)[named])]
    resets = moments_of("box", own, tables.farm.boxes, tables.farm.watched_since)
    boxes = list(dict.fromkeys(resets["subject"]))
    at, subject = rows.at, rows.subject
    elsewhere = [(np.full(int((subject != one).sum()), one, dtype=object), at[subject != one]) for one in boxes]
    names = np.concatenate([name for name, _ in elsewhere]) if elsewhere else np.empty(0, object)
    moments = np.concatenate([moment for _, moment in elsewhere]) if elsewhere else np.empty(0, np.int64)
    order = np.lexsort((moments, names.astype(str)))
    return Resets(resets, pd.DataFrame({"subject": texts(names[order]), "at": moments[order]}))


def _within(rows: Ordered, amount: np.ndarray, within: float) -> tuple[np.ndarray, np.ndarray]:
    """At each moment of a subject the sum of whole amounts over its rows in (t - within, t], and their number."""
    sums = np.append(0, np.cumsum(amount)).astype(np.int64)
    end = rows.up_to(rows.code, rows.at)
    begin = rows.up_to(rows.code, rows.at - int(min(within, LONGEST_S)))
    last = rows.ends_moment
    return (sums[end] - sums[begin])[last], (end - begin)[last]


WITHIN = Option("within", "s", float(DAY_S), "how far back visits count")

FAILED_SHARE_PCT = Measure(
    name="failed_share_pct",
    unit="%",
    per=("box", "cow"),
    doc="% of the tries in (t − within, t] that failed to attach: 100 × failed / tries, refused visits left out",
    source="definition",
    check="against a plain count: test_usage",
    compute=failed_share_pct,
    charts=NO_CHART,
    needs=("visits",),
    options=(WITHIN, Option("fewest", "visits", 10.0, "with fewer tries there is no value")),
    facts=(FAILED, VISITS),
)

VISITS_NUMBER = Measure(
    name="visits_number",
    unit="visits",
    per=("box", "cow"),
    doc="visits of any outcome in (t − within, t], at each visit",
    source="definition",
    check="against a plain count: test_usage",
    compute=visits_number,
    charts=NO_CHART,
    needs=("visits",),
    options=(WITHIN,),
    facts=(FactColumn("refused", "visits refused", "visits"),),
)

BOX_MINUTES = Measure(
    name="box_minutes",
    unit="min",
    per=("box", "cow"),
    doc="min in the box: the durations of the visits begun in (t − within, t] added up, at each visit",
    source="definition",
    check="against a plain sum: test_usage",
    compute=box_minutes,
    charts=NO_CHART,
    needs=("visits",),
    options=(WITHIN,),
    facts=(VISITS,),
)

VISITS_ELSEWHERE = Measure(
    name="visits_elsewhere",
    unit="visits",
    per=("box",),
    doc="visits at the other boxes since the box's own last one: a box that is quiet while the others work",
    source="definition",
    check="against a plain count: test_usage",
    compute=visits_elsewhere,
    charts=NO_CHART,
    needs=("visits",),
    of_each_box=True,
)

MEASURES = (FAILED_SHARE_PCT, VISITS_NUMBER, BOX_MINUTES, VISITS_ELSEWHERE)
