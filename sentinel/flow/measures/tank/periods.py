"""The periods over which the tank's tests are averaged, and the geometric means over them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from sentinel.flow.measures.base.ordered import Ordered
from sentinel.flow.model import DAY_S

PAST_S = 94 * DAY_S
"""No three months are longer than 92 days."""


@dataclass(frozen=True, slots=True)
class Period:
    """How a mean is taken: over how many months, each with how many tests; `by_month`: from the months' own means."""

    months: int
    tests_a_month: int
    by_month: bool


@dataclass(frozen=True, slots=True)
class Past:
    """Per test (a row) it and those before it (newest first) as log counts, with their local seconds and months.

    `log`, `local`, `month` have one column for each test back; `there` says which columns are tests of the tank.
    """

    log: np.ndarray
    local: np.ndarray
    month: np.ndarray
    there: np.ndarray

    def before(self, first: Past) -> Past:
        """These columns after those of `first`."""
        return Past(*(np.hstack([getattr(first, n), getattr(self, n)]) for n in ("log", "local", "month", "there")))


def rounded(log_mean: np.ndarray) -> np.ndarray:
    """The mean itself, to a thousandth of a cell or bacterium per ml."""
    return np.asarray(np.round(np.exp(log_mean), 6))


def past_of(rows: Ordered, log: np.ndarray, factor: np.ndarray, zone: str) -> tuple[Past, np.ndarray]:
    """Each test with those less than 94 days before it, and each test's month."""
    local = _local(rows.at, zone)
    month = month_of(local)
    log = log + factor[month % 12]
    most = int((rows.up_to(rows.code, rows.at) - rows.up_to(rows.code, rows.at - PAST_S)).max(initial=1))
    place = np.arange(len(rows))[:, None] - np.arange(most)[None, :]
    back = np.maximum(place, 0)
    there = (place >= 0) & (rows.code[back] == rows.code[:, None]) & (rows.at[back] > rows.at[:, None] - PAST_S)
    return Past(log[back], local[back], month[back], there), month


def _local(at: np.ndarray, zone: str) -> np.ndarray:
    """UTC seconds as the seconds that the farm's clock shows."""
    moments = pd.DatetimeIndex(pd.to_datetime(at, unit="s", utc=True)).tz_convert(zone).tz_localize(None)
    return np.asarray(moments.as_unit("s").asi8)


def month_of(local: np.ndarray) -> np.ndarray:
    """Months since January 1970."""
    return np.asarray(local.astype("datetime64[s]").astype("datetime64[M]").astype(np.int64))


def months_before(local: np.ndarray, months: int) -> np.ndarray:
    """The same day and time a number of months before, in seconds; the last day of a month without that day.

    >>> float((months_before(np.array([58 * DAY_S]), 1)[0]) / DAY_S)  # 28 February to 28 January 1970
    27.0
    """
    day, second = np.divmod(local, DAY_S)
    date = day.astype("datetime64[D]")
    month = date.astype("datetime64[M]")
    day_of_month = date - month.astype("datetime64[D]")
    last = (month - months + 1).astype("datetime64[D]") - np.timedelta64(1, "D")
    back = np.minimum((month - months).astype("datetime64[D]") + day_of_month, last)
    return np.asarray(back.astype(np.int64) * DAY_S + second)


def inside_period(past: Past, local: np.ndarray, month: np.ndarray, period: Period) -> np.ndarray:
    """Which tests lie in the period that ends at each row's moment."""
    if period.by_month:
        return np.asarray(past.there & (past.month > (month - period.months)[:, None]))
    return np.asarray(past.there & (past.local > months_before(local, period.months)[:, None]))


def sums(past: Past, inside: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The sum of the logs inside, and how many; from the newest on, so it is the same however much past is known."""
    return np.cumsum(np.where(inside, past.log, 0.0), axis=1)[:, -1], np.count_nonzero(inside, axis=1)


def log_mean(past: Past, local: np.ndarray, month: np.ndarray, period: Period) -> tuple[np.ndarray, np.ndarray]:
    """The log of each period's mean (NaN with no test in it, or by month in one of the months) and its tests."""
    inside = inside_period(past, local, month, period)
    total, number = sums(past, inside)
    if not period.by_month:
        return quotient(total, number), number
    means = np.zeros(len(month))
    for back in range(period.months):
        means = means + quotient(*sums(past, inside & (past.month == (month - back)[:, None])))
    return means / period.months, number


def quotient(total: np.ndarray, number: np.ndarray) -> np.ndarray:
    """A sum over its number; NaN where there is none."""
    mean = np.full(len(total), np.nan)
    np.divide(total, number, out=mean, where=number > 0)
    return mean


def enough(past: Past, month: np.ndarray, number: np.ndarray, period: Period) -> np.ndarray:
    """Whether each whole month of the period, and all together, have their number of tests."""
    has_all = number >= period.months * period.tests_a_month
    for back in range(1, period.months):
        here = past.there & (past.month == (month - back)[:, None])
        has_all &= np.count_nonzero(here, axis=1) >= period.tests_a_month
    return np.asarray(has_all)


def too_few(past: Past, month: np.ndarray, number: np.ndarray, period: Period) -> np.ndarray:
    """Why a mean cannot be told; empty where it can."""
    why = np.full(len(number), "", dtype=object)
    needed = period.months * period.tests_a_month
    each = "none" if period.tests_a_month == 1 else f"fewer than {period.tests_a_month}"
    for row in np.flatnonzero(~enough(past, month, number, period)):
        tests = f"{number[row]} {'test' if number[row] == 1 else 'tests'} in {period.months} months"
        why[row] = (
            f"only {tests}, and the mean needs {needed}"
            if number[row] < needed
            else f"{tests}, but {each} in one of the months"
        )
    return why
