"""Cells of the tank and of the cows by month and year, and each tank's mean against the limit of the farm's rules."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np
import pandas as pd

from sentinel.flow.herd.compared import Verdict
from sentinel.flow.herd.history import HerdPast, months_back, years_back
from sentinel.flow.measures import measure_named
from sentinel.flow.measures.base.shape import Readings
from sentinel.flow.measures.cells.periods import PeriodMean, period_means
from sentinel.flow.model import DAY_S, name_of
from sentinel.flow.ordering import natural_key
from sentinel.flow.rules import Rule
from sentinel.flow.schedule.days import date_of
from sentinel.flow.settings.people import moment
from sentinel.flow.tables import Tables

MONTHS = 25
"""So many months are told of: this one, and each of two years before, so that its like of a year ago is there."""

A_YEAR_AGO_S = (330 * DAY_S, 400 * DAY_S)
"""A mean that was taken so long ago is that of a year ago."""


SOON_S = 62 * DAY_S
"""A year whose first count came within so long is known from its begin (our choice, no source)."""

ALIKE = 0.05
"""Means that differ by so small a part are alike (our choice, no source)."""


@dataclass(frozen=True, slots=True)
class CellsOver:
    """Cells over a month or a year: of the tank's tests, and of the cows'. `running`: it is not over yet."""

    tank: PeriodMean
    cows: PeriodMean
    running: bool

    @property
    def begins(self) -> int:
        """When it began."""
        return self.tank.begins

    @property
    def first_at(self) -> int | None:
        """Its first count, where that came so late that what was before is not known; None if it is known whole."""
        firsts = [one.first_at for one in (self.tank, self.cows) if one.first_at is not None]
        late = max(firsts, default=self.begins)
        return late if late - self.begins > SOON_S else None


@dataclass(frozen=True, slots=True)
class TankMean:
    """A tank's mean as the farm's rule on the limit takes it, at its last test, in k/ml.

    `mean_k_ml` is None where it cannot be told, and `why` says why. `headroom_k_ml`: what the next test may read with
    the mean still within the limit. `year_ago_k_ml`: the same mean a year ago (None: not known). `months`: over how
    many it is taken (0: a single test).
    """

    tank: str
    rule: str
    at: int
    mean_k_ml: float | None
    why: str
    limit_k_ml: float
    headroom_k_ml: float | None
    year_ago_k_ml: float | None
    months: int

    @property
    def room_k_ml(self) -> float | None:
        """How far it is below the limit; less than nothing: it is over it."""
        return None if self.mean_k_ml is None else self.limit_k_ml - self.mean_k_ml

    @property
    def verdict(self) -> Verdict:
        """Whether it is better or worse than a year ago; empty where that is not known."""
        if self.mean_k_ml is None or not self.year_ago_k_ml:
            return ""
        share = self.mean_k_ml / self.year_ago_k_ml
        return "better" if share < 1 - ALIKE else "worse" if share > 1 + ALIKE else "as-usual"


@dataclass(frozen=True, slots=True)
class HerdCells:
    """Cells of the tank and of the cows, the oldest first.

    `months` and `years` begin with the first that has any count. `same_part` is last year to the end of the same day as
    today, as a year that still runs is not to be held against a whole one; None where it is not known from its begin.
    """

    tanks: tuple[TankMean, ...]
    months: tuple[CellsOver, ...]
    years: tuple[CellsOver, ...]
    same_part: CellsOver | None
    limit_k_ml: float | None


def herd_cells(tables: Tables, past: HerdPast, rules: Mapping[str, Rule], zone: str, at: int) -> HerdCells:
    """The herd's cells as they are known at a moment."""
    tank, cows = (frame[frame["at"].to_numpy(np.int64) <= at] for frame in (past.tank, past.cow_tests))
    rule = limit_rule(rules)
    last_year = next(iter(_periods(tank, cows, [_same_part(at, zone)], at)), None)
    return HerdCells(
        tanks=() if rule is None else _tank_means(rule, replace(tables, tank=past.tank), at),
        months=_periods(tank, cows, months_back(at, zone, MONTHS), at),
        years=_periods(tank, cows, years_back(at, zone), at),
        same_part=None if last_year is None or last_year.first_at is not None else last_year,
        limit_k_ml=None if rule is None else rule.raise_over,
    )


def limit_rule(rules: Mapping[str, Rule]) -> Rule | None:
    """The rule on the tank's cells with the highest bound: the limit itself, not the warning before it."""
    on_cells = [
        rule
        for rule in rules.values()
        if rule.raise_over is not None and "tank.cells_k_ml" in measure_named(rule.measure).needs
    ]
    return max(on_cells, key=lambda rule: rule.raise_over or 0.0, default=None)


def _same_part(at: int, zone: str) -> tuple[int, int]:
    """Last year from its begin to the end of the same day as today; of 28 February where it had no 29th."""
    today = date_of(at, zone)
    first, ends = today.replace(month=1, day=1), today + timedelta(days=1)
    if (ends.month, ends.day) == (2, 29):
        ends += timedelta(days=1)
    return moment(first.replace(year=first.year - 1), 0, zone), moment(ends.replace(year=ends.year - 1), 0, zone)


def _periods(tank: pd.DataFrame, cows: pd.DataFrame, edges: list[tuple[int, int]], at: int) -> tuple[CellsOver, ...]:
    """The means of some months or years, from the first of them that has a count."""
    both = zip(period_means(tank, edges), period_means(cows, edges), strict=True)
    found = [CellsOver(of_tank, of_cows, of_tank.ends > at) for of_tank, of_cows in both]
    first = next((n for n, one in enumerate(found) if one.tank.tests or one.cows.tests), len(found))
    return tuple(found[first:])


def _tank_means(rule: Rule, tables: Tables, at: int) -> tuple[TankMean, ...]:
    """The rule's mean of each tank that was tested."""
    measure = measure_named(rule.measure)
    readings = measure.compute(tables, "tank", measure.settings(rule.options))
    assert isinstance(readings, Readings) and rule.raise_over is not None
    frame = readings.frame[readings.frame["at"].to_numpy(np.int64) <= at]
    found = []
    for subject in sorted(frame["subject"].unique(), key=natural_key):
        own = frame[(frame["subject"] == subject).to_numpy(bool)]
        moments, values = own["at"].to_numpy(np.int64), own["value"].to_numpy(float)
        near, far = (moments[-1] - back for back in A_YEAR_AGO_S)
        then = np.flatnonzero((moments <= near) & (moments > far) & np.isfinite(values))
        headroom = float(own["headroom_k_ml"].iloc[-1]) if "headroom_k_ml" in own else np.nan
        known = bool(np.isfinite(values[-1]))
        found.append(
            TankMean(
                name_of(str(subject)),
                rule.name,
                int(moments[-1]),
                float(values[-1]) if known else None,
                "" if known else str(own["why"].iloc[-1]),
                rule.raise_over,
                headroom if np.isfinite(headroom) and known else None,
                float(values[then[np.argmin(abs(moments[then] - moments[-1] + 365 * DAY_S))]]) if len(then) else None,
                3 if "headroom_k_ml" in own else 0,
            )
        )
    return tuple(found)
