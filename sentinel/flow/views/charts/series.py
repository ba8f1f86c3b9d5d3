"""What a rule's own measure read on one subject over time, and the bounds that applied to it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from sentinel.flow.evaluation.attributes import attributes_at, herd_changes
from sentinel.flow.evaluation.rule_bounds import bounds_at
from sentinel.flow.measures import measure_named
from sentinel.flow.measures.base.shape import Readings
from sentinel.flow.model import Subject, name_of
from sentinel.flow.rules import Rule
from sentinel.flow.tables import Tables
from sentinel.flow.views.parts.timeline import GLANCE_S


@dataclass(frozen=True, slots=True)
class Series:
    """Readings of a rule's measure, oldest first, in `unit`; `bound` and `now_bound` are those of the newest reading.

    `over`: the rule raises over its bound (else under it).
    """

    points: tuple[tuple[int, float], ...]
    unit: str
    bound: float | None
    now_bound: float | None
    over: bool


def series_of(rule: Rule, subject: Subject, tables: Tables, at: int, back_s: int = GLANCE_S) -> Series | None:
    """The readings of one subject in (at - back_s, at]; None for a measure of elapsed time, which has none."""
    measure = measure_named(rule.measure)
    if rule.per in ("cow", "quarter") and not measure.herd_wide:
        tables = tables.of_cows({name_of(subject).partition("/")[0]})
    readings = measure.compute(tables, rule.per, measure.settings(rule.options))
    if not isinstance(readings, Readings):
        return None
    moments = readings.frame["at"].to_numpy(np.int64)
    wanted = (readings.frame["subject"] == subject).to_numpy(bool) & (moments > at - back_s) & (moments <= at)
    rows = readings.frame[wanted].reset_index(drop=True)
    points = tuple(
        (int(moment), float(value))
        for moment, value in zip(rows["at"], rows["value"], strict=True)
        if np.isfinite(value)
    )
    bound, now_bound = _bounds(rule, rows.tail(1).reset_index(drop=True), tables)
    return Series(points, rule.unit or measure.unit, bound, now_bound, rule.raise_under is None)


def _bounds(rule: Rule, row: pd.DataFrame, tables: Tables) -> tuple[float | None, float | None]:
    """The raising and the pressing bound at a reading."""
    if row.empty:
        return rule.bound, rule.now_under if rule.raise_over is None else rule.now_over
    bounds = bounds_at(rule, attributes_at(rule, row, herd_changes(tables), tables), 1)
    ends = (bounds.sign * float(bounds.raise_past[0]), bounds.sign * float(bounds.now_past[0]))
    raising, pressing = (None if np.isnan(end) else end for end in ends)
    return raising, pressing
