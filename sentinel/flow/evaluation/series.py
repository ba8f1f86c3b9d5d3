"""The series of values that a measure gives, by subject, and the moments in it at which an attribute changes.

Everything here stays as it is when a threshold is moved, so that another threshold on a year of readings costs only
the comparing.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from sentinel.flow.evaluation.attributes import asked, attributes_at, cow_of, herd_changes
from sentinel.flow.evaluation.rule_bounds import Picked, picked_at
from sentinel.flow.measures.base.shape import Measure, Resets
from sentinel.flow.rules import Rule
from sentinel.flow.tables import Tables

OPEN = np.iinfo(np.int64).max
"""The end of a span that has not ended, and the moment of something that never happens."""

FAR = 1 << 34
"""Later than any moment in UTC seconds; a subject's place times this plus a moment sorts by subject, then time."""

Whole = NDArray[np.int64]


def series_of(rule: Rule, measure: Measure, tables: Tables) -> Series:
    """What the rule's measure gives for its kind of subject and its options."""
    result = measure.compute(tables, rule.per, measure.settings(rule.options))
    if isinstance(result, Resets):
        return Series(result.frame, True, result.events)
    return Series(result.frame, False)


@dataclass(frozen=True)
class Series:
    """A measure's resets (`elapsed`; with the events that are counted, if any) or readings, by subject, then time.

    `points` holds what was found for a rule's `where` and its classes; rules that ask alike share it.
    """

    frame: pd.DataFrame
    elapsed: bool
    events: pd.DataFrame | None = None
    points: dict[Hashable, Points] = field(default_factory=dict, repr=False, compare=False)

    @cached_property
    def subject(self) -> NDArray[np.object_]:
        """The subject of each row."""
        return np.asarray(self.frame["subject"].to_numpy(object))

    @cached_property
    def at(self) -> Whole:
        """The moment of each row, in UTC seconds."""
        return np.asarray(self.frame["at"].to_numpy(np.int64))

    @cached_property
    def value(self) -> NDArray[np.float64]:
        """The reading of each row, in the measure's unit; NaN where it cannot be told."""
        return np.asarray(self.frame["value"].to_numpy(float))

    @cached_property
    def sure(self) -> NDArray[np.bool_]:
        """Which resets are certain; the others only may be one."""
        return self.frame["sure"].to_numpy(bool) if "sure" in self.frame else np.ones(len(self.at), bool)

    @cached_property
    def last_sure(self) -> Whole:
        """The moment of the same subject's latest certain reset up to each row; -FAR if there is none."""
        place = np.maximum.accumulate(np.where(self.sure, np.arange(len(self.at)), -1)) if len(self.at) else self.at
        hers = place >= np.maximum.accumulate(np.where(self.first, np.arange(len(self.at)), 0))
        return np.where(hers, self.at[np.maximum(place, 0)], -FAR) if len(self.at) else self.at

    @cached_property
    def next_sure(self) -> Whole:
        """The moment of the same subject's next certain reset after each row; FAR if there is none."""
        n = len(self.at)
        place = np.append(np.minimum.accumulate(np.where(self.sure, np.arange(n), n)[::-1])[::-1], n)[1:]
        there = place < n
        there[there] = self.code[place[there]] == self.code[there]
        return np.where(there, self.at[np.minimum(place, n - 1)], FAR) if n else self.at

    @cached_property
    def first(self) -> NDArray[np.bool_]:
        """Which rows are the first of their subject."""
        return firsts(self.subject)

    @cached_property
    def code(self) -> Whole:
        """The number of each row's subject, counted from 0."""
        return np.asarray(np.cumsum(self.first) - 1)

    @cached_property
    def _readings(self) -> tuple[Whole, Whole]:
        """The readings that are not missing: their rows, and what sorts them by subject, then time."""
        rows = np.flatnonzero(~np.isnan(self.value))
        return rows, self.code[rows] * FAR + self.at[rows]

    def latest(self, rows: Whole, moments: Whole) -> Whole:
        """The row of the same subject's latest reading up to each moment that is not missing; -1 if there is none."""
        telling, key = self._readings
        if not len(telling):
            return np.full(len(rows), -1)
        codes = self.code[rows]
        place = np.searchsorted(key, codes * FAR + np.clip(moments, 0, FAR - 1), side="right") - 1
        row = telling[place]
        return np.where((place >= 0) & (self.code[row] == codes), row, -1)

    def from_last(self, since: int) -> Series:
        """The same with only each subject's last certain row up to a moment, and all that follow it."""
        replaced = self.next_sure <= since
        return replace(self, frame=self.frame[~replaced], points={}) if replaced.any() else self


@dataclass(frozen=True, slots=True)
class Points:
    """A measure's rows and, between them, the moments at which an attribute that the rule asks for changes.

    Sorted by subject, then time. `row` is the row in `facts` that stands at a point, `real` whether the point is it,
    `first` whether it is its subject's first; `picked` is what the rule's `where` and classes pick.
    """

    subject: np.ndarray
    at: np.ndarray
    row: np.ndarray
    real: np.ndarray
    first: np.ndarray
    picked: Picked

    def only(self, places: np.ndarray) -> Points:
        """Some of the points: all of some subjects'."""
        picked = Picked(self.picked.applies[places], self.picked.kind[places])
        parts = (self.subject, self.at, self.row, self.real, self.first)
        subject, at, row, real, first = (part[places] for part in parts)
        return Points(subject, at, row, real, first, picked)


def points_of(rule: Rule, series: Series, tables: Tables, change_first: bool) -> Points:
    """The rows of a measure with the herd's changes after each subject's first row; rules that ask alike share them.

    `change_first`: of a change and a row at the same moment the change comes first.
    """
    asks = (tuple(sorted(rule.where.items())), *(tuple(sorted(one.where.items())) for one in rule.classes))
    if asks not in series.points:
        series.points[asks] = _points_of(rule, series, tables, change_first)
    return series.points[asks]


def _points_of(rule: Rule, series: Series, tables: Tables, change_first: bool) -> Points:
    """The same, worked out."""
    subject, at, first = series.subject, series.at, series.first
    row, real = np.arange(len(at)), np.ones(len(at), bool)
    if not asked(rule):
        return Points(subject, at, row, real, first, picked_at(rule, {}, len(at)))
    changes = herd_changes(tables)
    if rule.per in ("cow", "quarter") and len(changes) and len(at):
        who, when = _changes_after(series.frame[first], changes)
        code = np.append(series.code, who)
        at, real = np.append(at, when), np.append(real, np.zeros(len(when), bool))
        order = np.lexsort((real if change_first else ~real, at, code))
        at, real, subject = at[order], real[order], subject[first][code[order]]
        row = np.maximum.accumulate(np.append(row, np.full(len(when), -1))[order])
        first = firsts(code[order])
    frame = pd.DataFrame({"subject": subject, "at": at})
    if "box" in series.frame:
        frame["box"] = series.frame["box"].to_numpy(object)[row]
    picked = picked_at(rule, attributes_at(rule, frame, changes, tables), len(at))
    return Points(subject, at, row, real, first, picked)


def _changes_after(first: pd.DataFrame, changes: pd.DataFrame) -> tuple[np.ndarray, np.ndarray]:
    """The changes of each subject's cow after its first row: the subject's place, and the moment of the change."""
    owner = changes["cow"].to_numpy(object)
    begins = np.flatnonzero(firsts(owner))
    ends = np.append(begins[1:], len(owner))
    place = pd.Index(owner[begins]).get_indexer(pd.Index(cow_of(first["subject"]).to_numpy(object)))
    begin, end = np.where(place >= 0, begins[place], 0), np.where(place >= 0, ends[place], 0)
    number = end - begin
    who = np.repeat(np.arange(len(first)), number)
    when = changes["from"].to_numpy(np.int64)[
        np.arange(number.sum()) + np.repeat(begin - np.cumsum(number) + number, number)
    ]
    later = when > first["at"].to_numpy(np.int64)[who]
    return who[later], when[later]


def firsts(subject: np.ndarray) -> NDArray[np.bool_]:
    """Which rows are the first of their subject, of rows sorted by subject."""
    return np.append(True, subject[1:] != subject[:-1]) if len(subject) else np.empty(0, bool)


def following(first: np.ndarray, at: np.ndarray) -> np.ndarray:
    """The moment of the same subject's next row; OPEN at its last."""
    following = np.full(len(at), OPEN, dtype=np.int64)
    if len(at):
        following[:-1] = np.where(first[1:], OPEN, at[1:])
    return following


def up_to(subjects: np.ndarray, at: np.ndarray, subject: np.ndarray, moment: np.ndarray) -> np.ndarray:
    """In rows sorted by subject, then time: the place after the last row up to each (subject, moment).

    Before a subject's first row this is that row's own place, so the row before is another subject's; for a
    subject without a row it is 0.
    """
    if not len(subjects) or not len(subject):
        return np.zeros(len(subject), np.int64)
    first = firsts(subjects)
    key = (np.cumsum(first) - 1) * 2 * FAR + np.clip(at, -FAR, FAR - 1)
    code = pd.Index(subjects[first]).get_indexer(pd.Index(subject))
    places = np.searchsorted(key, code * 2 * FAR + np.clip(moment, -FAR, FAR - 1), side="right")
    return np.asarray(np.where(code >= 0, places, 0))
