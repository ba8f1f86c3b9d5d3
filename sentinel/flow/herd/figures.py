"""The herd's figures for the last 24 hours, compared with the two weeks before, and the weeks before those.

A day that is still running is not compared with whole ones: what is compared are stretches of 24 hours that end at the
same time of day, the last of them where the visits' known-until is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sentinel.flow.herd.compared import Compared, compared, mean
from sentinel.flow.measures.base.shape import Readings
from sentinel.flow.measures.milking.herd_days import HerdDay, herd_days
from sentinel.flow.measures.milking.lateness import LATE_SHARE
from sentinel.flow.model import DAY_S
from sentinel.flow.rules import Rule
from sentinel.flow.tables import Tables

DAYS = 14
"""So many days are usual, and so many before them."""

LATE_PCT = 10.0
"""On a good morning no more of the cows in milk are late than this (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Averages:
    """The herd's figures over some days, each their mean (None: not known)."""

    cows: float | None
    per_cow: float | None
    kg_per_cow: float | None
    unfinished_pct: float | None
    late_pct: float | None


@dataclass(frozen=True, slots=True)
class Figures:
    """The herd's last 24 h up to `until` against the `days` before them of which all is known (at most two weeks).

    `late_pct` is at the moment `until`, `late_bound` the bound of the farm's rule. `last`: the 24 h themselves; None
    where they are not known as a whole, as watching has just begun.
    """

    until: int
    days: int
    days_before: int
    last: HerdDay | None
    cows: Compared
    per_cow: Compared
    kg_per_cow: Compared
    unfinished_pct: Compared
    late_pct: Compared
    late_bound: float


def herd_figures(
    tables: Tables, rules: Mapping[str, Rule], until: int, year_before: Averages | None = None, span: int = DAYS
) -> Figures:
    """The figures of the last 24 h of which visits are known; `span`: how many days make up what is usual."""
    last = _whole(tables, until, 1, until)
    days = _whole(tables, until - DAY_S, span, until)
    before = _whole(tables, until - (1 + span) * DAY_S, DAYS, until)
    late = late_share_at(tables, rules, [until, *(day.ends - 1 for day in (*days, *before))])
    now = last[0] if last else None
    year = year_before or Averages(None, None, None, None, None)

    def of(name: str, more_is_better: bool | None) -> Compared:
        known, earlier = ([getattr(day, name) for day in some] for some in (days, before))
        return compared(getattr(now, name) if now else None, known, earlier, getattr(year, name), more_is_better)

    return Figures(
        until,
        len(days),
        len(before),
        now,
        of("cows", None),
        of("per_cow", True),
        of("kg_per_cow", True),
        of("unfinished_pct", False),
        compared(late[0], late[1 : 1 + len(days)], late[1 + len(days) :], year.late_pct, False),
        late_bound(rules),
    )


def averages(tables: Tables, rules: Mapping[str, Rule], until: int, days: int = DAYS) -> Averages | None:
    """The mean figures of the days that end at a moment; None where none of them is known as a whole."""
    known = _whole(tables, until, days, until)
    if not known:
        return None
    return Averages(
        mean([day.cows for day in known]),
        mean([day.per_cow for day in known]),
        mean([day.kg_per_cow for day in known]),
        mean([day.unfinished_pct for day in known]),
        mean(late_share_at(tables, rules, [day.ends - 1 for day in known])),
    )


def _whole(tables: Tables, end: int, days: int, until: int) -> tuple[HerdDay, ...]:
    """The days of 24 h that end at a moment and at the same time before, oldest first, as far as known as a whole."""
    edges = [(end + 1 - (n + 1) * DAY_S, end + 1 - n * DAY_S) for n in reversed(range(days))]
    return tuple(day for day in herd_days(tables, edges, until) if day.whole)


def late_rule(rules: Mapping[str, Rule]) -> Rule | None:
    """The farm's rule on the share of late cows, the first if there are several."""
    return next((rule for rule in rules.values() if rule.measure == LATE_SHARE.name), None)


def late_bound(rules: Mapping[str, Rule]) -> float:
    """The bound of the farm's rule on the share of late cows, in %; that of a good morning where no rule has one."""
    rule = late_rule(rules)
    return LATE_PCT if rule is None or rule.raise_over is None else rule.raise_over


def late_share_at(tables: Tables, rules: Mapping[str, Rule], moments: Sequence[int]) -> list[float | None]:
    """The share of late cows at each moment, in %, as the farm's rule counts them; None where it cannot be told."""
    rule = late_rule(rules)
    settings = LATE_SHARE.settings(rule.options if rule else {})
    readings = tables.derived.of(
        f"herd-late-share {settings}",
        (tables.visits, tables.cows, tables.unread, tables.farm.whole_herd_lists),
        lambda: LATE_SHARE.compute(tables, "herd", settings),
        brief=True,
    )
    assert isinstance(readings, Readings)
    at, share = readings.frame["at"].to_numpy(np.int64), readings.frame["value"].to_numpy(float)
    place = np.searchsorted(at, np.array(moments, dtype=np.int64), side="right") - 1
    return [float(share[n]) if n >= 0 and np.isfinite(share[n]) else None for n in place]
