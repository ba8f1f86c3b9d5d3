"""From a measure's result and a rule's bounds to where the rule holds.

Everything rests on the *spans* of a rule: half-open stretches [start, end) of the data's own time in
which the rule holds for a subject. Live, a verdict asks which span covers the moment up to which the data is
known; in bulk, the spans of a year are the alerts. So both give the same answer.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from sentinel.flow.evaluation.doubts import Doubts, doubts_of
from sentinel.flow.evaluation.held_readings import Beginnings, held_readings
from sentinel.flow.evaluation.rule_bounds import LOG, NOW, Bounds, bounds_of
from sentinel.flow.evaluation.series import FAR, OPEN, Points, Series, following, points_of, series_of, up_to
from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.rules import Rule
from sentinel.flow.tables import Tables

UNIT_S = {"h": 3600.0, "min": 60.0, "d": 86400.0, "s": 1.0}

Columns = dict[str, np.ndarray]
NO_NAMES, NO_TIMES = np.empty(0, object), np.empty(0, np.int64)


@dataclass(frozen=True, slots=True)
class Spans:
    """Where a rule holds, and what else a verdict needs.

    `held` columns: `subject`; `start`, `end` (int64, [start, end) in UTC seconds); `over` (the end, or where the rule
    only becomes unknown at the end, when it is clear at last); `since` (when the bound was passed); `now_from`,
    `round_from` (from when it is that pressing or more; OPEN if never); `row` (its first row in `facts`); `next_reset`
    (the subject's next certain reset, OPEN if none or for readings); `next_told` (the same of one that may be none);
    `bound` (the one it passed, in the measure's unit). Sorted by subject, then start; spans of one subject do not
    overlap. Of readings also `usual` (what was usual when it began, in the unit of the measure's own column of it; NaN
    where it has none). With `doubts` also `doubted_s` (the bound in seconds past which nothing that could not be read
    helps).
    `unsure`: where it cannot be told, as the value may have been reset: `subject`, `start`, `end`, in the same order.
    `series`: what the measure gave. `readings`: of a sampled measure its values, those of a span by what was usual when
    it began. `doubts`: what could not be read and might refute that a subject is over its bound.
    """

    held: Columns
    series: Series
    unit_s: float = 1.0
    unsure: Columns = field(default_factory=lambda: {"subject": NO_NAMES, "start": NO_TIMES, "end": NO_TIMES})
    doubts: Doubts | None = None
    readings: np.ndarray | None = None

    @property
    def facts(self) -> pd.DataFrame:
        """The measure's frame (its resets or readings), sorted by subject, then `at`."""
        return self.series.frame

    @property
    def elapsed(self) -> bool:
        """Whether the value is the time, or the number of events, since a reset."""
        return self.series.elapsed

    def values(self, rows: np.ndarray, moments: np.ndarray) -> np.ndarray:
        """The value at each moment, in the measure's unit, of the subjects whose rows in `facts` are given.

        Elapsed: the time, or the number of events, since that reset. Sampled: the subject's latest reading up to
        the moment that told something, NaN if none did.
        """
        series = self.series
        if not series.elapsed:
            latest = series.latest(rows, moments)
            value = series.value if self.readings is None else self.readings
            return np.where(latest >= 0, value[latest], np.nan) if len(series.at) else np.full(len(rows), np.nan)
        at = series.at[rows]
        if series.events is None:
            return np.asarray((moments - at) / self.unit_s)
        subject = series.subject[rows]
        events = series.events["subject"].to_numpy(object), series.events["at"].to_numpy(np.int64)
        return np.asarray(up_to(*events, subject, moments) - up_to(*events, subject, at), dtype=float)

    def latest(self, rows: np.ndarray, moments: np.ndarray) -> np.ndarray:
        """The row in `facts` of the same subject's latest reading up to each moment that is not missing; -1 if none."""
        return self.series.latest(rows, moments)


def spans(rule: Rule, measure: Measure, tables: Tables, begun: Beginnings | None = None, since: int = -OPEN) -> Spans:
    """Where the rule holds over the rows of `tables`; pure, vectorised over subjects and time.

    Of resets only each subject's last one up to `since` and the later ones are gone through.
    `begun` says for which subjects the rule held before the rows begin: a sampled value between the raising and
    the clearing bound keeps them holding. One whose alert began within the rows is decided by the rows alone.
    """
    series = series_of(rule, measure, tables)
    if series.elapsed:
        series = series.from_last(since)
    return spans_of(rule, measure, series, tables, begun)


def spans_of(rule: Rule, measure: Measure, series: Series, tables: Tables, begun: Beginnings | None = None) -> Spans:
    """The same, of what the rule's measure gave on `tables`: the cheap part, to be done again for another threshold."""
    if series.elapsed:
        return _elapsed_spans(rule, measure, series, tables)
    return _sampled_spans(rule, measure, series, tables, begun or {})


# --- elapsed ---------------------------------------------------------------------------------------------


def _elapsed_spans(rule: Rule, measure: Measure, series: Series, tables: Tables) -> Spans:
    """Between two resets the value only grows, so each stretch has at most one moment at which it passes a bound."""
    unit_s = UNIT_S.get(measure.unit, 1.0)
    points = points_of(rule, series, tables, change_first=False)
    bounds = bounds_of(rule, points.picked)
    if "_bound_least" in series.frame and rule.raise_over is not None:
        bounds = bounds.at_least(series.frame["_bound_least"].to_numpy(float)[points.row])
    next_reset = np.where(series.next_sure < FAR, series.next_sure, OPEN)[points.row]
    reset_at = series.at[points.row]
    next_told = following(series.first, series.at)[points.row]
    until = following(points.first, points.at)
    if rule.per == "cow":  # a cow is only known from her visits; boxes, chores and feeds are known from the settings
        until = np.minimum(until, reset_at + measure.reset_for_s)
    passed = first_over(points.subject, reset_at, bounds.raise_past, series.events, unit_s)
    first_now = first_over(points.subject, reset_at, bounds.now_past, series.events, unit_s)
    past = np.where(passed < OPEN, passed + bounds.lasting_s, OPEN)
    start = np.maximum(points.at, past)
    now_from, round_from = _pressing_from(bounds, start, first_now)
    sure = series.sure[points.row]
    chain, over = _until_certain(points, until, sure, bounds.applies)
    since = least_of(chain, np.where(bounds.applies & (start < until), passed - 1, OPEN))
    held = {
        "subject": points.subject,
        "start": start,
        "end": until,
        "over": over,
        "since": since,
        "now_from": now_from,
        "round_from": round_from,
        "row": points.row,
        "next_reset": next_reset,
        "next_told": next_told,
        "bound": bounds.sign * bounds.raise_past,
    }
    doubts = doubts_of(measure, rule.per, tables) if series.events is None else None
    if doubts is not None:
        held["doubted_s"] = np.where(np.isnan(bounds.now_past), bounds.raise_past, bounds.now_past) * unit_s
    holds = bounds.applies & (start < until)
    held = _joined({name: column[holds] for name, column in held.items()})
    if doubts is not None:
        held["now_from"] = _beyond(doubts, held, series.at)
    known_from = series.last_sure[points.row]
    certain = first_over(points.subject, known_from, bounds.raise_past, series.events, unit_s)
    begins, ends = np.maximum(points.at, certain), np.minimum(start, until)
    doubtful = bounds.applies & ~sure & (begins < ends)
    unsure = {"subject": points.subject[doubtful], "start": begins[doubtful], "end": ends[doubtful]}
    return Spans(held, series, unit_s, unsure, doubts)


def _beyond(doubts: Doubts, held: Columns, reset_at: np.ndarray) -> np.ndarray:
    """From when each span is pressing whatever the rows were that could not be read."""
    now_from, bound_s = held["now_from"].copy(), held["doubted_s"]
    for n in np.flatnonzero(now_from < OPEN):
        now_from[n] = doubts.past(
            held["subject"][n], int(reset_at[held["row"][n]]), int(now_from[n]), float(bound_s[n])
        )
    return np.where(now_from < held["end"], now_from, OPEN)


def _until_certain(
    points: Points, following: np.ndarray, sure: np.ndarray, applies: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """The points that hang together, as after each of them but the last the value only *may* have been reset: the
    number of each point's chain, and when it ends."""
    n = len(following)
    goes_on = np.zeros(n, bool)
    goes_on[:-1] = ~points.first[1:] & ~sure[1:] & applies[1:] & applies[:-1] & (points.at[1:] == following[:-1])
    chain = np.append(0, np.cumsum(~goes_on[:-1])) if n else np.empty(0, np.int64)
    last = np.flatnonzero(~goes_on)
    return chain, following[last][chain] if n else following


def _pressing_from(bounds: Bounds, start: np.ndarray, first_now: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """From when a span is `now` (at once if its urgency is, else past its pressing bound) and `round` or more."""
    past = np.where(first_now < OPEN, np.maximum(start, first_now), OPEN)
    now_from = np.where(bounds.urgency == NOW, start, past)
    return now_from, np.where(bounds.urgency == LOG, now_from, start)


def _joined(held: Columns) -> Columns:
    """Join spans that touch and rest on the same reset (an attribute changed while the rule went on holding)."""
    if len(held["start"]) < 2:
        return held
    goes_on = (
        (held["subject"][1:] == held["subject"][:-1])
        & (held["start"][1:] == held["end"][:-1])
        & (held["row"][1:] == held["row"][:-1])
    )
    if not goes_on.any():
        return held
    begins = np.flatnonzero(np.append(True, ~goes_on))
    joined = {name: column[begins] for name, column in held.items()}
    for name in ("end", "over"):
        joined[name] = held[name][np.append(begins[1:], len(goes_on) + 1) - 1]
    for name in ("now_from", "round_from"):
        joined[name] = np.minimum.reduceat(held[name], begins)
    return joined


def first_over(
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
        moments_of_subject = moments.get(subject[index])
        if moments_of_subject is None:
            continue
        wanted = int(np.searchsorted(moments_of_subject, reset_at[index], side="right")) + int(np.floor(bound[index]))
        if wanted < len(moments_of_subject):
            result[index] = moments_of_subject[wanted]
    return result


def least_of(chain: np.ndarray, moments: np.ndarray) -> np.ndarray:
    """The least of the moments of each point's chain."""
    if not len(chain):
        return moments
    return np.asarray(np.minimum.reduceat(moments, np.flatnonzero(np.append(True, chain[1:] != chain[:-1])))[chain])


# --- sampled ---------------------------------------------------------------------------------------------


def _sampled_spans(rule: Rule, measure: Measure, series: Series, tables: Tables, begun: Beginnings) -> Spans:
    """A reading past the raising bound starts a span, one within the clearing bound ends it, others change nothing.

    A change of attributes has no reading, but a `where` may let go of the subject. While a span lasts, what is usual is
    what was usual when it began.
    """
    points = points_of(rule, series, tables, change_first=True)
    bounds, at, first, n = bounds_of(rule, points.picked), points.at, points.first, len(points.at)
    found = held_readings(measure, series, points, bounds, begun)
    holds, before = found.holds, found.before
    held_last = np.append(False, holds[:-1])[:n]
    start_row = np.flatnonzero(holds & (first | ~held_last))
    run = np.cumsum(holds & (first | ~held_last)) - 1
    end_at = np.full(len(start_row), OPEN, dtype=np.int64)
    stops = np.flatnonzero(~holds & ~first & held_last)
    end_at[run[stops]] = at[stops]
    carried = before[start_row] & first[start_row]  # it lasted long enough before these rows begin
    start = at[start_row] + np.where(carried, 0, bounds.lasting_s[start_row])
    signed = np.where(points.real, bounds.sign * found.value[points.row], np.nan)
    now = holds & ((signed > bounds.now_past) | (bounds.urgency == NOW))
    held = {
        "subject": points.subject[start_row],
        "start": start,
        "end": end_at,
        "over": end_at,
        "since": np.where(carried, found.since[start_row], at[start_row]),
        "now_from": _first_in(run, now, at, start),
        "round_from": _first_in(run, now | (holds & (bounds.urgency != LOG)), at, start),
        "row": points.row[start_row],
        "next_reset": np.full(len(start_row), OPEN, dtype=np.int64),
        "next_told": np.full(len(start_row), OPEN, dtype=np.int64),
        "bound": (bounds.sign * bounds.raise_past)[start_row],
        "usual": found.usual[start_row],
    }
    keep = start < end_at
    return Spans({name: column[keep] for name, column in held.items()}, series, readings=found.value)


def _first_in(run: np.ndarray, marked: np.ndarray, at: np.ndarray, start: np.ndarray) -> np.ndarray:
    """Per run the moment of its first marked row, not before the run's start; OPEN if it has none."""
    firsts = np.full(len(start), OPEN, dtype=np.int64)
    np.minimum.at(firsts, run[marked], at[marked])
    return np.where(firsts < OPEN, np.maximum(firsts, start), OPEN)
