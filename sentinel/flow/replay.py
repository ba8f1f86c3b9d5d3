"""History read as if every export had been on time, in bulk: what the rules would have raised.

Where a rule holds does not depend on when it was looked at (see `conditions`); when it would have been *decided*
does, and follows from the moments at which each feed's rows would have come. A live run on exports that come at
once decides at the same seconds, and a test says so.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.conditions import OPEN, Spans, spans
from sentinel.flow.measures import measure_named
from sentinel.flow.measures.shape import Measure
from sentinel.flow.model import Subject, in_order
from sentinel.flow.rulebook import Rule
from sentinel.flow.tables import Tables
from sentinel.flow.verdicts import urgency_at

ABOUT_ARRIVAL = ("rows_set_aside", "undelivered_notices", "rule_blind_h")
"""Measures of how data came and notices went: they have no meaning where everything is taken to be on time."""


@dataclass(frozen=True, slots=True)
class Raised:
    """One alert that would have been: `value` is the one it was raised with, in the measure's unit.

    `suspects` are those it was raised with, the likeliest first, each a mapping with `name` and `weight`.
    """

    rule: str
    subject: Subject
    raised_at: int
    over_at: int | None
    urgency: str
    value: float | None
    again: int = 0
    suspects: tuple[Mapping[str, Any], ...] = ()


@dataclass(frozen=True, slots=True)
class Coming:
    """How the rows of one feed would have come: `at` are the moments, and at each it is complete up to that moment.

    `rows` are the moments of its rows. Both are sorted.
    """

    at: np.ndarray
    rows: np.ndarray


@dataclass(frozen=True, slots=True)
class Deciding:
    """When a rule could be decided, and up to when: `known[i]` is the known-until at the moment `at[i]`; both rise.

    `feeds` are those that bound it; `by_hand` the moments at which a person said that something was done.
    """

    at: np.ndarray
    known: np.ndarray
    feeds: tuple[Coming, ...]
    by_hand: np.ndarray

    def decided(self, moment: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """The first moment of decision at which the data reaches as far as `moment`, and how far it then reaches."""
        place = np.searchsorted(self.known, moment, side="left")
        return np.append(self.at, OPEN)[place], np.append(self.known, OPEN)[place]

    def came(self, moment: np.ndarray) -> np.ndarray:
        """When a row of that moment came: with the first of the feeds that have one; OPEN if it never did."""
        came = np.where(np.isin(moment, self.by_hand), moment, OPEN)
        for feed in self.feeds:
            arrival = np.append(feed.at, OPEN)[np.searchsorted(feed.at, moment, side="left")]
            came = np.where(np.isin(moment, feed.rows), np.minimum(came, arrival), came)
        return came


def deciding(
    measure: Measure, coming: Mapping[str, Coming], feeds_of: Mapping[str, tuple[str, ...]], by_hand: np.ndarray
) -> Deciding | None:
    """The moments at which rows of the measure's feeds come, and the least known-until of these feeds at each.

    `feeds_of`: per table the feeds that fill it. None if no feed bounds the measure: it is decided at every second.
    """
    names = sorted({feed for table in measure.needs for feed in feeds_of.get(table, ())})
    if not names:
        return None
    feeds = tuple(coming[name] for name in names)
    at = np.unique(np.concatenate([feed.at for feed in feeds]))
    known = np.full(len(at), OPEN, dtype=np.int64)
    for feed in feeds:
        place = np.searchsorted(feed.at, at, side="right")
        known = np.minimum(known, np.append(-OPEN, feed.at)[place])
    return Deciding(at, known, feeds, by_hand if "chores" in measure.uses else by_hand[:0])


def replay(
    rules: Mapping[str, Rule],
    tables: Tables,
    coming: Mapping[str, Coming],
    feeds_of: Mapping[str, tuple[str, ...]],
    until: int,
) -> list[Raised]:
    """What the rules would have raised up to `until`, in order of time; pure, vectorised over the whole history."""
    by_hand = tables.chores["at"].to_numpy(np.int64)
    found: list[Raised] = []
    for rule in rules.values():
        measure = measure_named(rule.measure)
        if measure.name not in ABOUT_ARRIVAL:
            where = spans(rule, measure, tables)
            found += _alerts(rule, where, deciding(measure, coming, feeds_of, by_hand), until)
    order = {subject: n for n, subject in enumerate(in_order({one.subject for one in found}))}
    return sorted(found, key=lambda one: (one.raised_at, one.rule, order[one.subject]))


def _alerts(rule: Rule, where: Spans, when: Deciding | None, until: int) -> Iterator[Raised]:
    """The decided spans of one rule, joined by `again_within` and cut by `over_after`."""
    decided = _decided(where, when, until)
    for subject, mine in decided.groupby("subject", sort=False):
        yield from _lives(rule, str(subject), mine, until)


def _decided(where: Spans, when: Deciding | None, until: int) -> pd.DataFrame:
    """The spans that were ever decided to hold.

    Columns besides `subject`: `raised` and `over` (when it was decided; OPEN if it was not), `now` and `round` (when
    it was decided to be that pressing), `value` (as it was raised, in the measure's unit).
    """
    held = where.held
    if when is None:
        raised, reaching, over = held["start"], held["start"], held["end"]
        now, round_ = held["now_from"], held["round_from"]
        seen = np.ones(len(raised), bool)
    else:
        raised, reaching = when.decided(held["start"])
        over, _ = when.decided(held["end"])
        # a reset is certain as soon as its row comes, whatever the other feeds have still to bring
        over = np.where(held["next_reset"] < OPEN, np.minimum(over, when.came(held["next_reset"])), over)
        seen = (reaching < held["end"]) & (raised < over)
        now, round_ = when.decided(held["now_from"])[0], when.decided(held["round_from"])[0]
    rows = held["row"]
    value = where.values(rows, reaching)
    frame = pd.DataFrame(
        {
            "subject": where.held["subject"],
            "raised": raised,
            "over": np.where(over <= until, over, OPEN),
            "now": now,
            "round": round_,
            "value": value,
            "suspects": _suspects(where, rows, reaching),
        }
    )
    return _merged(frame[seen & (raised <= until)])


def _suspects(where: Spans, rows: np.ndarray, moments: np.ndarray) -> list[Any]:
    """Per span the suspects of its reading at a moment; none where the measure names none."""
    if "suspects" not in where.facts:
        return [()] * len(rows)
    told, found = where.told(rows, moments), where.facts["suspects"]
    return [found.iloc[place] if place >= 0 else () for place in told]


def _merged(decided: pd.DataFrame) -> pd.DataFrame:
    """Spans between which nobody could have decided that the rule was clear are one."""
    goes_on = (decided["subject"] == decided["subject"].shift()) & (decided["raised"] == decided["over"].shift())
    if not goes_on.any():
        return decided
    how = dict.fromkeys(decided.columns, "first") | {"over": "last", "now": "min", "round": "min"}
    return decided.groupby((~goes_on).cumsum(), sort=False).agg(how)


def _lives(rule: Rule, subject: Subject, mine: pd.DataFrame, until: int) -> Iterator[Raised]:
    """The alerts of one subject, span by span."""
    life: Raised | None = None
    for span in mine.to_dict("records"):
        raised = int(span["raised"])
        aged = raised + rule.over_after_s if rule.over_after_s else OPEN
        ends = min(int(span["over"]), aged)
        over_at = ends if ends <= until else None
        last = min(ends - 1, until)
        urgency = urgency_at(int(span["now"]), int(span["round"]), last)
        if life is not None and life.over_at is not None and rule.again_within_s:
            if raised - life.over_at <= rule.again_within_s:
                life = replace(life, over_at=over_at, urgency=urgency, again=life.again + 1)
                continue
        if life is not None:
            yield life
        value = None if np.isnan(span["value"]) else float(span["value"])
        life = Raised(rule.name, subject, raised, over_at, urgency, value, suspects=tuple(span["suspects"]))
    if life is not None:
        yield life
