"""The herd's past from the store: years of cells, and the two weeks a year ago, which are not in memory."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from sentinel.edges.store import Store
from sentinel.edges.store.rows import count_rows, rows_between
from sentinel.flow.evaluation.known_until import known_of
from sentinel.flow.herd.figures import Averages, averages
from sentinel.flow.herd.history import LEAD_S, HerdPast, cells_from, year_before
from sentinel.flow.rules import Rule
from sentinel.flow.tables import COW_TESTS, COWS, TANK, VISITS, Tables

AHEAD_S = 86_400
"""Results may be dated a little later than now."""


class HerdHistory:
    """Reads what the herd's page and notice want of the past; the weeks of a year before once an hour."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._year_before: tuple[tuple[object, ...], Averages | None] | None = None

    def past(self, tables: Tables, rules: Mapping[str, Rule], zone: str, at: int) -> HerdPast:
        """The past of the herd as it is known at a moment."""
        begins = cells_from(at, zone)
        return HerdPast(
            rows_between(self._store, TANK, begins, at + AHEAD_S, having="cells_k_ml"),
            rows_between(self._store, COW_TESTS, begins, at + AHEAD_S, having="cells_k_ml"),
            self._of_a_year_before(tables, rules, at),
        )

    def _of_a_year_before(self, tables: Tables, rules: Mapping[str, Rule], at: int) -> Averages | None:
        """The averages of two weeks a year before, from rows that are let go of again."""
        until = known_of(VISITS.name, tables.farm.feeds, at)
        if until is None:
            return None
        begins, ends = year_before(until)
        visits = count_rows(self._store, VISITS, begins, ends)
        key = (ends, visits, tuple(rules.values()))
        if self._year_before is not None and self._year_before[0] == key:
            return self._year_before[1]
        found = None
        if visits:
            seen = rows_between(self._store, VISITS, begins - LEAD_S, ends)
            listed = rows_between(self._store, COWS, begins - LEAD_S, ends)
            then = Tables(visits=seen, cows=listed, farm=replace(tables.farm, feeds=()))
            found = averages(then, rules, ends - 1)
        self._year_before = (key, found)
        return found
