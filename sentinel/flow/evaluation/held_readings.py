"""Where a rule on readings holds; while it does, what is usual stays what was usual when it began.

A quarter that is ill for days becomes its own usual, and its next reading looks like a recovery. So a reading that
follows one that was past its bound is compared with what was usual before the trouble, until it is back there, or has
been away for so long (`FROZEN_FOR_S`) that this is what is usual now.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from sentinel.flow.evaluation.rule_bounds import Bounds
from sentinel.flow.evaluation.series import OPEN, Points, Series
from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.model import DAY_S, Subject

FROZEN_FOR_S = 21 * DAY_S
"""A cow that gives less for good, or a quarter that stays high, has a new usual after three weeks (our choice, no
source)."""


@dataclass(frozen=True, slots=True)
class Began:
    """How the newest alert of a subject began: since when the rule held, and what was usual then (None if nothing is).

    `last`: of one that is over, the moment of the last reading by which it held; readings up to there belonged to it
    and begin nothing anew. None if it stands: then readings before it belonged to what was over by then, and begin
    nothing either, if what was usual then is known.
    """

    since: int
    usual: float | None = None
    last: int | None = None


Beginnings = Mapping[Subject, Began]
"""How the newest alert of each subject of a rule began: of those that stand, and of those whose readings may be seen
again although they are over."""


@dataclass(frozen=True, slots=True)
class Held:
    """Arrays of the points, but for `value`, which is of the series' rows.

    `holds`: whether the rule does. `before`, `since`: whether it did for the subject before its first point, and since
    when (OPEN if not). `usual`: what was usual when the stretch began that a point belongs to; NaN in none. `value`:
    the readings, in the measure's unit, those of such a stretch and the one that ends it by that usual.
    """

    holds: np.ndarray
    before: np.ndarray
    since: np.ndarray
    usual: np.ndarray
    value: np.ndarray


def held_readings(measure: Measure, series: Series, points: Points, bounds: Bounds, begun: Beginnings) -> Held:
    """Where a rule with these bounds holds.

    A reading past the raising bound begins a stretch, one within the clearing bound ends it, others change nothing.
    """
    before, since, began_with, spent = _before(points, begun)
    holds = _carried(_marks(points, bounds, series.value, spent), points.first, before)
    usual_of_point = np.full(len(points.at), np.nan)
    begun_before = points.first & before
    looked_at = holds | begun_before
    if measure.as_usual_was is None or not looked_at.any():
        return Held(holds, before, since, usual_of_point, series.value)
    subjects = np.cumsum(points.first) - 1
    some = np.zeros(int(subjects[-1]) + 1, bool)
    some[subjects[looked_at]] = True
    here = np.flatnonzero(some[subjects])
    value = series.value.copy()
    while len(here):  # what comes first is settled first: every turn settles the next end of each subject's stretches
        part, carried, part_holds = points.only(here), begun_before[here], holds[here]
        usual_now = np.where(carried, began_with[here], series.frame[measure.usual].to_numpy(float)[part.row])
        begun_at = np.where(carried, since[here], part.at)
        held_last = np.append(False, part_holds[:-1]) & ~part.first | carried
        begins = part_holds & ~held_last
        start = np.maximum.accumulate(np.where(begins | carried, np.arange(len(here)), 0))
        lately = part.at <= begun_at[start] + FROZEN_FOR_S
        usual = np.where((part_holds | held_last) & lately, usual_now[start], np.nan)
        judged = np.flatnonzero(held_last & part.real & ~np.isnan(usual))
        rows = part.row[judged]
        value[part.row] = series.value[part.row]
        value[rows] = _values_by_usual(measure, bounds.sign, series.frame.iloc[rows], usual[judged])
        now = _carried(_marks(part, bounds.only(here), value, spent[here]), part.first, before[here])
        holds[here], usual_of_point[here] = now, np.where(now, usual, np.nan)
        moved = np.zeros(int(subjects[-1]) + 1, bool)
        moved[subjects[here[now != part_holds]]] = True
        here = here[moved[subjects[here]]]  # a subject of which nothing moved is settled, whatever the others do
    return Held(holds, before, since, usual_of_point, value)


def by_usual(measure: Measure, sign: int, rows: pd.DataFrame, usual: np.ndarray) -> pd.DataFrame:
    """Some readings as they are by what was usual once, but where they are worse by what is usual now.

    What began by the one so ends by both, and a reading that ended it can begin nothing by itself. `sign`: +1 if a
    higher value is worse, -1 if a lower one is.
    """
    if measure.as_usual_was is None or not len(rows):
        return rows
    then = measure.as_usual_was(rows, usual)
    milder = _milder(sign, then, rows, usual)
    return then.where(pd.Series(~milder, rows.index), rows) if milder.any() else then


def _values_by_usual(measure: Measure, sign: int, rows: pd.DataFrame, usual: np.ndarray) -> np.ndarray:
    """The values of the same: putting whole rows together takes several times as long as working the values out."""
    if measure.as_usual_was is None or not len(rows):
        return rows["value"].to_numpy(float)
    then = measure.as_usual_was(rows, usual)
    milder = _milder(sign, then, rows, usual)
    return np.where(milder, rows["value"].to_numpy(float), then["value"].to_numpy(float))


def _milder(sign: int, then: pd.DataFrame, rows: pd.DataFrame, usual: np.ndarray) -> NDArray[np.bool_]:
    """Which of some readings are worse by what is usual now than by what was usual once."""
    was, is_now = then["value"].to_numpy(float), rows["value"].to_numpy(float)
    return np.asarray((sign * was < sign * is_now) | np.isnan(usual))


def _marks(points: Points, bounds: Bounds, value: np.ndarray, spent: np.ndarray) -> np.ndarray:
    """Per point 1 if it makes the rule hold, -1 if it ends that, 0 if it changes nothing.

    `spent`: those that may begin nothing.
    """
    signed = np.where(points.real, bounds.sign * value[points.row], np.nan)
    mark = np.zeros(len(points.at), dtype=np.int8)
    mark[(signed > bounds.raise_past) & ~spent] = 1
    own_clear = ~np.isnan(bounds.clear_within)
    mark[np.where(own_clear, signed < bounds.clear_within, signed <= bounds.raise_past)] = -1
    mark[~bounds.applies] = -1
    return mark


def _before(points: Points, begun: Beginnings) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Per point whether the rule held for its subject before the first of its points, since when, and by what usual.

    And whether the point belonged to an alert that is over.
    """
    n, firsts = len(points.at), np.flatnonzero(points.first)
    if not begun or not n:
        return np.zeros(n, bool), np.full(n, OPEN, dtype=np.int64), np.full(n, np.nan), np.zeros(n, bool)
    alerts = [begun.get(subject) for subject in points.subject[firsts]]
    subject = np.cumsum(points.first) - 1

    def of_points(values: list[float], kind: type) -> np.ndarray:
        return np.asarray(np.array(values, dtype=kind)[subject])

    since = of_points([OPEN if one is None or one.last is not None else one.since for one in alerts], np.int64)
    last = of_points([-OPEN if one is None else _over_by(one) for one in alerts], np.int64)
    usual = of_points([np.nan if one is None or one.usual is None else one.usual for one in alerts], float)
    return since < points.at[firsts][subject], since, usual, points.at <= last


def _over_by(began: Began) -> int:
    """The last moment at which a reading may begin nothing."""
    if began.last is not None:
        return began.last
    return -OPEN if began.usual is None else began.since - 1


def _carried(mark: np.ndarray, first: np.ndarray, before: np.ndarray) -> np.ndarray:
    """Whether the rule holds at each point: the last mark that is not zero decides; before any, what was before."""
    decided = np.where(mark != 0, np.arange(len(mark)), -1)
    begin = np.maximum.accumulate(np.where(first, np.arange(len(mark)), 0)) if len(mark) else decided
    latest = np.maximum.accumulate(decided) if len(mark) else decided
    here = latest >= begin
    return np.where(here, mark[np.maximum(latest, 0)] == 1, before)
