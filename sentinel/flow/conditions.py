"""From a measure's result and a rule's bounds to where the rule holds, and from there to a verdict.

Everything rests on one frame, the *spans* of a rule: half-open stretches [start, end) of the data's own time in
which the rule holds for a subject. Live, a verdict asks which span covers the moment up to which the data is
known; in bulk, the spans of a year are the alerts. So both give the same answer.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.attributes import Bounds, asked, attributes_at, bounds_at, cow_of, herd_changes
from sentinel.flow.measures.shape import Measure, Readings, Resets
from sentinel.flow.model import State, Subject, Verdict, name_of
from sentinel.flow.rulebook import Rule
from sentinel.flow.tables import Tables

OPEN = np.iinfo(np.int64).max
"""The end of a span that has not ended, and the moment of something that never happens."""

UNIT_S = {"h": 3600.0, "min": 60.0, "d": 86400.0, "s": 1.0}


@dataclass(frozen=True, slots=True)
class Spans:
    """Where a rule holds, and what else a verdict needs.

    `held` columns: `subject`; `start`, `end` (int64, [start, end) in UTC seconds); `since` (when the bound was
    passed); `now_from` (from when it is pressing; OPEN if never); `row` (its first row in `facts`). Sorted by
    subject, then start; spans of one subject do not overlap.
    `facts`: the measure's frame (its resets or readings), sorted by subject, then `at`.
    `urgency`: per subject the urgency that its last row has while it is not pressing.
    """

    held: pd.DataFrame
    facts: pd.DataFrame
    elapsed: bool
    events: pd.DataFrame | None = None
    unit_s: float = 1.0
    urgency: Mapping[Subject, str] = field(default_factory=dict)


def known_until(measure: Measure, known: Mapping[str, int | None], at: int) -> int | None:
    """The moment up to which a measure can be decided at `at`; None if one of its feeds has given nothing yet.

    `known` names the tables that some feed fills, with each table's known-until. A table that no feed fills does
    not bound the measure: what a person records is known at once.
    """
    bounding = [known[table] for table in measure.needs if table in known]
    if any(moment is None for moment in bounding):
        return None
    return min([at, *(moment for moment in bounding if moment is not None)])


def spans(rule: Rule, measure: Measure, tables: Tables, standing: Collection[Subject] = ()) -> Spans:
    """Where the rule holds over the rows of `tables`; pure, vectorised over subjects and time.

    `standing` are subjects for which the rule held when the rows begin: a sampled value between the raising and
    the clearing bound keeps them holding.
    """
    result = measure.compute(tables, rule.per, measure.settings(rule.options))
    if isinstance(result, Resets):
        return _elapsed_spans(rule, measure, result, tables)
    return _sampled_spans(rule, result, tables, standing)


# --- elapsed ---------------------------------------------------------------------------------------------


def _elapsed_spans(rule: Rule, measure: Measure, resets: Resets, tables: Tables) -> Spans:
    """Between two resets the value only grows, so each stretch has at most one moment at which it passes a bound."""
    facts = resets.frame.reset_index(drop=True)
    points = _with_herd_changes(rule, facts, tables)
    subject = points["subject"].to_numpy(object)
    at = points["at"].to_numpy(np.int64)
    row = points["row"].to_numpy(np.int64)
    n = len(points)
    same_as_next = np.append(subject[:-1] == subject[1:], False) if n else np.empty(0, bool)
    following = np.where(same_as_next, np.append(at[1:], OPEN), OPEN) if n else np.empty(0, np.int64)
    reset_at = facts["at"].to_numpy(np.int64)[row] if n else np.empty(0, np.int64)
    bounds = bounds_at(rule, attributes_at(rule, points, herd_changes(tables), tables), n)
    unit_s = UNIT_S.get(measure.unit, 1.0)
    first_over = _first_over(subject, reset_at, bounds.raise_past, resets.events, unit_s)
    first_now = _first_over(subject, reset_at, bounds.now_past, resets.events, unit_s)
    past = np.where(first_over < OPEN, first_over + bounds.lasting_s, OPEN)
    start = np.maximum(at, past)
    now_from = _pressing_from(bounds, start, first_now)
    holds = bounds.applies & (start < following)
    held = pd.DataFrame(
        {
            "subject": subject[holds],
            "start": start[holds],
            "end": following[holds],
            "since": first_over[holds] - 1,
            "now_from": now_from[holds],
            "row": row[holds],
        }
    )
    return Spans(_joined(held), facts, True, resets.events, unit_s, _urgencies(subject, bounds))


def _with_herd_changes(rule: Rule, facts: pd.DataFrame, tables: Tables) -> pd.DataFrame:
    """The resets, plus the moments at which an attribute that the rule asks for changes; `row` is the reset's row."""
    points = pd.DataFrame(
        {
            "subject": facts["subject"].to_numpy(object),
            "at": facts["at"].to_numpy(np.int64),
            "row": np.arange(len(facts)),
        }
    )
    if "box" in facts:
        points["box"] = facts["box"].to_numpy(object)
    changes = herd_changes(tables)
    if rule.per in ("cow", "quarter") and asked(rule) and len(changes) and len(points):
        owners = points[["subject"]].drop_duplicates()
        owners["cow"] = cow_of(owners["subject"]).to_numpy(object)
        extra = owners.merge(changes[["cow", "from"]], on="cow").rename(columns={"from": "at"})
        extra["row"] = -1
        points = pd.concat([points, extra.drop(columns="cow")], ignore_index=True)
        points = points.sort_values(["subject", "at", "row"], kind="stable", ascending=[True, True, False])
        points["row"] = points["row"].where(points["row"] >= 0).groupby(points["subject"]).ffill()
        points = points[points["row"].notna()].reset_index(drop=True)
        points["row"] = points["row"].astype(np.int64)
    return points


def _first_over(
    subject: np.ndarray, reset_at: np.ndarray, bound: np.ndarray, events: pd.DataFrame | None, unit_s: float
) -> np.ndarray:
    """The first whole second at which the value is strictly over the bound; OPEN if that is never."""
    has = ~np.isnan(bound)
    result = np.full(len(bound), OPEN, dtype=np.int64)
    if events is None:
        result[has] = reset_at[has] + np.floor(bound[has] * unit_s).astype(np.int64) + 1
        return result
    moments = {name: part["at"].to_numpy(np.int64) for name, part in events.groupby("subject", sort=False)}
    for index in np.flatnonzero(has):
        mine = moments.get(subject[index])
        if mine is None:
            continue
        wanted = int(np.searchsorted(mine, reset_at[index], side="right")) + int(np.floor(bound[index]))
        if wanted < len(mine):
            result[index] = mine[wanted]
    return result


def _pressing_from(bounds: Bounds, start: np.ndarray, first_now: np.ndarray) -> np.ndarray:
    """From when a span is `now`: at once if its urgency is, else from when it passes its pressing bound."""
    return np.where(bounds.urgent == "now", start, np.where(first_now < OPEN, np.maximum(start, first_now), OPEN))


def _joined(held: pd.DataFrame) -> pd.DataFrame:
    """Join spans that touch and rest on the same reset (an attribute changed while the rule went on holding)."""
    if len(held) < 2:
        return held.reset_index(drop=True)
    goes_on = (
        (held["subject"] == held["subject"].shift())
        & (held["start"] == held["end"].shift())
        & (held["row"] == held["row"].shift())
    )
    if not goes_on.any():
        return held.reset_index(drop=True)
    rules = {"subject": "first", "start": "first", "end": "last", "since": "first", "now_from": "min", "row": "first"}
    return held.groupby((~goes_on).cumsum(), sort=False).agg(rules).reset_index(drop=True)


def _urgencies(subject: np.ndarray, bounds: Bounds) -> dict[Subject, str]:
    """The urgency of each subject as of its last row."""
    return dict(zip(subject, bounds.urgent, strict=True))


# --- sampled ---------------------------------------------------------------------------------------------


def _sampled_spans(rule: Rule, result: Readings, tables: Tables, standing: Collection[Subject]) -> Spans:
    """A reading past the raising bound starts a span, one within the clearing bound ends it, others change nothing."""
    facts = result.frame.reset_index(drop=True)
    points = _with_leavings(rule, facts, tables)
    subject = points["subject"].to_numpy(object)
    at = points["at"].to_numpy(np.int64)
    value = points["value"].to_numpy(float)
    row = points["row"].to_numpy(np.int64)
    n = len(points)
    bounds = bounds_at(rule, attributes_at(rule, points, herd_changes(tables), tables), n)
    signed = bounds.sign * value
    mark = np.zeros(n, dtype=np.int8)
    mark[signed > bounds.raise_past] = 1
    own_clear = ~np.isnan(bounds.clear_within)
    mark[np.where(own_clear, signed < bounds.clear_within, signed <= bounds.raise_past)] = -1
    mark[~bounds.applies] = -1
    first = np.append(True, subject[1:] != subject[:-1]) if n else np.empty(0, bool)
    holds = _carried(mark, first, np.isin(subject, list(standing)) if standing else np.zeros(n, bool))
    begins = holds & (first | ~np.append(False, holds[:-1]))
    run = np.cumsum(begins) - 1
    start_row = np.flatnonzero(begins)
    end_at = np.full(len(start_row), OPEN, dtype=np.int64)
    stops = np.flatnonzero(~holds & ~first & np.append(False, holds[:-1]))
    end_at[run[stops]] = at[stops]
    pressing = holds & (signed > bounds.now_past)
    now_at = np.full(len(start_row), OPEN, dtype=np.int64)
    np.minimum.at(now_at, run[pressing], at[pressing])
    now_at = np.where(bounds.urgent[start_row] == "now", at[start_row], now_at)
    start = at[start_row] + bounds.lasting_s[start_row]
    keep = start < end_at
    held = pd.DataFrame(
        {
            "subject": subject[start_row][keep],
            "start": start[keep],
            "end": end_at[keep],
            "since": at[start_row][keep],
            "now_from": np.where(now_at < OPEN, np.maximum(now_at, start), OPEN)[keep],
            "row": row[start_row][keep],
        }
    )
    return Spans(held, facts, False, None, 1.0, _urgencies(subject, bounds))


def _with_leavings(rule: Rule, facts: pd.DataFrame, tables: Tables) -> pd.DataFrame:
    """The readings, plus the moments at which a subject's attributes change (no value; a `where` may let go of it)."""
    points = facts[["subject", "at", "value"]].copy()
    points["row"] = np.arange(len(facts))
    if "box" in facts:
        points["box"] = facts["box"]
    changes = herd_changes(tables)
    if rule.per in ("cow", "quarter") and rule.where and len(changes) and len(points):
        owners = points.groupby("subject", sort=False)["at"].min().reset_index()
        owners["cow"] = cow_of(owners["subject"]).to_numpy(object)
        extra = owners.merge(changes[["cow", "from"]], on="cow")
        extra = extra[extra["from"] > extra["at"]]
        leaving = pd.DataFrame({"subject": extra["subject"], "at": extra["from"], "value": np.nan, "row": -1})
        points = pd.concat([points, leaving], ignore_index=True)
        points = points.sort_values(["subject", "at", "row"], kind="stable", ignore_index=True)
        points["row"] = points["row"].where(points["row"] >= 0).groupby(points["subject"]).ffill().astype(np.int64)
    return points


def _carried(mark: np.ndarray, first: np.ndarray, seeded: np.ndarray) -> np.ndarray:
    """Whether the rule holds at each row: the last mark that is not zero decides; before any, the seed does."""
    decided = np.where(mark != 0, np.arange(len(mark)), -1)
    begin = np.maximum.accumulate(np.where(first, np.arange(len(mark)), 0)) if len(mark) else decided
    latest = np.maximum.accumulate(decided) if len(mark) else decided
    here = latest >= begin
    return np.where(here, mark[np.maximum(latest, 0)] == 1, seeded)


# --- verdicts --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Judgement:
    """The verdicts of one rule at a moment, and the next moment at which one of them changes by itself.

    `sampled`: its measure gives readings, so only new rows can change the verdict of their own subjects.
    """

    verdicts: tuple[Verdict, ...]
    due: int | None = None
    sampled: bool = False

    @property
    def whole(self) -> bool:
        """Whether a subject without a verdict is no longer watched (of a sampled measure only some are looked at)."""
        return not self.sampled and bool(self.verdicts)


def judge(
    rule: Rule,
    measure: Measure,
    tables: Tables,
    known: Mapping[str, int | None],
    at: int,
    standing: Collection[Subject] = (),
) -> Judgement:
    """What the rule says of each subject at `at`, from rows known by then.

    `known` is each fed table's known-until. Past it nothing is decided: a value that would only pass its bound
    after it is `unknown`, so a late export never makes a cow late. `due` is the next moment at which time alone
    changes a verdict.
    """
    until = known_until(measure, known, at)
    if until is None:
        return Judgement(tuple(_unknown(rule, s, "its feed has not given anything yet") for s in standing))
    found = spans(rule, measure, tables, standing)
    return _elapsed_verdicts(rule, found, until, at) if found.elapsed else _sampled_verdicts(rule, found, until, at)


def _elapsed_verdicts(rule: Rule, found: Spans, until: int, at: int) -> Judgement:
    """A known reset is certain up to itself, even past the feed's known-until."""
    facts = found.facts[found.facts["at"] <= at]
    last_rows = facts.groupby("subject", sort=False).tail(1)
    held = {name: part for name, part in found.held.groupby("subject", sort=False)}
    verdicts: list[Verdict] = []
    due: int | None = None
    for record in last_rows.to_dict("records"):
        subject, reset = record["subject"], int(record["at"])
        decided = max(until, reset)
        mine = held.get(subject)
        value = _elapsed_value(found, subject, reset, decided)
        facts_here = facts_of(subject, _row(record), value)
        if mine is None:
            verdicts.append(Verdict(rule.name, subject, State.CLEAR, value, facts=facts_here))
            continue
        start, end = mine["start"].to_numpy(), mine["end"].to_numpy()
        now_from = mine["now_from"].to_numpy()
        covering = np.flatnonzero((start <= decided) & (decided < end))
        ahead = start[(start > decided) & (start <= at)]
        if len(covering):
            one = int(covering[-1])
            urgency = _urgency(rule, found, subject, int(now_from[one]), decided)
            since = int(mine["since"].to_numpy()[one])
            verdicts.append(Verdict(rule.name, subject, State.HOLDS, value, since, urgency, facts_here))
        elif len(ahead):
            verdicts.append(_unknown(rule, subject, "the export has not come that far", value, facts_here))
        else:
            verdicts.append(Verdict(rule.name, subject, State.CLEAR, value, facts=facts_here))
        if until == at:
            due = _sooner(due, at, start, now_from, end)
    return Judgement(tuple(verdicts), due)


def _sampled_verdicts(rule: Rule, found: Spans, until: int, at: int) -> Judgement:
    """The last reading up to the known-until decides."""
    facts = found.facts[found.facts["at"] <= until]
    held = {name: part for name, part in found.held.groupby("subject", sort=False)}
    verdicts: list[Verdict] = []
    due: int | None = None
    for record in facts.groupby("subject", sort=False).tail(1).to_dict("records"):
        subject, value = record["subject"], float(record["value"])
        told = None if np.isnan(value) else value
        facts_here = facts_of(subject, _row(record), told)
        mine = held.get(subject)
        covering = np.empty(0, dtype=np.int64)
        if mine is not None:
            start, end, now_from = (mine[c].to_numpy() for c in ("start", "end", "now_from"))
            covering = np.flatnonzero((start <= until) & (until < end))
            if until == at:
                due = _sooner(due, at, start, now_from)
        if mine is not None and len(covering):
            one = int(covering[-1])
            urgency = _urgency(rule, found, subject, int(now_from[one]), until)
            since = int(mine["since"].to_numpy()[one])
            verdicts.append(Verdict(rule.name, subject, State.HOLDS, told, since, urgency, facts_here))
        elif told is None:
            verdicts.append(_unknown(rule, subject, str(record["why"]), None, facts_here))
        else:
            verdicts.append(Verdict(rule.name, subject, State.CLEAR, told, facts=facts_here))
    return Judgement(tuple(verdicts), due, sampled=True)


def _unknown(
    rule: Rule, subject: Subject, why: str, value: float | None = None, facts: Mapping[str, Any] | None = None
) -> Verdict:
    """The third answer, with its reason."""
    return Verdict(rule.name, subject, State.UNKNOWN, value, facts=facts or {}, why=why)


def _urgency(rule: Rule, found: Spans, subject: Subject, now_from: int, moment: int) -> str:
    """`now` from the pressing moment on, before it the urgency of the rule or its class."""
    return "now" if now_from <= moment else found.urgency.get(subject, rule.urgency)


def _sooner(due: int | None, at: int, *moments: np.ndarray) -> int | None:
    """The earliest moment after `at`, or `due` if that is earlier."""
    for column in moments:
        later = column[(column > at) & (column < OPEN)]
        if len(later) and (due is None or int(later.min()) < due):
            due = int(later.min())
    return due


def _elapsed_value(found: Spans, subject: Subject, reset: int, moment: int) -> float:
    """The time since the reset in the measure's unit, or the number of events counted since."""
    if found.events is None:
        return (moment - reset) / found.unit_s
    mine = found.events["at"].to_numpy()[found.events["subject"].to_numpy(object) == subject]
    return float(np.count_nonzero((mine > reset) & (mine <= moment)))


def _row(record: Mapping[Any, Any]) -> dict[str, Any]:
    """A frame's row by column name."""
    return {str(name): value for name, value in record.items()}


def facts_of(subject: Subject, record: Mapping[str, Any], value: float | None) -> dict[str, Any]:
    """What a rule's sentence may say: the parts of the subject and the figures of its row, as plain values."""
    kind, name = subject.partition(":")[0], name_of(subject)
    head, _, tail = name.partition("/")
    parts: dict[str, Any] = {
        "cow": {"cow": name},
        "quarter": {"cow": head, "quarter": tail},
        "chore": {"chore": head, "place": tail},
        "file": {"feed": head, "file": tail},
    }.get(kind, {kind: name})
    figures = {
        key: (item.item() if isinstance(item, np.generic) else item)
        for key, item in record.items()
        if key not in ("subject", "at", "value", "why", "row") and not (isinstance(item, float) and np.isnan(item))
    }
    return {**figures, **parts, "subject": subject, "value": value, "reading_at": int(record["at"])}
