"""From a measure's result and a rule's bounds to where the rule holds.

Everything rests on one frame, the *spans* of a rule: half-open stretches [start, end) of the data's own time in
which the rule holds for a subject. Live, a verdict asks which span covers the moment up to which the data is
known; in bulk, the spans of a year are the alerts. So both give the same answer.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from sentinel.flow.attributes import Bounds, asked, attributes_at, bounds_at, cow_of, herd_changes
from sentinel.flow.measures.shape import Measure, Readings, Resets
from sentinel.flow.model import Subject
from sentinel.flow.rulebook import Rule
from sentinel.flow.tables import Tables

OPEN = np.iinfo(np.int64).max
"""The end of a span that has not ended, and the moment of something that never happens."""

UNIT_S = {"h": 3600.0, "min": 60.0, "d": 86400.0, "s": 1.0}

Standing = Mapping[Subject, int]
"""The subjects of a rule's standing alerts, each with the moment from which the rule has held for it."""


@dataclass(frozen=True, slots=True)
class Spans:
    """Where a rule holds, and what else a verdict needs.

    `held` columns: `subject`; `start`, `end` (int64, [start, end) in UTC seconds); `since` (when the bound was
    passed); `now_from`, `round_from` (from when it is that pressing or more; OPEN if never); `row` (its first row
    in `facts`); `next_reset` (the subject's next reset, OPEN if none or for readings); `bound` (the one it passed,
    in the measure's unit). Sorted by subject, then start; spans of one subject do not overlap.
    `facts`: the measure's frame (its resets or readings), sorted by subject, then `at`.
    """

    held: pd.DataFrame
    facts: pd.DataFrame
    elapsed: bool
    events: pd.DataFrame | None = None
    unit_s: float = 1.0

    def values(self, rows: np.ndarray, moments: np.ndarray) -> np.ndarray:
        """The value at each moment, in the measure's unit, of the subjects whose rows in `facts` are given.

        Elapsed: the time, or the number of events, since that reset. Sampled: the subject's latest reading up to
        the moment that told something, NaN if none did.
        """
        at = self.facts["at"].to_numpy(np.int64)[rows]
        if not self.elapsed:
            told = self.told(rows, moments)
            return np.where(told >= 0, self.facts["value"].to_numpy(float)[told], np.nan)
        if self.events is None:
            return np.asarray((moments - at) / self.unit_s)
        subject = self.facts["subject"].to_numpy(object)[rows]
        events = self.events["subject"].to_numpy(object), self.events["at"].to_numpy(np.int64)
        return np.asarray(up_to(*events, subject, moments) - up_to(*events, subject, at), dtype=float)

    def told(self, rows: np.ndarray, moments: np.ndarray) -> np.ndarray:
        """The row in `facts` of the same subject's latest reading up to each moment that is not missing; -1 if none."""
        subject = self.facts["subject"].to_numpy(object)
        telling = np.flatnonzero(self.facts["value"].notna().to_numpy())
        place = up_to(subject[telling], self.facts["at"].to_numpy(np.int64)[telling], subject[rows], moments) - 1
        row = telling[place] if len(telling) else np.full(len(rows), -1)
        return np.where((place >= 0) & (subject[row] == subject[rows]), row, -1)


def up_to(subjects: np.ndarray, at: np.ndarray, subject: np.ndarray, moment: np.ndarray) -> np.ndarray:
    """Of rows sorted by subject, then time: the place after the last one up to each (subject, moment).

    Before a subject's first row this is that row's own place, so the row before is another subject's; for a
    subject without a row it is 0.
    """
    first = np.flatnonzero(np.append(True, subjects[1:] != subjects[:-1])) if len(subjects) else np.empty(0, np.int64)
    ends = np.append(first[1:], len(subjects))
    stretch = {name: (int(begin), int(end)) for name, begin, end in zip(subjects[first], first, ends, strict=False)}
    found = np.zeros(len(subject), np.int64)
    for index, name in enumerate(subject):
        begin, end = stretch.get(name, (0, 0))
        found[index] = begin + np.searchsorted(at[begin:end], moment[index], side="right")
    return found


def spans(rule: Rule, measure: Measure, tables: Tables, standing: Standing | None = None) -> Spans:
    """Where the rule holds over the rows of `tables`; pure, vectorised over subjects and time.

    `standing` are subjects for which the rule held before the rows begin: a sampled value between the raising and
    the clearing bound keeps them holding. One whose alert began within the rows is decided by the rows alone.
    """
    result = measure.compute(tables, rule.per, measure.settings(rule.options))
    if isinstance(result, Resets):
        return _elapsed_spans(rule, measure, result, tables)
    return _sampled_spans(rule, result, tables, standing or {})


# --- elapsed ---------------------------------------------------------------------------------------------


def _elapsed_spans(rule: Rule, measure: Measure, resets: Resets, tables: Tables) -> Spans:
    """Between two resets the value only grows, so each stretch has at most one moment at which it passes a bound."""
    facts = resets.frame.reset_index(drop=True)
    unit_s = UNIT_S.get(measure.unit, 1.0)
    changes = herd_changes(tables) if asked(rule) else None
    points = _with_herd_changes(rule, facts, changes)
    n = len(points)
    subject = points["subject"].to_numpy(object)
    at = points["at"].to_numpy(np.int64)
    row = points["row"].to_numpy(np.int64)
    reset_at = facts["at"].to_numpy(np.int64)
    following = _following(subject, at)
    next_reset = _following(facts["subject"].to_numpy(object), reset_at)[row]
    reset_at = reset_at[row]
    if rule.per == "cow":  # a cow is only known from her visits; boxes, chores and feeds are known from the settings
        following = np.minimum(following, reset_at + measure.lookback_s)
    bounds = bounds_at(rule, attributes_at(rule, points, changes, tables), n)
    first_over = _first_over(subject, reset_at, bounds.raise_past, resets.events, unit_s)
    first_now = _first_over(subject, reset_at, bounds.now_past, resets.events, unit_s)
    past = np.where(first_over < OPEN, first_over + bounds.lasting_s, OPEN)
    start = np.maximum(at, past)
    now_from, round_from = _pressing_from(bounds, start, first_now)
    holds = bounds.applies & (start < following)
    held = pd.DataFrame(
        {
            "subject": subject[holds],
            "start": start[holds],
            "end": following[holds],
            "since": first_over[holds] - 1,
            "now_from": now_from[holds],
            "round_from": round_from[holds],
            "row": row[holds],
            "next_reset": next_reset[holds],
            "bound": bounds.sign * bounds.raise_past[holds],
        }
    )
    return Spans(_joined(held), facts, True, resets.events, unit_s)


def _following(subject: np.ndarray, at: np.ndarray) -> np.ndarray:
    """The moment of the same subject's next row; OPEN at its last."""
    following = np.full(len(at), OPEN, dtype=np.int64)
    if len(at):
        following[:-1] = np.where(subject[:-1] == subject[1:], at[1:], OPEN)
    return following


def _with_herd_changes(rule: Rule, facts: pd.DataFrame, changes: pd.DataFrame | None) -> pd.DataFrame:
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
    if changes is None or not (rule.per in ("cow", "quarter") and len(changes) and len(points)):
        return points
    owners = points[["subject"]].drop_duplicates()
    owners["cow"] = cow_of(owners["subject"]).to_numpy(object)
    extra = owners.merge(changes[["cow", "from"]], on="cow").rename(columns={"from": "at"})
    extra["row"] = -1
    points = pd.concat([points, extra.drop(columns="cow")], ignore_index=True)
    points = points.sort_values(["subject", "at", "row"], kind="stable", ascending=[True, True, False])
    return _with_last_row(points, facts)


def _with_last_row(points: pd.DataFrame, facts: pd.DataFrame) -> pd.DataFrame:
    """Each added point (row -1) with the row and the box that stand before it; those before any are left out."""
    points["row"] = points["row"].where(points["row"] >= 0).groupby(points["subject"], sort=False).ffill()
    points = points[points["row"].notna()].reset_index(drop=True)
    points["row"] = points["row"].astype(np.int64)
    if "box" in facts:
        points["box"] = facts["box"].to_numpy(object)[points["row"].to_numpy()]
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


def _pressing_from(bounds: Bounds, start: np.ndarray, first_now: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """From when a span is `now` (at once if its urgency is, else past its pressing bound) and `round` or more."""
    past = np.where(first_now < OPEN, np.maximum(start, first_now), OPEN)
    now_from = np.where(bounds.urgent == "now", start, past)
    return now_from, np.where(bounds.urgent == "log", now_from, start)


def _joined(held: pd.DataFrame) -> pd.DataFrame:
    """Join spans that touch and rest on the same reset (an attribute changed while the rule went on holding)."""
    held = held.reset_index(drop=True)
    if len(held) < 2:
        return held
    goes_on = (
        (held["subject"] == held["subject"].shift())
        & (held["start"] == held["end"].shift())
        & (held["row"] == held["row"].shift())
    )
    if not goes_on.any():
        return held
    how = dict.fromkeys(held.columns, "first") | {"end": "last", "now_from": "min", "round_from": "min"}
    return held.groupby((~goes_on).cumsum(), sort=False).agg(how).reset_index(drop=True)


# --- sampled ---------------------------------------------------------------------------------------------


def _sampled_spans(rule: Rule, result: Readings, tables: Tables, standing: Standing) -> Spans:
    """A reading past the raising bound starts a span, one within the clearing bound ends it, others change nothing."""
    facts = result.frame.reset_index(drop=True)
    changes = herd_changes(tables) if asked(rule) else None
    points = _with_leavings(rule, facts, changes)
    subject = points["subject"].to_numpy(object)
    at = points["at"].to_numpy(np.int64)
    row = points["row"].to_numpy(np.int64)
    n = len(points)
    bounds = bounds_at(rule, attributes_at(rule, points, changes, tables), n)
    signed = bounds.sign * points["value"].to_numpy(float)
    mark = np.zeros(n, dtype=np.int8)
    mark[signed > bounds.raise_past] = 1
    own_clear = ~np.isnan(bounds.clear_within)
    mark[np.where(own_clear, signed < bounds.clear_within, signed <= bounds.raise_past)] = -1
    mark[~bounds.applies] = -1
    first = np.append(True, subject[1:] != subject[:-1]) if n else np.empty(0, bool)
    before, since = _held_before(subject, at, first, standing)
    holds = _carried(mark, first, before)
    begins = holds & (first | ~np.append(False, holds[:-1]))
    run = np.cumsum(begins) - 1
    start_row = np.flatnonzero(begins)
    end_at = np.full(len(start_row), OPEN, dtype=np.int64)
    stops = np.flatnonzero(~holds & ~first & np.append(False, holds[:-1]))
    end_at[run[stops]] = at[stops]
    carried = before[start_row] & first[start_row]  # it lasted long enough before these rows begin
    start = at[start_row] + np.where(carried, 0, bounds.lasting_s[start_row])
    now = holds & ((signed > bounds.now_past) | (bounds.urgent == "now"))
    now_from, round_from = (_first_in(run, part, at, start) for part in (now, holds & (bounds.urgent != "log") | now))
    keep = start < end_at
    held = pd.DataFrame(
        {
            "subject": subject[start_row][keep],
            "start": start[keep],
            "end": end_at[keep],
            "since": np.where(carried, since[start_row], at[start_row])[keep],
            "now_from": now_from[keep],
            "round_from": round_from[keep],
            "row": row[start_row][keep],
            "next_reset": np.full(int(keep.sum()), OPEN, dtype=np.int64),
            "bound": (bounds.sign * bounds.raise_past)[start_row][keep],
        }
    )
    return Spans(held, facts, False)


def _first_in(run: np.ndarray, marked: np.ndarray, at: np.ndarray, start: np.ndarray) -> np.ndarray:
    """Per run the moment of its first marked row, not before the run's start; OPEN if it has none."""
    found = np.full(len(start), OPEN, dtype=np.int64)
    np.minimum.at(found, run[marked], at[marked])
    return np.where(found < OPEN, np.maximum(found, start), OPEN)


def _held_before(
    subject: np.ndarray, at: np.ndarray, first: np.ndarray, standing: Standing
) -> tuple[np.ndarray, np.ndarray]:
    """Per row whether the rule held for its subject before the first of its rows, and since when."""
    since = np.full(len(at), OPEN, dtype=np.int64)
    if not standing:
        return np.zeros(len(at), bool), since
    begin = at[np.maximum.accumulate(np.where(first, np.arange(len(at)), 0))] if len(at) else at
    since = np.array([standing.get(one, OPEN) for one in subject], dtype=np.int64)
    return since < begin, since


def _with_leavings(rule: Rule, facts: pd.DataFrame, changes: pd.DataFrame | None) -> pd.DataFrame:
    """The readings, plus the moments at which a subject's attributes change (no value; a `where` may let go of it)."""
    points = facts[["subject", "at", "value"]].copy()
    points["row"] = np.arange(len(facts))
    if "box" in facts:
        points["box"] = facts["box"]
    if changes is None or not (rule.per in ("cow", "quarter") and rule.where and len(changes) and len(points)):
        return points
    owners = points.groupby("subject", sort=False)["at"].min().reset_index()
    owners["cow"] = cow_of(owners["subject"]).to_numpy(object)
    extra = owners.merge(changes[["cow", "from"]], on="cow")
    extra = extra[extra["from"] > extra["at"]]
    leaving = pd.DataFrame({"subject": extra["subject"], "at": extra["from"], "value": np.nan, "row": -1})
    points = pd.concat([points, leaving], ignore_index=True)
    return _with_last_row(points.sort_values(["subject", "at", "row"], kind="stable", ignore_index=True), facts)


def _carried(mark: np.ndarray, first: np.ndarray, before: np.ndarray) -> np.ndarray:
    """Whether the rule holds at each row: the last mark that is not zero decides; before any, what was before."""
    decided = np.where(mark != 0, np.arange(len(mark)), -1)
    begin = np.maximum.accumulate(np.where(first, np.arange(len(mark)), 0)) if len(mark) else decided
    latest = np.maximum.accumulate(decided) if len(mark) else decided
    here = latest >= begin
    return np.where(here, mark[np.maximum(latest, 0)] == 1, before)
