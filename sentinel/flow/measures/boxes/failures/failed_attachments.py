"""Failed attachments of a box or a cow."""

from __future__ import annotations

from functools import partial

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.language import Later, Said
from sentinel.flow.measures.base.chance import Whole
from sentinel.flow.measures.base.facts import BOX, FAILED, VISITS
from sentinel.flow.measures.base.ordered import ordered, sentences, texts
from sentinel.flow.measures.base.shape import FactColumn, Measure, Option, Options, Readings
from sentinel.flow.measures.boxes.box_context import Case
from sentinel.flow.measures.boxes.failures.failure_chance import UNIT
from sentinel.flow.measures.milking.outcomes import REACH_S, outcomes
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import Tables

LONGEST_S = 30 * DAY_S - REACH_S

EXPLAINED_S = 2 * DAY_S
"""Over longer windows than this nobody asks whether it was the box."""

OTHERS_FAILED, OTHERS_TIMES = 3, 2.5
"""A box explains a cow's failures if other cows failed there as often, and so many times as often as is usual with them
(our choice, no source)."""

NOT_EXPLAINED = Said("")


def failed_attachments(tables: Tables, per: str, options: Options) -> Readings:
    """Failures to attach in the last hours, per box or cow, as a number of failures.

    At each moment t with a visit: how many of the subject's visits in (t - within, t] had the outcome `failed`.
    Where the export does not say how a visit ended, it failed if it gave less than 20 % of what she should have given.
    A refused visit, where nothing was to be attached, is no visit here, and so is one of which that cannot be told.
    A visit that names no box counts for its cow only. `within` reaches back 21 days at most. `explained`, of a cow that
    failed more than once, says so if she failed at one box only and other cows did there as well, at least three times
    and 2.5 times as often as is usual with them.
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
            explained=sentences(_explained(tables, rows.take(visits[per])[last], rows.at[last], within, failures[last]))
            if per == "cow"
            else sentences(np.full(int(last.sum()), NOT_EXPLAINED, dtype=object)),
        )
    )


def _explained(
    tables: Tables, cow: NDArray[np.object_], at: Whole, within: int, failures: Whole
) -> NDArray[np.object_]:
    """Per reading whether a box explains the cow's failures, as a sentence; empty where none does."""
    said = np.full(len(at), NOT_EXPLAINED, dtype=object)
    again = np.flatnonzero(failures > 1)
    if within <= EXPLAINED_S and len(again):
        case = Case.of(tables)
        code = np.searchsorted(case.who.cows.astype(str), cow[again].astype(str))
        for n, place in zip(again.tolist(), code.tolist(), strict=True):
            said[n] = Later(partial(_by_box, case, place, int(at[n]), within))
    return said


def _by_box(case: Case, cow: int, at: int, within: int) -> Said:
    """What the other cows did at the one box at which she failed."""
    hers, tries, both = case.by_cow, case.tries, np.array([at - within, at])
    begin, end = hers.places(np.full(2, cow), both)
    rows = hers.row[begin:end]
    boxes = np.unique(tries.box[rows[tries.failed[rows]]])
    if len(boxes) != 1 or boxes[0] < 0:
        return NOT_EXPLAINED
    rows = rows[tries.box[rows] == boxes[0]]
    here = case.by_box
    first, last = here.places(np.full(2, boxes[0]), both)
    failed = int(here.failed[last] - here.failed[first] - tries.failed[rows].sum())
    usual = float(here.own[last] - here.own[first] - tries.own[rows].sum()) / UNIT
    if failed < max(OTHERS_FAILED, OTHERS_TIMES * usual):
        return NOT_EXPLAINED
    name, tried = str(case.who.boxes[boxes[0]]), int(last - first) - len(rows)
    return Said(
        "all at box {box}, where other cows failed {failed} of {tried} times", box=name, failed=failed, tried=tried
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
    facts=(FAILED, VISITS, BOX, FactColumn("explained", "is it the box?")),
)

MEASURES = (FAILED_ATTACHMENTS,)
