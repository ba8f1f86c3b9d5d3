"""What a rule saw of one subject at a moment: its verdict, the readings, the threshold that applied, the rows behind.

Worked out by the same code that decides, from the rows that were known then.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.evaluation.attributes import asked, attributes_at, herd_changes
from sentinel.flow.evaluation.held_readings import Beginnings
from sentinel.flow.evaluation.known_until import known_until, of_box
from sentinel.flow.evaluation.quiet import no_news, quiet_since
from sentinel.flow.evaluation.rule_bounds import bounds_of
from sentinel.flow.evaluation.series import Series, points_of, series_of
from sentinel.flow.evaluation.verdicts import judge
from sentinel.flow.measures import measure_named
from sentinel.flow.measures.base.facts import FIRST_AT
from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.model import State, Subject, Verdict, kind_of, name_of
from sentinel.flow.rules import Rule
from sentinel.flow.subjects import parts_of
from sentinel.flow.tables import OWN, Table, Tables, table_named

READINGS_SHOWN = 12
"""So many of the last readings are given."""

WITHIN = "within"
"""The option of a measure that says over how long it counts."""

NOT_LOOKED_AT = "not looked at"
"""Beside the three answers: the rule does not look at the subject, or has never heard of it."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading, or one reset of an elapsed measure (then `value` is None)."""

    at: int
    value: float | None


@dataclass(frozen=True, slots=True)
class InForce:
    """The bounds that applied to a subject, in the measure's unit: the rule's own, or those of its class.

    `number` is the place of the class in the rule from 1, 0 for the rule's own bounds; `where` whom it is for. `says`
    what was known of the subject that the rule asks for.
    """

    number: int
    where: tuple[tuple[str, tuple[str, ...]], ...]
    raises: float | None
    clears: float | None
    now: float | None
    over: bool
    lasting_s: int
    urgency: str
    says: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class RowsBehind:
    """The rows of one table that it rested on, by their keys, and how many others told what is usual.

    `begin`, `end`: the stretch in which they happened, both included. `before`: rows between `before_from` and `begin`.
    """

    table: str
    keys: tuple[tuple[Any, ...], ...]
    begin: int
    end: int
    before: int
    before_from: int


@dataclass(frozen=True, slots=True)
class FeedThen:
    """A feed that the rule rests on: up to when it was known then, and since when it was quiet, if it was."""

    feed: str
    known_until: int | None
    quiet_since: int | None


@dataclass(frozen=True, slots=True)
class Seen:
    """What a rule saw of one subject at a moment.

    `state` is one of the three answers or `NOT_LOOKED_AT`; `until` the moment up to which it could be decided, None
    where it could not be at all. `value` is in `unit`. `why` says why it is unknown, or why it is not looked at
    (`unheard`, `left-out`). `old_since`: the data had stopped then, so that nothing of it was pushed.
    """

    at: int
    rule: str
    subject: Subject
    state: str
    value: float | None
    unit: str
    urgency: str
    since: int | None
    until: int | None
    why: str
    old_since: int | None
    elapsed: bool
    in_force: InForce | None
    readings: tuple[Reading, ...]
    rows: tuple[RowsBehind, ...]
    feeds: tuple[FeedThen, ...]
    others: tuple[str, ...] = ()


def seen(
    rule: Rule,
    tables: Tables,
    known: Mapping[str, int | None],
    at: int,
    subject: Subject,
    begun: Beginnings | None = None,
) -> Seen:
    """What the rule saw of a subject at `at`, from rows known by then; see `judge` for `known` and `begun`."""
    measure = measure_named(rule.measure)
    judgement = no_news(judge(rule, measure, tables, known, at, begun), measure, tables.farm, at)
    verdict = next((one for one in judgement.verdicts if one.subject == subject), None)
    until = _decided_until(rule, measure, known, at, subject)
    series = series_of(rule, measure, tables)
    in_force, applies = _in_force(rule, series, tables, subject, at if until is None or series.elapsed else until)
    readings = _readings(series, subject, at if series.elapsed else until)
    state, why = _answer(verdict, applies, until, rule)
    others = tuple(dict.fromkeys(map(str, series.subject)))[:MOST_OTHERS] if state == NOT_LOOKED_AT else ()
    return Seen(
        at,
        rule.name,
        subject,
        state,
        verdict.value if verdict else None,
        rule.unit,
        verdict.urgency if verdict and verdict.state is State.HOLDS else "",
        verdict.since if verdict else None,
        until,
        why,
        verdict.facts.get("old_since") if verdict else None,
        series.elapsed,
        in_force,
        readings[-READINGS_SHOWN:],
        _rows_behind(rule, measure, tables, subject, _stretch(rule, measure, verdict, readings, until, at)),
        _feeds_then(measure, tables, at),
        others,
    )


MOST_OTHERS = 12
"""Of a subject that a rule has never heard of so many others are named."""


def _answer(verdict: Verdict | None, applies: bool | None, until: int | None, rule: Rule) -> tuple[str, str]:
    """The answer, and why it is none."""
    if verdict is None and until is None:
        return State.UNKNOWN.value, "its feed has not given anything yet"
    if verdict is None:
        return NOT_LOOKED_AT, "unheard"
    if applies is False and verdict.state is State.CLEAR:
        return NOT_LOOKED_AT, "left-out"
    return verdict.state.value, verdict.why


def _decided_until(
    rule: Rule, measure: Measure, known: Mapping[str, int | None], at: int, subject: Subject
) -> int | None:
    """Up to when the rule could be decided on a subject."""
    until = known_until(measure, known, at)
    own = known.get(of_box(name_of(subject))) if measure.of_each_box and rule.per == "box" else None
    return until if until is None or own is None else min(at, own)


def _in_force(
    rule: Rule, series: Series, tables: Tables, subject: Subject, moment: int
) -> tuple[InForce | None, bool | None]:
    """The bounds at the subject's last point up to a moment, and whether the rule is for it at all; None if unheard."""
    points = points_of(rule, series, tables, change_first=not series.elapsed)
    here = np.flatnonzero((points.subject == subject) & (points.at <= moment))
    if not len(here):
        return None, None
    place = int(here[-1])
    bounds, kind = bounds_of(rule, points.picked).only(np.array([place])), int(points.picked.kind[place])
    case = rule.classes[kind] if kind < len(rule.classes) else None
    row = pd.DataFrame({"subject": [subject], "at": np.array([points.at[place]], np.int64)})
    says = attributes_at(rule, row, herd_changes(tables) if asked(rule) else None, tables)
    return (
        InForce(
            0 if case is None else kind + 1,
            tuple((name, tuple(map(str, wanted))) for name, wanted in (case.where if case else {}).items()),
            _figure(bounds.sign * bounds.raise_past[0]),
            _figure(bounds.sign * bounds.clear_within[0]),
            _figure(bounds.sign * bounds.now_past[0]),
            bounds.sign == 1,
            int(bounds.lasting_s[0]),
            str(bounds.urgent[0]),
            tuple((name, str(column[0])) for name, column in sorted(says.items()) if _told(column[0])),
        ),
        bool(bounds.applies[0]),
    )


def _told(value: Any) -> bool:
    return value is not None and not (isinstance(value, float) and np.isnan(value))


def _figure(value: float) -> float | None:
    return None if np.isnan(value) else float(value)


def _readings(series: Series, subject: Subject, until: int | None) -> tuple[Reading, ...]:
    """The subject's readings, or resets, up to a moment."""
    if until is None:
        return ()
    rows = np.flatnonzero((series.subject == subject) & (series.at <= until))
    if series.elapsed:
        return tuple(Reading(int(series.at[row]), None) for row in rows)
    return tuple(Reading(int(series.at[row]), _figure(series.value[row])) for row in rows)


def _stretch(
    rule: Rule, measure: Measure, verdict: Verdict | None, readings: tuple[Reading, ...], until: int | None, at: int
) -> tuple[int, int]:
    """From when to when the rows happened that made the value: an elapsed one since its reset, others as they say."""
    if not readings or until is None:
        return at, at
    last = readings[-1]
    if last.value is None:
        return last.at, max(until, last.at)
    facts = verdict.facts if verdict else {}
    begins = [one for one in (facts.get(FIRST_AT.name), verdict.since if verdict else None) if one is not None]
    begin = min([int(one) for one in begins], default=last.at)
    return begin - int(measure.settings(rule.options).get(WITHIN, 0)), last.at


def _rows_behind(
    rule: Rule, measure: Measure, tables: Tables, subject: Subject, stretch: tuple[int, int]
) -> tuple[RowsBehind, ...]:
    """The rows about the subject within a stretch, table by table, and how many of the time before it looks back at."""
    begin, end = stretch
    found = []
    for name in dict.fromkeys(one.partition(".")[0] for one in (*measure.needs, *measure.uses)):
        table = table_named(name)
        frame: pd.DataFrame = getattr(tables, table.stored_as)
        at = frame[table.happened].to_numpy(np.int64)
        inside = about(table, frame, subject) & (at >= begin) & (at <= end)
        since = begin - measure.lookback_s
        before = int(((at >= since) & (at < begin)).sum())
        keys = tuple(tuple(_plain(one) for one in key) for key in frame.loc[inside, list(table.key)].to_numpy(object))
        if keys or before:
            found.append(RowsBehind(table.stored_as, keys, begin, end, before, since))
    return tuple(found)


def _plain(value: Any) -> Any:
    return value.item() if isinstance(value, np.generic) else value


def about(table: Table, frame: pd.DataFrame, subject: Subject) -> np.ndarray:
    """Which rows of a table are about a subject; all of them where its kind is no column there, as of the herd."""
    picked = np.ones(len(frame), dtype=bool)
    parts = parts_of(subject) or {kind_of(subject): name_of(subject)}
    if table in OWN or kind_of(subject) != "chore":
        for name, value in parts.items():
            if name in frame.columns:
                picked &= frame[name].to_numpy(object) == value
        return picked
    if "box" in frame.columns and parts.get("place"):
        picked &= frame["box"].to_numpy(object) == parts["place"]
    return picked


def _feeds_then(measure: Measure, tables: Tables, at: int) -> tuple[FeedThen, ...]:
    """The feeds that the measure rests on, as they were known."""
    wanted = {name for one in measure.needs for name in (one, one.partition(".")[0])}
    return tuple(
        FeedThen(feed.name, feed.known_until, quiet_since(feed, at))
        for feed in tables.farm.feeds
        if wanted & set(feed.tables)
    )
