"""Failed attachments of a box or a cow."""

from __future__ import annotations

import numpy as np

from sentinel.flow.measures.base.facts import BOX, FAILED, VISITS
from sentinel.flow.measures.base.ordered import ordered, texts
from sentinel.flow.measures.base.shape import Measure, Option, Options, Readings
from sentinel.flow.measures.milking.outcomes import REACH_S, outcomes
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import Tables

LONGEST_S = 30 * DAY_S - REACH_S


def failed_attachments(tables: Tables, per: str, options: Options) -> Readings:
    """Failures to attach in the last hours, per box or cow, as a number of failures.

    At each moment t with a visit: how many of the subject's visits in (t - within, t] had the outcome `failed`.
    Where the export does not say how a visit ended, it failed if it gave less than 20 % of what she should have given.
    A refused visit, where nothing was to be attached, is no visit here, and so is one of which that cannot be told.
    A visit that names no box counts for its cow only. `within` reaches back 21 days at most.
    """
    visits = tables.visits
    ended = outcomes(visits)
    tried = np.isin(ended.astype(str), ("milked", "incomplete", "failed"))
    rows = ordered(per, visits[per], visits["start"], tried)
    failed = np.append(0, np.cumsum(ended[rows.row] == "failed")).astype(np.int64)
    within = int(min(options["within"], LONGEST_S))
    end = rows.up_to(rows.code, rows.at)
    begin = rows.up_to(rows.code, rows.at - within)
    failures = failed[end] - failed[begin]
    last = rows.ends_moment
    return Readings(
        rows.only(last).frame(
            value=failures[last].astype(float),
            why=texts(np.full(int(last.sum()), "", dtype=object)),
            failed=failures[last],
            visits=(end - begin)[last],
            box=texts(rows.take(visits["box"])[last]),
        )
    )


FAILED_ATTACHMENTS = Measure(
    name="failed_attachments",
    unit="failures",
    per=("box", "cow"),
    doc="failures among the visits in (t − within, t], at each visit; refused visits are not counted",
    source="definition",
    check="against a plain count: test_failed_attachments",
    compute=failed_attachments,
    charts=("failures",),
    needs=("visits",),
    options=(Option("within", "s", 6 * HOUR_S, "how far back failures count"),),
    lookback_s=30 * DAY_S,
    facts=(FAILED, VISITS, BOX),
)

MEASURES = (FAILED_ATTACHMENTS,)
