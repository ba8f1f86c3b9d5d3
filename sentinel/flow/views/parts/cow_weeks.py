"""Four weeks of one cow on one axis of time: her milk, her visits, her alerts, and what of it is not known."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from sentinel.flow.evaluation.known_until import known_of
from sentinel.flow.measures.base.shape import Readings
from sentinel.flow.measures.milking.admission import let_go
from sentinel.flow.measures.milking.lateness import HOURS_SINCE_MILKING
from sentinel.flow.measures.milking.outcomes import outcomes
from sentinel.flow.measures.milking.yield_drop import YIELD_DROP_PCT
from sentinel.flow.model import DAY_S, HOUR_S, QUARTERS, Alert
from sentinel.flow.rules import Rule
from sentinel.flow.tables import VISITS, Tables
from sentinel.flow.views.parts.bounds import bound_for
from sentinel.flow.views.parts.timeline import Mark, alert_marks, number, records, text
from sentinel.flow.views.parts.visits import Visit, rows_of, visit_of

WEEKS_S = 28 * DAY_S
"""So much of a cow is shown: long enough to see her usual, and kept of every visit."""

GAVE = ("milked", "incomplete")
"""The outcomes of visits that gave milk."""


@dataclass(frozen=True, slots=True)
class Yield:
    """Her milk at one milking: kg a day over the last two days, and what the rule on drops expected; None: not told."""

    at: int
    kg_a_day: float | None
    expected_kg: float | None


@dataclass(frozen=True, slots=True)
class Interval:
    """The hours from the whole milking before to one that gave milk; `whole`: that one was whole as well."""

    at: int
    hours: float
    whole: bool


@dataclass(frozen=True, slots=True)
class CowWeeks:
    """What is drawn of (at - four weeks, at], everything in order of time.

    `known_from`, `known_until`: between these the visits are known (None: nothing is known of them). `visits` have the
    outcomes `milked`, `incomplete`, `failed`, `not_due`, `not_admitted`, or what is not told. `drop_pct` and `late_h`
    are the bounds of the rules for her now, None without one. `unweighed` milkings had no milk weight, `unread` visits
    could not be read and may be hers.
    """

    cow: str
    at: int
    known_from: int | None
    known_until: int | None
    visits: tuple[Visit, ...]
    intervals: tuple[Interval, ...]
    yields: tuple[Yield, ...]
    drop_pct: float | None
    late_h: float | None
    unweighed: int
    unread: int
    marks: tuple[Mark, ...]

    @property
    def begins(self) -> int:
        """Where the four weeks begin."""
        return self.at - WEEKS_S

    @property
    def by_outcome(self) -> Mapping[str, tuple[Visit, ...]]:
        """The visits of each outcome that has any."""
        found = dict.fromkeys(visit.outcome for visit in self.visits)
        return {outcome: tuple(v for v in self.visits if v.outcome == outcome) for outcome in found}


def visits_of(cow: str, tables: Tables, at: int) -> list[Visit]:
    """Every visit of a cow that is known, up to a moment, in order; refusals told apart by `admission.let_go`."""
    rows = rows_of(tables.visits, cow)
    rows = rows[rows["start"].to_numpy(np.int64) <= at]
    how = outcomes(rows)
    visits = [visit_of(row, str(o or text(row["outcome"]))) for row, o in zip(records(rows), how, strict=True)]
    refused = [n for n, visit in enumerate(visits) if visit.outcome == "refused"]
    milked = np.array([v.at for v in visits if v.outcome == "milked"], np.int64)
    words = let_go(np.array([visits[n].at for n in refused], np.int64), milked)
    for n, word in zip(refused, words, strict=True):
        visits[n] = replace(visits[n], outcome=word)
    return visits


def cow_weeks(
    cow: str,
    tables: Tables,
    alerts: Iterable[Alert],
    rules: Mapping[str, Rule],
    at: int,
    visits: list[Visit] | None = None,
) -> CowWeeks:
    """Four weeks of one cow up to `at`; `visits` are hers where they are known already."""
    visits = visits_of(cow, tables, at) if visits is None else visits
    subject, begins = f"cow:{cow}", at - WEEKS_S
    lately = tuple(visit for visit in visits if visit.at > begins)
    subjects = (subject, *(f"quarter:{cow}/{quarter}" for quarter in QUARTERS))
    starts = tables.visits["start"].to_numpy(np.int64)
    drop, late = (
        bound_for(measure.name, subject, rules, tables, at) for measure in (YIELD_DROP_PCT, HOURS_SINCE_MILKING)
    )
    return CowWeeks(
        cow=cow,
        at=at,
        known_from=max(begins, int(starts.min())) if len(starts) else None,
        known_until=known_of("visits", tables.farm.feeds, at),
        visits=lately,
        intervals=_intervals(visits, begins),
        yields=_yields(cow, tables, begins, at),
        drop_pct=drop[0] if drop else None,
        late_h=late[0] if late else None,
        unweighed=sum(visit.outcome in GAVE and visit.milk_kg is None for visit in lately),
        unread=_unread(cow, tables, begins, at),
        marks=alert_marks(alerts, subjects, at, WEEKS_S),
    )


def _intervals(visits: Iterable[Visit], begins: int) -> tuple[Interval, ...]:
    """The intervals that ended in the four weeks, each since the whole milking before."""
    found, before = [], None
    for visit in visits:
        if visit.outcome not in GAVE:
            continue
        whole = visit.outcome == "milked"
        if before is not None and visit.at > begins:
            found.append(Interval(visit.at, (visit.at - before) / HOUR_S, whole))
        before = visit.at if whole else before
    return tuple(found)


def _yields(cow: str, tables: Tables, begins: int, at: int) -> tuple[Yield, ...]:
    """Her milk a day and what is expected of it, at the milkings of which either is told."""
    readings = YIELD_DROP_PCT.compute(tables.of_cows({cow}), "cow", YIELD_DROP_PCT.settings({}))
    assert isinstance(readings, Readings)
    rows = (
        Yield(int(row["at"]), number(row["kg_a_day"]), number(row["expected_kg_a_day"]))
        for row in records(readings.frame)
        if begins < row["at"] <= at
    )
    return tuple(one for one in rows if one.kg_a_day is not None or one.expected_kg is not None)


def _unread(cow: str, tables: Tables, begins: int, at: int) -> int:
    """How many visits of these weeks could not be read and may be hers."""
    unread = tables.unread
    may_be = unread["who"].isin([cow, ""]).to_numpy(bool) | unread["who"].isna().to_numpy(bool)
    hers = (unread["tab"] == VISITS.name).to_numpy(bool) & may_be
    lately = (unread["ends"].to_numpy(np.int64) > begins) & (unread["begins"].to_numpy(np.int64) <= at)
    return int(np.nansum(unread["number"].to_numpy(float)[hers & lately]))
