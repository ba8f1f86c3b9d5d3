"""A span of a farm's record, gathered from the store: for a bundle, and for seals."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date
from typing import Any

from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.exports.feeds import feed_state, rows_set_aside
from sentinel.edges.store.log import entries_between, entry_with, last_before, names_replaced, numbers_between
from sentinel.edges.store.rows import rows_between
from sentinel.flow.alerts.chain import Logged, Replaced
from sentinel.flow.bundle.tables import Record, Span
from sentinel.flow.model import DAY_S
from sentinel.flow.record.seal import Seal, broken_seals, day_bounds, seal_of
from sentinel.flow.setup import Setup, farm_facts
from sentinel.flow.tables import BOX_LOG, CHORES, COW_TESTS, COWS, TANK, VISITS, Tables

BEFORE_S = {VISITS.name: 31 * DAY_S, BOX_LOG.name: 400 * DAY_S, CHORES.name: 400 * DAY_S, TANK.name: 130 * DAY_S}
"""From so long before a span rows are read too: the interval before the first in it, a mean of three months."""


def record_of(store: Store, setup: Setup, span: Span, kinds: Collection[str]) -> Record:
    """The record of a span; visits, of which there are most, only where a kind asks for them."""
    visits = bool({"visits", "filters"} & set(kinds))
    frames: dict[str, Any] = {
        table.name: rows_between(store, table, span.begin - BEFORE_S.get(table.name, 0), span.end)
        for table in (BOX_LOG, CHORES, TANK, COWS, COW_TESTS, *((VISITS,) if visits else ()))
    }
    watched_since = int(store.meta("watched_since") or span.begin)
    facts = farm_facts(setup, feed_state(store), watched_since, {})
    return Record(
        span,
        tuple(all_alerts(store)),
        tuple(_log(store, span)),
        tuple(rows_set_aside(store)),
        Tables(**frames, farm=facts),
        setup.rules,
    )


def _log(store: Store, span: Span) -> list[Logged]:
    numbers = numbers_between(store, span.begin, span.end)
    return entries_between(store, *numbers) if numbers else []


def proven_log(store: Store, span: Span) -> tuple[list[Logged], list[Replaced]]:
    """The entries of a span, with no gap between them, and where names were replaced.

    An entry that says so after the span is there with all up to it, as nothing else vouches for what it changed.
    """
    numbers = numbers_between(store, span.begin, span.end)
    if numbers is None:
        return [], []
    replaced = names_replaced(store)
    first, last = numbers
    last = max([last, *(by for by, number, _ in replaced if first <= number <= last)])
    return entries_between(store, first, last), [row for row in replaced if first <= row[0] <= last]


def day_seal(store: Store, farm: str, zone: str, day: date) -> Seal:
    """The seal of a day on the farm's clock."""
    begin, end = day_bounds(day, zone)
    return seal_of(farm, day, _log(store, Span(begin, end)), last_before(store, end))


def seals_that_do_not_fit(store: Store, seals: Collection[Seal], last: int) -> list[str]:
    """In words, each of some seals that the store's log does not fit."""

    def hash_of(number: int) -> str | None:
        logged = entry_with(store, number)
        return None if logged is None else logged.hash

    return broken_seals(seals, hash_of, last)
