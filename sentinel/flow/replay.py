"""History read as if every export had been on time, in bulk: what the rules would have raised.

Where a rule holds does not depend on when it was looked at (see `evaluation.spans`); when it would have been *decided*
does, and follows from the moments at which each feed's rows would have come. A live run on exports that come at
once decides at the same seconds, and a test says so.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import groupby
from typing import Any

import numpy as np

from sentinel.flow.alerts.incidents import suspect_in
from sentinel.flow.alerts.links import Links, links_of
from sentinel.flow.alerts.replayed import Life, troubles_of_history
from sentinel.flow.evaluation.series import OPEN, Series, series_of
from sentinel.flow.evaluation.spans import Spans, spans_of
from sentinel.flow.evaluation.verdicts import urgency_at
from sentinel.flow.language import Later
from sentinel.flow.measures import measure_named
from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.model import Subject
from sentinel.flow.ordering import in_order
from sentinel.flow.rules import Rule
from sentinel.flow.tables import FeedFacts, Tables


@dataclass(frozen=True, slots=True)
class Founder:
    """The alert that founded an incident: by it an incident is known, live and in any reading of history."""

    rule: str
    subject: Subject
    raised_at: int


@dataclass(frozen=True, slots=True)
class Raised:
    """One alert that would have been: `value` is the one it was raised with, in the measure's unit.

    `suspects` are those it was raised with, the likeliest first, each a mapping with `name` and `weight`. `incident`:
    the alert that founded the incident it last belonged to. `rings_at`: when it first could not wait and nothing
    held it back, None if that never was.
    """

    rule: str
    subject: Subject
    raised_at: int
    over_at: int | None
    urgency: str
    value: float | None
    again: int = 0
    suspects: tuple[Mapping[str, Any], ...] = ()
    incident: Founder | None = None
    rings_at: int | None = None


@dataclass(frozen=True, slots=True)
class Coming:
    """How the rows of one feed would have come: `at` are the moments, and at each it is complete up to that moment.

    `rows` are the moments of its rows. Both are sorted. `quiet_after_s`: after so long a silence it counts as quiet,
    one for each of `at`, as its pace may be learned from them; None if it never does. `silent`: the moments up to which
    files without a new row show that no box was visited.
    """

    at: np.ndarray
    rows: np.ndarray
    quiet_after_s: np.ndarray | None = None
    silent: np.ndarray = field(default_factory=lambda: np.empty(0, np.int64))

    def with_silences(self) -> Coming:
        """The same where a file without a new row counts as well as one with."""
        if not len(self.silent):
            return self
        at = np.union1d(self.at, self.silent)
        before = np.maximum(np.searchsorted(self.at, at, side="right") - 1, 0)
        quiet_after_s = self.quiet_after_s
        if quiet_after_s is not None and len(quiet_after_s):
            quiet_after_s = quiet_after_s[before]
        return replace(self, at=at, quiet_after_s=quiet_after_s)


@dataclass(frozen=True, slots=True)
class Deciding:
    """When a rule could be decided, and up to when: `known[i]` is the known-until at the moment `at[i]`; both rise.

    `feeds` are those that bound it; `by_hand` the moments at which a person said that something was done; `fresh`:
    at which of the moments no feed is quiet, so that what is decided may be pushed.
    """

    at: np.ndarray
    known: np.ndarray
    feeds: tuple[Coming, ...]
    by_hand: np.ndarray
    fresh: np.ndarray

    def decided(self, moment: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """The first moment of decision at which the data reaches as far as `moment`, and how far it then reaches."""
        place = np.searchsorted(self.known, moment, side="left")
        return np.append(self.at, OPEN)[place], np.append(self.known, OPEN)[place]

    def pressing(self, moment: np.ndarray) -> np.ndarray:
        """The first moment of decision at which the data reaches as far as `moment` and none of it has stopped."""
        place = np.searchsorted(self.known, moment, side="left")
        fresh = np.flatnonzero(self.fresh)
        following = np.append(fresh, len(self.at))[np.searchsorted(fresh, place, side="left")]
        return np.asarray(np.append(self.at, OPEN)[following])

    def came(self, moment: np.ndarray) -> np.ndarray:
        """When a row of that moment came: with the first of the feeds that have one; OPEN if it never did."""
        came = np.where(np.isin(moment, self.by_hand), moment, OPEN)
        for feed in self.feeds:
            arrival = np.append(feed.at, OPEN)[np.searchsorted(feed.at, moment, side="left")]
            its_own = np.append(feed.rows, OPEN)[np.searchsorted(feed.rows, moment, side="left")] == moment
            came = np.where(its_own, np.minimum(came, arrival), came)
        return came


def deciding(
    measure: Measure, coming: Mapping[str, Coming], feeds_of: Mapping[str, tuple[str, ...]], by_hand: np.ndarray
) -> Deciding | None:
    """The moments at which rows of the measure's feeds come, and the least known-until of these feeds at each.

    `feeds_of`: per table the feeds that fill it. None if no feed bounds the measure: it is decided at every second. One
    that needs a table which nobody fills is never decided.
    """
    by_hand_too = "chores" in measure.uses
    if not by_hand_too and any(not feeds_of.get(table) for table in measure.needs):
        never = np.empty(0, np.int64)
        return Deciding(never, never, (), never, np.empty(0, bool))
    names = sorted({feed for table in measure.needs for feed in feeds_of.get(table, ())})
    if not names:
        return None
    feeds = tuple(coming[name].with_silences() if measure.of_each_box else coming[name] for name in names)
    at = np.unique(np.concatenate([feed.at for feed in feeds]))
    known = np.full(len(at), OPEN, dtype=np.int64)
    fresh = np.ones(len(at), bool)
    for feed in feeds:
        place = np.searchsorted(feed.at, at, side="right")
        its_own = np.append(-OPEN, feed.at)[place]
        known = np.minimum(known, its_own)
        if feed.quiet_after_s is not None:
            fresh &= its_own >= at - np.append(0, feed.quiet_after_s)[place]
    return Deciding(at, known, feeds, by_hand if by_hand_too else by_hand[:0], fresh)


def replay(
    rules: Mapping[str, Rule],
    tables: Tables,
    coming: Mapping[str, Coming],
    feeds_of: Mapping[str, tuple[str, ...]],
    until: int,
) -> list[Raised]:
    """What the rules would have raised up to `until`, in order of time; pure, vectorised over the whole history."""
    return replay_each([rules], tables, coming, feeds_of, until)[0]


def replay_each(
    tried: Sequence[Mapping[str, Rule]],
    tables: Tables,
    coming: Mapping[str, Coming],
    feeds_of: Mapping[str, tuple[str, ...]],
    until: int,
) -> list[list[Raised]]:
    """The same for several sets of rules at once.

    Each measure's readings are worked out once, whatever the number of thresholds that are tried on them, and let go
    of before the next measure's; a rule that several sets have in common is gone through once.
    """
    by_hand = tables.chores["at"].to_numpy(np.int64)
    when: dict[tuple[Any, ...], Deciding | None] = {}
    alerts_of_set: list[list[Raised]] = [[] for _ in tried]
    for alike in _by_readings(tried):
        measure = measure_named(alike[0][0].measure)
        bounded_by = (tuple(sorted(measure.needs)), "chores" in measure.uses, measure.of_each_box)
        if bounded_by not in when:
            when[bounded_by] = deciding(measure, coming, feeds_of, by_hand)
        series = series_of(alike[0][0], measure, tables)
        for rule, places in alike:
            alerts_of_rule = raised_on(rule, series, tables, when[bounded_by], until)
            for place in places:
                alerts_of_set[place] += alerts_of_rule
    return [
        with_incidents(rules, _in_time(raised), links_by_time(rules, tables))
        for rules, raised in zip(tried, alerts_of_set, strict=True)
    ]


def with_incidents(
    rules: Mapping[str, Rule], raised: Sequence[Raised], links_at: Callable[[int], Links]
) -> list[Raised]:
    """The alerts of a history with the incidents they belong to, as they would have been live."""
    place = {name: n for n, name in enumerate(rules)}
    order = sorted(range(len(raised)), key=lambda n: (raised[n].raised_at, place[raised[n].rule], raised[n].subject))
    lives = [
        Life(one.rule, one.subject, one.raised_at, one.over_at, suspect_in({"suspects": one.suspects}))
        for one in (raised[n] for n in order)
    ]
    covered_by = {name: rule.covered_by for name, rule in rules.items() if rule.covered_by}
    troubles = troubles_of_history(lives, covered_by, links_at)
    with_founders = list(raised)
    for place_in_time, (n, founder) in enumerate(zip(order, troubles.founders, strict=True)):
        first = lives[founder]
        rings_at = let_through(raised[n], troubles.held_back.get(place_in_time, ()))
        founded_by = Founder(first.rule, first.subject, first.raised_at)
        with_founders[n] = replace(raised[n], incident=founded_by, rings_at=rings_at)
    return with_founders


def let_through(alert: Raised, held_back: Sequence[tuple[int, int]]) -> int | None:
    """When an alert rings that could not wait from `rings_at` on; None if it was held back until it was over."""
    at = alert.rings_at
    for begin, end in held_back:
        if at is not None and begin <= at < end:
            at = end
    return at if at is not None and at < (OPEN if alert.over_at is None else alert.over_at) else None


def links_by_time(rules: Mapping[str, Rule], tables: Tables) -> Callable[[int], Links]:
    """What covering needs to know at any moment of a history; a feed is known then as far as it had come."""
    moments: dict[str, list[FeedFacts]] = {}
    for feed in sorted(tables.farm.feeds, key=lambda one: one.known_until or 0):
        moments.setdefault(feed.name, []).append(feed)

    @lru_cache(maxsize=64)
    def at_moment(at: int) -> Links:
        feeds = tuple(
            of_feed[max(0, bisect_right(of_feed, at, key=lambda one: one.known_until or 0) - 1)]
            for of_feed in moments.values()
        )
        return links_of(at, rules, tables, replace(tables.farm, feeds=feeds))

    return at_moment


def raised_on(rule: Rule, series: Series, tables: Tables, when: Deciding | None, until: int) -> list[Raised]:
    """What one rule would have raised on readings that are worked out: all that another threshold costs."""
    where = spans_of(rule, measure_named(rule.measure), series, tables)
    spans_by_subject = groupby(_decided(where, when, until), key=lambda span: span.subject)
    return [
        one for subject, spans_of_subject in spans_by_subject for one in _lives(rule, subject, spans_of_subject, until)
    ]


def _by_readings(tried: Sequence[Mapping[str, Rule]]) -> list[list[tuple[Rule, list[int]]]]:
    """The rules that rest on the same readings together, each with the places of the sets that have it."""
    groups: dict[tuple[Any, ...], list[tuple[Rule, list[int]]]] = {}
    for place, rules in enumerate(tried):
        for rule in rules.values():
            measure = measure_named(rule.measure)
            if measure.about_arrival:
                continue
            settings = tuple(sorted(measure.settings(rule.options).items()))
            group = groups.setdefault((measure.name, rule.per, settings), [])
            for known, places in group:
                if known == rule:
                    places.append(place)
                    break
            else:
                group.append((rule, [place]))
    return list(groups.values())


def _in_time(alerts: list[Raised]) -> list[Raised]:
    """In order of time, then rule, then subject."""
    order = {subject: n for n, subject in enumerate(in_order({one.subject for one in alerts}))}
    return sorted(alerts, key=lambda one: (one.raised_at, one.rule, order[one.subject]))


@dataclass(frozen=True, slots=True)
class _Decided:
    """A span that was decided to hold.

    `raised`, `over`: when it was decided; OPEN if it was not. `now`, `round`: when it was decided to be that
    pressing. `value` as it was raised, in the measure's unit.
    """

    subject: Subject
    raised: int
    over: int
    now: int
    round: int
    value: float
    suspects: Any


def _decided(where: Spans, when: Deciding | None, until: int) -> Iterator[_Decided]:
    """The spans that were ever decided to hold, by subject, then time."""
    held = where.held
    if when is None:
        raised, reaching, over = held["start"], held["start"], held["over"]
        now, round_ = held["now_from"], held["round_from"]
        seen = np.ones(len(raised), bool)
    else:
        raised, reaching = when.decided(held["start"])
        over, _ = when.decided(held["over"])
        # a reset is certain as soon as its row comes, whatever the other feeds have still to bring
        over = np.where(held["next_reset"] < OPEN, np.minimum(over, when.came(held["next_reset"])), over)
        # what may be a reset is looked at as soon as its row comes, too: then it can no longer be told, nor raised
        maybe = np.where(held["next_told"] < OPEN, when.came(held["next_told"]), OPEN)
        seen = (reaching < held["end"]) & (raised < over) & (raised < maybe)
        now, round_ = when.pressing(held["now_from"]), when.decided(held["round_from"])[0]
        round_ = np.minimum(round_, when.decided(held["now_from"])[0])
    keep = np.flatnonzero(seen & (raised <= until))
    if not len(keep):
        return
    subject, rows, reaching = held["subject"][keep], held["row"][keep], reaching[keep]
    raised, over, now, round_ = raised[keep], over[keep], now[keep], round_[keep]
    over = np.where(over <= until, over, OPEN)
    # spans between which nobody could have decided that the rule was clear are one
    begins = np.flatnonzero(np.append(True, (subject[1:] != subject[:-1]) | (raised[1:] > over[:-1])))
    ends = np.append(begins[1:], len(keep)) - 1
    yield from map(
        _Decided,
        subject[begins].tolist(),
        raised[begins].tolist(),
        over[ends].tolist(),
        np.minimum.reduceat(now, begins).tolist(),
        np.minimum.reduceat(round_, begins).tolist(),
        where.values(rows[begins], reaching[begins]).tolist(),
        _suspects(where, rows[begins], reaching[begins]),
    )


def _suspects(where: Spans, rows: np.ndarray, moments: np.ndarray) -> list[Any]:
    """Per span the suspects of its reading at a moment; none where the measure names none."""
    if "suspects" not in where.facts:
        return [()] * len(rows)
    readings, suspects = where.latest(rows, moments), where.facts["suspects"].to_numpy(object)
    asked = [suspects[place] if place >= 0 else () for place in readings.tolist()]
    return [one.now() if isinstance(one, Later) else one for one in asked]


def _lives(rule: Rule, subject: Subject, spans_of_subject: Iterator[_Decided], until: int) -> Iterator[Raised]:
    """The alerts of one subject, span by span."""
    life: Raised | None = None
    for span in spans_of_subject:
        aged = span.raised + rule.over_after_s if rule.over_after_s else OPEN
        ends = min(span.over, aged)
        over_at = ends if ends <= until else None
        last = min(ends - 1, until)
        urgency = urgency_at(span.now, span.round, last)
        now_at = max(span.raised, span.now) if urgency == "now" else None
        if life is not None and life.over_at is not None and rule.again_within_s:
            if span.raised - life.over_at <= rule.again_within_s:
                first = now_at if life.rings_at is None else life.rings_at
                life = replace(life, over_at=over_at, urgency=urgency, again=life.again + 1, rings_at=first)
                continue
        if life is not None:
            yield life
        value = None if np.isnan(span.value) else span.value
        suspects = tuple(span.suspects)
        life = Raised(rule.name, subject, span.raised, over_at, urgency, value, suspects=suspects, rings_at=now_at)
    if life is not None:
        yield life
