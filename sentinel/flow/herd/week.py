"""The past week, as the weekly notice tells it: seven days compared with the two weeks before them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sentinel.flow.evaluation.known_until import known_of
from sentinel.flow.herd.cells import HerdCells, herd_cells
from sentinel.flow.herd.figures import DAYS, Averages, averages, late_bound
from sentinel.flow.herd.history import HerdPast
from sentinel.flow.herd.watched import Watched, watched
from sentinel.flow.measures.boxes.box_use import BoxUse, box_use
from sentinel.flow.model import DAY_S, Alert
from sentinel.flow.rules import Rule
from sentinel.flow.tables import Tables

WEEK_DAYS = 7


@dataclass(frozen=True, slots=True)
class HerdWeek:
    """The herd's week up to `known_until` (None: no visit is known), and the two weeks `before` it.

    `worst_box`: the box at which most of the week's tries failed, None where none did or there is only one.
    """

    known_until: int | None
    week: Averages | None
    before: Averages | None
    late_bound: float
    worst_box: BoxUse | None
    cells: HerdCells
    watched: tuple[Watched, ...]


def herd_week(
    tables: Tables, past: HerdPast, rules: Mapping[str, Rule], alerts: Iterable[Alert], zone: str, at: int
) -> HerdWeek:
    """The week up to a moment; pure, so that a replay tells the same."""
    until = known_of("visits", tables.farm.feeds, at)
    week = None if until is None else averages(tables, rules, until, WEEK_DAYS)
    before = None if until is None else averages(tables, rules, until - WEEK_DAYS * DAY_S, DAYS)
    used = {} if until is None else box_use(tables, tables.farm.boxes, until + 1 - WEEK_DAYS * DAY_S, until + 1)
    failing = [box for box in used.values() if box.failed_pct]
    return HerdWeek(
        until,
        week,
        before,
        late_bound(rules),
        max(failing, key=lambda box: box.failed_pct or 0.0) if failing and len(used) > 1 else None,
        herd_cells(tables, past, rules, zone, at),
        watched(alerts, rules),
    )
