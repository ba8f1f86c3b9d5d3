"""Up to when the data is complete: for each table by its feeds, and for what a measure depends on.

A stream processor calls it a watermark. Past it nothing is decided.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np
import pandas as pd

from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.model import DAY_S
from sentinel.flow.tables import CHORES, VISITS, FeedFacts

ENDED = "visits: ended"
"""Beside the tables: up to when no visit can be under way of which the export does not know yet."""

EVERY_BOX = "visits: every box"
"""Beside the tables: up to when the visits of every box are known."""

LONGEST_VISIT_S = 30 * 60
"""No visit is taken to last longer than half an hour (common practice, no source: most take 5 to 15 min)."""

LATELY_S = 7 * DAY_S
"""How long visits take on this farm is told from so many days."""

AT_ONCE_S = 60
"""An export that shows a visit so shortly after it began writes visits as they begin, and hides none."""


def known_by_table(feeds: Sequence[FeedFacts]) -> dict[str, int | None]:
    """Each fed table's known-until: the least of the feeds that fill it; None while one of them has given nothing."""
    known: dict[str, int | None] = {}
    for feed in feeds:
        for table in feed.tables:
            if table in known and (known[table] is None or feed.known_until is None):
                known[table] = None
            else:
                moments = [m for m in (known.get(table), feed.known_until) if m is not None]
                known[table] = min(moments, default=None)
    return known


def of_box(box: str) -> str:
    """Beside the tables: under what it stands up to when it is known what happened at a box."""
    return f"visits: box {box}"


def known_by_box(feeds: Sequence[FeedFacts], boxes: Iterable[str], stood: Mapping[str, int]) -> dict[str, int | None]:
    """Up to when the visits of each box are known, and those of every box; nothing where no visit is known.

    A feed whose files are each of one box bounds each box by its own rows, and by files that came without any; of
    another feed that is known of a box which all its rows tell together. That a file came without rows counts for a box
    alone, and not for the cows that may be on their way to another, unless each box has its files. `stood`: boxes that
    stand by their own log, and up to when that tells.
    """
    feeds = [feed for feed in feeds if VISITS.name in feed.tables]
    if not feeds or any(feed.known_until is None for feed in feeds):
        return {}
    known: dict[str, int | None] = {}
    every = []
    for box in boxes:
        moments, heard = [], []
        for feed in feeds:
            own = next((one for one in feed.boxes if one.box == box), None)
            if own is not None:
                moments.append(own.heard_until if len(feed.boxes) > 1 else own.known_until)
                heard.append(own.heard_until)
            elif not feed.boxes:
                moments.append(feed.known_until or 0)
                heard.append(feed.heard_until or 0)
        if moments:
            since = stood.get(box, 0)
            every.append(max(min(moments), since))
            known[of_box(box)] = max(min(heard), since)
    return {**known, EVERY_BOX: min(every)} if every else known


def stood_until(
    box_log: pd.DataFrame, log_known: int | None, visits_known: Mapping[str, int | None], boxes: Iterable[str]
) -> dict[str, int]:
    """The boxes that stand by their own log, each with the moment up to which that tells.

    Of what happened between its last known visit and its stop nothing is told, so that must be no longer than a visit.
    """
    if log_known is None or not len(box_log):
        return {}
    events = box_log[box_log["event"].isin(("stopped", "started")).to_numpy(bool)]
    events = events[events["at"].to_numpy(np.int64) <= log_known]
    last = dict(zip(events["box"], zip(events["event"], events["at"].tolist(), strict=True), strict=True))
    found = {}
    for box in boxes:
        event, at = last.get(box, ("", 0))
        known = visits_known.get(of_box(box))
        if event == "stopped" and known is not None and at <= known + LONGEST_VISIT_S:
            found[box] = log_known
    return found


def ended_until(visits: pd.DataFrame, known_until: int, boxes: Sequence[str], at: int) -> int:
    """The moment up to which no visit can be under way that is not in `visits`, at most their known-until.

    A visit is written when it has ended, so one that began in a box after that box's last one may still be under way;
    but not for longer than the longest visit of the last week. An export that shows visits as they begin hides none,
    and of one that does not say how long visits took nothing can be told.
    """
    start = visits["start"].to_numpy(np.int64)
    since, up_to = np.searchsorted(start, [known_until - LATELY_S, known_until + 1])
    start, took = start[since:up_to], visits["duration_s"].to_numpy(float)[since:up_to]
    longest = int(min(np.nanmax(took, initial=0.0), LONGEST_VISIT_S))
    end = start + np.nan_to_num(took).astype(np.int64)
    if not longest or max(int(end[-1]), int(start[-1]) + AT_ONCE_S) > at:
        return known_until
    earliest = known_until - longest
    last = dict.fromkeys(boxes, earliest)
    lately = end > earliest
    for box, moment in zip(visits["box"].to_numpy(object)[since:up_to][lately], end[lately].tolist(), strict=True):
        if box is not None:
            last[box] = max(last.get(box, earliest), moment)
    return min(known_until, min(last.values(), default=earliest))


def known_until(measure: Measure, known: Mapping[str, int | None], at: int) -> int | None:
    """The moment up to which a measure can be decided at `at`; None if one of its feeds has given nothing yet.

    `known` names the tables that some feed fills, with each table's known-until. A table that no feed fills does
    not bound a measure that people's own records tell too, as those are known at once; any other cannot be decided.
    """
    by_hand = CHORES.name in measure.uses
    bounding = [known.get(table) for table in measure.needs if table in known or not by_hand]
    if measure.of_no_visit and ENDED in known:
        bounding.append(known[ENDED])
    if (measure.of_no_visit or measure.of_all_visits) and EVERY_BOX in known:
        bounding.append(known[EVERY_BOX])
    if any(moment is None for moment in bounding):
        return None
    return min([at, *(moment for moment in bounding if moment is not None)])


def known_of(table: str, feeds: Iterable[FeedFacts], at: int) -> int | None:
    """The least known-until of the feeds that fill a table, at most `at`; None while one of them has given nothing.

    A table that no feed fills is known at once. Visits are known up to where those of every box are.
    """
    moments = [feed.whole_until if table == VISITS.name else feed.known_until for feed in feeds if table in feed.tables]
    known = [moment for moment in moments if moment is not None]
    return None if len(known) < len(moments) else min([at, *known])


def known_of_box(box: str, feeds: Sequence[FeedFacts], at: int) -> int | None:
    """The moment up to which visits at a box are known, at most `at`; None while a feed of them has given nothing."""
    known = known_by_box(feeds, (box,), {}).get(of_box(box))
    return known_of(VISITS.name, feeds, at) if known is None else min(at, known)
