"""What a measure gave, worked out once: the columns that a rule's spans rest on, whatever the rule's bounds are.

Everything here stays as it is when a threshold is moved, so that another threshold on a year of readings costs only
the comparing.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from sentinel.flow.measures.shape import Measure, Resets
from sentinel.flow.rulebook import Rule
from sentinel.flow.tables import Tables

OPEN = np.iinfo(np.int64).max
"""The end of a span that has not ended, and the moment of something that never happens."""

FAR = 1 << 34
"""Later than any moment in UTC seconds; a subject's place times this plus a moment sorts by subject, then time."""

Whole = NDArray[np.int64]


@dataclass(frozen=True)
class Worked:
    """A measure's resets (`elapsed`; with the events that are counted, if any) or readings, by subject, then time.

    `kept` holds what was found for a rule's `where` and its classes; rules that ask alike share it.
    """

    frame: pd.DataFrame
    elapsed: bool
    events: pd.DataFrame | None = None
    kept: dict[Hashable, Any] = field(default_factory=dict, repr=False, compare=False)

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
    def _telling(self) -> tuple[Whole, Whole]:
        """The readings that are not missing: their rows, and what sorts them by subject, then time."""
        rows = np.flatnonzero(~np.isnan(self.value))
        return rows, self.code[rows] * FAR + self.at[rows]

    def told(self, rows: Whole, moments: Whole) -> Whole:
        """The row of the same subject's latest reading up to each moment that is not missing; -1 if there is none."""
        telling, key = self._telling
        if not len(telling):
            return np.full(len(rows), -1)
        mine = self.code[rows]
        place = np.searchsorted(key, mine * FAR + np.clip(moments, 0, FAR - 1), side="right") - 1
        row = telling[place]
        return np.where((place >= 0) & (self.code[row] == mine), row, -1)

    def from_last(self, since: int) -> Worked:
        """The same with only each subject's last certain row up to a moment, and all that follow it."""
        replaced = self.next_sure <= since
        return replace(self, frame=self.frame[~replaced], kept={}) if replaced.any() else self


def firsts(subject: np.ndarray) -> NDArray[np.bool_]:
    """Which rows are the first of their subject, of rows sorted by subject."""
    return np.append(True, subject[1:] != subject[:-1]) if len(subject) else np.empty(0, bool)


def work_out(rule: Rule, measure: Measure, tables: Tables) -> Worked:
    """What the rule's measure gives for its kind of subject and its options."""
    result = measure.compute(tables, rule.per, measure.settings(rule.options))
    if isinstance(result, Resets):
        return Worked(result.frame, True, result.events)
    return Worked(result.frame, False)


def following(first: np.ndarray, at: np.ndarray) -> np.ndarray:
    """The moment of the same subject's next row; OPEN at its last."""
    following = np.full(len(at), OPEN, dtype=np.int64)
    if len(at):
        following[:-1] = np.where(first[1:], OPEN, at[1:])
    return following


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
        mine = moments.get(subject[index])
        if mine is None:
            continue
        wanted = int(np.searchsorted(mine, reset_at[index], side="right")) + int(np.floor(bound[index]))
        if wanted < len(mine):
            result[index] = mine[wanted]
    return result


def least_of(chain: np.ndarray, moments: np.ndarray) -> np.ndarray:
    """The least of the moments of each point's chain."""
    if not len(chain):
        return moments
    return np.asarray(np.minimum.reduceat(moments, np.flatnonzero(np.append(True, chain[1:] != chain[:-1])))[chain])
