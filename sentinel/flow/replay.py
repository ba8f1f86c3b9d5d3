"""History read as if every export had been on time, in bulk: what the rules would have raised.

Where a rule holds does not depend on when it was looked at (see `conditions`); when it would have been *decided*
does, and follows from the moments at which each feed's rows would have come. A live run on exports that come at
once decides at the same seconds, and a test says so.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from sentinel.flow.conditions import OPEN, Spans, spans
from sentinel.flow.measures import measure_named
from sentinel.flow.measures.shape import Measure
from sentinel.flow.model import Subject, in_order
from sentinel.flow.rulebook import Rule
from sentinel.flow.tables import Tables

ABOUT_ARRIVAL = ("rows_set_aside", "undelivered_notices", "rule_blind_h")
"""Measures of how data came and notices went: they have no meaning where everything is taken to be on time."""


@dataclass(frozen=True, slots=True)
class Raised:
    """One alert that would have been: `value` is the one it was raised with, in the measure's unit."""

    rule: str
    subject: Subject
    raised_at: int
    over_at: int | None
    urgency: str
    value: float | None
    again: int = 0


@dataclass(frozen=True, slots=True)
class Deciding:
    """When a rule could be decided, and up to when: `known[i]` is the known-until at the moment `at[i]`; both rise."""

    at: np.ndarray
    known: np.ndarray


def deciding(
    measure: Measure, moments: Mapping[str, np.ndarray], feeds_of: Mapping[str, tuple[str, ...]]
) -> Deciding | None:
    """The moments at which rows of the measure's feeds come, and the least known-until of these feeds at each.

    `moments`: per feed the sorted times of its rows; `feeds_of`: per table the feeds that fill it. None if no feed
    bounds the measure: then it is decided at every second.
    """
    names = sorted({feed for table in measure.needs for feed in feeds_of.get(table, ())})
    if not names:
        return None
    at = np.unique(np.concatenate([moments[name] for name in names]))
    known = np.full(len(at), OPEN, dtype=np.int64)
    for name in names:
        mine = moments[name]
        place = np.searchsorted(mine, at, side="right") - 1
        latest = np.where(place >= 0, mine[np.maximum(place, 0)] if len(mine) else 0, -OPEN)
        known = np.minimum(known, latest)
    return Deciding(at, known)


def replay(
    rules: Mapping[str, Rule],
    tables: Tables,
    moments: Mapping[str, np.ndarray],
    feeds_of: Mapping[str, tuple[str, ...]],
    until: int,
) -> list[Raised]:
    """What the rules would have raised up to `until`, in order of time; pure, vectorised over the whole history."""
    found: list[Raised] = []
    for rule in rules.values():
        measure = measure_named(rule.measure)
        if measure.name in ABOUT_ARRIVAL:
            continue
        where = spans(rule, measure, tables)
        by_hand = tables.chores["at"].to_numpy(np.int64)
        found += _alerts(rule, where, deciding(measure, moments, feeds_of), by_hand, until)
    order = {subject: n for n, subject in enumerate(in_order({one.subject for one in found}))}
    return sorted(found, key=lambda one: (one.raised_at, one.rule, order[one.subject]))


def _alerts(rule: Rule, where: Spans, when: Deciding | None, by_hand: np.ndarray, until: int) -> Iterator[Raised]:
    """The decided spans of one rule, joined by `again_within` and cut by `over_after`."""
    decided = _decided(where, when, by_hand, until)
    for subject, mine in decided.groupby("subject", sort=False):
        yield from _lives(rule, str(subject), mine, where, until)


def _decided(where: Spans, when: Deciding | None, by_hand: np.ndarray, until: int) -> pd.DataFrame:
    """The spans that were ever decided to hold: when they were raised, when over (OPEN if not), from when pressing."""
    held = where.held
    start, end, pressing = (held[c].to_numpy(np.int64) for c in ("start", "end", "now_from"))
    if when is None:
        raised, over, press = start, end, pressing
        seen = start <= until
    else:
        first = np.searchsorted(when.known, start, side="left")
        seen = first < len(when.at)
        at = np.append(when.at, OPEN)
        known = np.append(when.known, OPEN)
        seen &= known[first] < end
        raised = at[first]
        # a reset is certain as soon as its row comes, or a person says so; a reading when all feeds have come as far
        over = at[np.searchsorted(when.at if where.elapsed else when.known, end, side="left")]
        over = np.where(np.isin(end, by_hand), end, over) if where.elapsed else over
        over = np.where(end == OPEN, OPEN, over)
        press = at[np.searchsorted(when.known, pressing, side="left")]
        press = np.where(pressing < end, press, OPEN)
        seen &= raised <= until
    frame = held.assign(raised=raised, over=np.where(over <= until, over, OPEN), press=press)
    return frame[seen]


def _lives(rule: Rule, subject: Subject, mine: pd.DataFrame, where: Spans, until: int) -> Iterator[Raised]:
    """The alerts of one subject, span by span."""
    life: Raised | None = None
    columns = (mine[name].to_numpy(np.int64) for name in ("start", "row", "raised", "over", "press"))
    for start, row, raised, over, press in zip(*(c.tolist() for c in columns), strict=True):
        aged = raised + rule.over_after_s if rule.over_after_s else OPEN
        ends = min(over, aged)
        over_at = ends if ends <= until else None
        urgency = "now" if press < ends and press <= until else where.urgency.get(subject, rule.urgency)
        if life is not None and life.over_at is not None and rule.again_within_s:
            if raised - life.over_at <= rule.again_within_s:
                life = replace(life, over_at=over_at, urgency=urgency, again=life.again + 1)
                continue
        if life is not None:
            yield life
        life = Raised(rule.name, subject, raised, over_at, urgency, _value(where, row, subject, start))
    if life is not None:
        yield life


def _value(where: Spans, row: int, subject: Subject, moment: int) -> float:
    """The value with which a span began, in the measure's unit."""
    if not where.elapsed:
        return float(where.facts["value"].iloc[row])
    reset = int(where.facts["at"].iloc[row])
    if where.events is None:
        return (moment - reset) / where.unit_s
    mine = where.events["at"].to_numpy()[where.events["subject"].to_numpy(object) == subject]
    return float(np.count_nonzero((mine > reset) & (mine <= moment)))
