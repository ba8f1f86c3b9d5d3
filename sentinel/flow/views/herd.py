"""The herd's page: the last 24 hours against the weeks before, boxes, cells by month and year, open alerts."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from sentinel.flow.evaluation.attributes import herd_changes
from sentinel.flow.evaluation.known_until import known_of
from sentinel.flow.herd.boxes import BoxCompared, boxes_compared
from sentinel.flow.herd.cells import HerdCells, herd_cells
from sentinel.flow.herd.figures import DAYS, Figures, herd_figures
from sentinel.flow.herd.history import HerdPast
from sentinel.flow.herd.watched import Watched, watched
from sentinel.flow.measures.milking.herd_days import HerdDay, herd_days
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.schedule.days import days_between
from sentinel.flow.tables import COWS, Tables
from sentinel.flow.tables.herd_list import GONE
from sentinel.flow.views.parts.late_cows import LateCows, late_cows
from sentinel.flow.views.parts.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class HerdPage:
    """The herd as far as its visits are known, `known_until` (None: not at all, and there are no figures).

    `status`: cows by what the herd list says of them, empty without a list. `days`: those of two weeks on the calendar
    of which anything is known, the newest first; one that is still running, or began before the first visit, is not
    `whole`.
    """

    known_until: int | None
    status: tuple[tuple[str, int], ...]
    figures: Figures | None
    late: LateCows
    boxes: tuple[BoxCompared, ...]
    cells: HerdCells
    watched: tuple[Watched, ...]
    days: tuple[HerdDay, ...]


def herd_page(snapshot: Snapshot, past: HerdPast) -> HerdPage:
    """The herd's page; `past` is what memory does not hold of it."""
    tables, rules, at, zone = snapshot.tables, snapshot.rules, snapshot.at, snapshot.farm.zone
    until = known_of("visits", tables.farm.feeds, at)
    if not len(tables.visits) or (until is not None and until < int(tables.visits["start"].iloc[0])):
        until = None
    return HerdPage(
        known_until=until,
        status=_status(tables, at),
        figures=None if until is None else herd_figures(tables, rules, until, past.year_before),
        late=late_cows(tables, rules, at),
        boxes=() if until is None else boxes_compared(tables, snapshot.farm.boxes, until),
        cells=herd_cells(tables, past, rules, zone, at),
        watched=watched(snapshot.alerts, rules),
        days=() if until is None else tuple(reversed(_days(tables, zone, until, at))),
    )


def _status(tables: Tables, at: int) -> tuple[tuple[str, int], ...]:
    """How many cows are what by the herd list at a moment, in the order of the words for it."""
    changes = herd_changes(tables)
    now = changes[changes["from"].to_numpy(np.int64) <= at].drop_duplicates("cow", keep="last")
    listed = Counter(status for status in now["status"] if isinstance(status, str))
    here = (status for status in COWS.column("status").words if status != GONE)
    return tuple((status, listed[status]) for status in here if listed[status])


def _days(tables: Tables, zone: str, until: int, at: int) -> tuple[HerdDay, ...]:
    """The days of two weeks on the farm's calendar, oldest first, of which anything is known."""
    edges = days_between(at - DAYS * DAY_S, at + DAY_S + 2 * HOUR_S, zone)  # with the end of a day of 25 hours
    return herd_days(tables, list(pairwise(edges)), until)
