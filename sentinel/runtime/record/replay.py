"""The two readings of history: tick by tick as it arrived, and in bulk as if every export had been on time."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from operator import attrgetter
from typing import Any

import numpy as np
import pandas as pd

from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.exports.feeds import (
    feed_state,
    files_since,
    newest_by_feed,
    row_moments_by_feed,
    stamps_by_feed,
)
from sentinel.edges.store.history import last_known
from sentinel.edges.store.inputs import put_answer, put_chore, put_delivery
from sentinel.edges.store.log import log_entries
from sentinel.edges.store.rows import all_rows, recent_rows
from sentinel.errors import UsageError
from sentinel.flow.decide import AHEAD_S
from sentinel.flow.evaluation.pace import Pace, lags_at, paces_at
from sentinel.flow.evaluation.quiet import at_pace, tells_results, with_lag
from sentinel.flow.model import Alert, Entry, Problem, Tick
from sentinel.flow.replay import Coming, Founder, Raised, replay_each
from sentinel.flow.rules import Rule
from sentinel.flow.setup import Setup, farm_facts, read_setup
from sentinel.flow.tables import IN_BULK, MEASURED, FeedFacts, Table, Tables
from sentinel.flow.tuning.compare import Change
from sentinel.flow.views.parts.records import rfc3339
from sentinel.runtime.engine import Engine
from sentinel.runtime.known.feed_files import ShownByFiles
from sentinel.runtime.ticks import recorded_ticks

Reader = Callable[[Mapping[str, str]], tuple[Setup | None, list[Problem]]]
"""Reads a farm folder's texts."""


def as_arrived(store: Store, setup: Setup | None = None, read: Reader = read_setup) -> list[Raised]:
    """What was raised when, worked out again tick by tick from what was known at each.

    Without `setup` by the settings used at the time: exactly the live alerts. With one by that throughout; then
    the moments at which time alone changes something are ticks of their own.
    """
    past = Store(None)
    engine: Engine | None = Engine(past, setup, tell=False) if setup else None
    due: int | None = None
    for recorded in recorded_ticks(store):
        if recorded.texts is not None and setup is None:
            used, problems = read(recorded.texts)
            if used is None:
                raise UsageError(f"the settings of that time can no longer be read: {problems[0]}")
            if engine is None:
                engine = Engine(past, used, tell=False)
            else:
                engine.use(used)
        if engine is None:
            continue
        until = recorded.tick.at - max(0, recorded.tick.jumped_s)  # what a clock put ahead passes over did not happen
        while setup is not None and due is not None and due < until:
            due = engine.step(Tick(due)).due
        for at, batch in recorded.files:
            engine.absorb(at, batch)
        _take_over_inputs(past, recorded.tick)
        due = engine.step(recorded.tick).due
    return live_alerts(past)


def _take_over_inputs(past: Store, tick: Tick) -> None:
    """What people said goes into the store of the replay as it once did."""
    for answer in tick.answers:
        put_answer(past, answer)
    for chore in tick.chores:
        put_chore(past, chore)
    for delivery in tick.deliveries:
        put_delivery(past, delivery)


def live_alerts(store: Store) -> list[Raised]:
    """The alerts that were really raised, as a replay tells them."""
    alerts = all_alerts(store)
    founders = {alert.id: Founder(alert.rule, alert.subject, alert.raised_at) for alert in alerts}
    told: dict[int, list[Entry]] = defaultdict(list)
    for logged in log_entries(store, kinds=OF_A_LIFE):
        told[logged.entry.alert or 0].append(logged.entry)
    return [_raised(alert, told[alert.id], founders) for alert in alerts]


OF_A_LIFE = ("raised", "again", "more-pressing", "held-back", "let-through", "over")
"""The kinds of entry that tell when an alert rings."""


def _raised(alert: Alert, entries: Sequence[Entry], founders: Mapping[int, Founder]) -> Raised:
    """An alert as a replay tells it, with the value it was raised with. `entries`: its own in the log."""
    first = next((entry.body for entry in entries if entry.kind == "raised"), {})  # or let go
    return Raised(
        alert.rule,
        alert.subject,
        alert.raised_at,
        alert.over_at,
        alert.urgency,
        first.get("value"),
        alert.again,
        tuple(first.get("suspects", ())),
        founders.get(alert.incident),
        _rings_at(entries),
    )


def _rings_at(entries: Iterable[Entry]) -> int | None:
    """When an alert first could not wait and was not held back, by what the log says of it; None if never."""
    pressing = held_back = False
    for at, of_tick in groupby(entries, key=attrgetter("at")):
        for entry in of_tick:
            match entry.kind:
                case "raised" | "again" | "more-pressing":
                    pressing = entry.body.get("urgency") == "now"
                case "over":
                    pressing = held_back = False
                case kind:
                    held_back = kind == "held-back"
        if pressing and not held_back:
            return int(at)
    return None


@dataclass(frozen=True, slots=True)
class Past:
    """All that a store has, as if every export had been on time; any rules can be tried on it."""

    tables: Tables
    coming: Mapping[str, Coming]
    feeds_of: Mapping[str, tuple[str, ...]]
    until: int

    def tried(self, *rules: Mapping[str, Rule]) -> list[list[Raised]]:
        """What each of some sets of rules would have raised; a further threshold costs next to nothing."""
        return replay_each(rules, self.tables, self.coming, self.feeds_of, self.until)


def on_time(store: Store, setup: Setup, until: int | None = None) -> list[Raised]:
    """What the rules would have raised if every export had been on time, over all that the store has."""
    return past_of(store, setup, until).tried(setup.rules)[0]


def past_of(store: Store, setup: Setup, until: int | None = None, since: int | None = None) -> Past:
    """Read all that a store has of a farm; whatever rules the setup has.

    With `since` only what decisions from that moment on look at, as the window of a running service has it.
    """
    coming = _coming(store)
    newest = max((int(feed.at[-1]) for feed in coming.values() if len(feed.at)), default=0)
    watched_since = int(store.meta("watched_since") or 0)
    facts = farm_facts(setup, feed_state(store), watched_since, {})
    filled = {name for feed in facts.feeds for name in feed.tables}
    feeds_of = {name: tuple(feed.name for feed in facts.feeds if name in feed.tables) for name in filled}
    none = Coming(np.empty(0, np.int64), np.empty(0, np.int64))
    shown = ShownByFiles(store)
    shown.at(last_known(store) or 0)
    silent = {feed.name: np.array(shown.silences(feed.name), np.int64) for feed in facts.feeds}
    coming = {feed.name: replace(coming.get(feed.name, none), silent=silent[feed.name]) for feed in facts.feeds}
    came = _files_by_feed(store)
    feeds_then = {
        feed.name: _then(feed, setup, coming[feed.name].at, watched_since, came.get(feed.name, []))
        for feed in facts.feeds
    }
    coming = {
        name: replace(coming[name], quiet_after_s=_quiet_after_s(feeds_then[name], len(coming[name].at)))
        for name in coming
    }
    every = [feed for name, feeds in feeds_then.items() for feed in _heard(feeds, coming[name].silent.tolist())]
    frames: dict[str, Any] = {table.name: _rows(store, table, since) for table in IN_BULK}
    tables = Tables(**frames, farm=replace(facts, feeds=tuple(every)))
    return Past(tables, coming, feeds_of, until or newest)


def _rows(store: Store, table: Table, since: int | None) -> pd.DataFrame:
    """All rows of a table, or those that decisions from a moment on look at."""
    if since is None or not table.kept_s:
        return all_rows(store, table)
    return recent_rows(store, table, since - table.kept_s, latest=table.latest)


def _files_by_feed(store: Store) -> dict[str, list[tuple[int, int]]]:
    """Per feed its files in the order of reading: when each came, and until when it tells."""
    limit = (last_known(store) or 0) + AHEAD_S
    files: dict[str, list[tuple[int, int]]] = {}
    for _, feed, arrived, known in files_since(store, 0):
        if known <= limit:
            files.setdefault(feed, []).append((arrived, known))
    return files


def _then(
    feed: FeedFacts, setup: Setup, at: np.ndarray, watched_since: int, files: Sequence[tuple[int, int]]
) -> list[FeedFacts]:
    """A feed as it was at each moment at which it came, until its first one as it is watched in vain.

    Test results come days later also in a history as if on time: what they are late by is the laboratory's.
    """
    waited = [] if len(at) and int(at[0]) <= watched_since else [watched_since]
    paces: list[Pace | None] = [*(None for _ in waited), *paces_at(at.tolist())] if feed.learns else []
    known = [*waited, *at.tolist()]
    unlike = {pace for pace in paces if pace is not None}
    as_of = {pace: at_pace(feed, pace, setup.rules) for pace in unlike}
    then = [as_of[pace] if pace is not None else feed for pace in paces] if paces else [feed] * len(known)
    if tells_results(feed) and files:
        lags = lags_at(files)
        moments = [moment for moment, _ in lags]
        lag_s = [lags[min(bisect_left(moments, moment), len(lags) - 1)][1] for moment in at.tolist()]
        then = [with_lag(one, lag) for one, lag in zip(then, [*(0 for _ in waited), *lag_s], strict=True)]
    return [replace(one, known_until=moment) for one, moment in zip(then, known, strict=True)]


def _heard(feeds: Sequence[FeedFacts], silent: Sequence[int]) -> list[FeedFacts]:
    """The same with the moments up to which files without a new row told of the feed."""
    known = [feed.known_until or 0 for feed in feeds]
    further = [replace(feeds[max(0, bisect_right(known, at) - 1)], known_until=at) for at in silent]
    return [*feeds, *further]


def _quiet_after_s(feeds: Sequence[FeedFacts], moments: int) -> np.ndarray | None:
    """After how long a silence a feed counted as quiet, at each of the last `moments` at which it was known."""
    of_each = [feed.quiet_after_s for feed in feeds[len(feeds) - moments :]]
    return None if None in of_each else np.array(of_each, dtype=np.int64)


def _coming(store: Store) -> dict[str, Coming]:
    """Per feed the moments at which its rows would have come, each also its known-until from then on.

    A feed whose files promise completeness by their stamp comes at its stamps; any other row by row. A row that several
    feeds told came with each of them, whichever was read first.
    """
    limit = (last_known(store) or 0) + AHEAD_S  # beyond it lies what came while the clock stood ahead
    stamps, newest = stamps_by_feed(store, limit), newest_by_feed(store, limit)
    rows = row_moments_by_feed(store, MEASURED)
    coming_of = {}
    for feed in sorted({*stamps, *newest, *rows}):
        own = rows.get(feed, set()) | newest.get(feed, set())
        coming_of[feed] = Coming(_sorted(stamps.get(feed) or own), _sorted(own))
    return coming_of


def _sorted(moments: set[int]) -> np.ndarray:
    return np.array(sorted(moments), dtype=np.int64)


def changed_lines(changed: Iterable[Change]) -> list[Mapping[str, object]]:
    """What differs between two readings of history, as `replay --changes --json` prints it."""
    found: list[Mapping[str, object]] = []
    for change in changed:
        before, after = (None if one is None else lines([one])[0] for one in (change.before, change.after))
        found.append({"change": change.how, "later_s": change.later_s, "before": before, "after": after})
    return found


def lines(raised: Iterable[Raised]) -> list[Mapping[str, object]]:
    """The alerts as `replay --json` prints them: times in RFC 3339 UTC."""

    def known_by(founder: Founder) -> str:
        return f"{founder.rule} {founder.subject} {rfc3339(founder.raised_at)}"

    return [
        {
            "rule": one.rule,
            "subject": one.subject,
            "raised_at": rfc3339(one.raised_at),
            "over_at": None if one.over_at is None else rfc3339(one.over_at),
            "urgency": one.urgency,
            "value": one.value,
            "suspects": [{"name": suspect["name"], "weight": suspect["weight"]} for suspect in one.suspects],
            "incident": None if one.incident is None else known_by(one.incident),
            "rings_at": None if one.rings_at is None else rfc3339(one.rings_at),
        }
        for one in raised
    ]
