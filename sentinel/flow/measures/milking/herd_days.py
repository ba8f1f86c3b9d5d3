"""What the herd gave in each of some days: its milkings as the rules count them, its milk, what was broken off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sentinel.flow.measures.milking.lateness import HerdCounts, herd_counts
from sentinel.flow.measures.milking.outcomes import outcomes
from sentinel.flow.tables import Tables

WEIGHED_SHARE = 0.95
"""Of so many of a stretch's milkings a figure must be known, or it is not told of all (our choice, no source)."""


@dataclass(frozen=True, slots=True)
class HerdDay:
    """A stretch of a day's length, from `begins` until before `ends`.

    `cows` are in milk as it ends and `milkings` the whole ones, both as `milkings_per_cow_day` counts them; `milk_kg`
    is all milk of it, broken off milkings' too (None: hardly weighed). Of the `tries` so many were `broken_off`
    (incomplete) and so many `failed` to attach. `whole`: visits are known from before its begin to its end, and no
    export of them was unreadable.
    """

    begins: int
    ends: int
    cows: int
    milkings: int
    milk_kg: float | None
    tries: int
    broken_off: int
    failed: int
    whole: bool

    @property
    def per_cow(self) -> float | None:
        """Milkings to a cow in milk; None where there is none."""
        return self.milkings / self.cows if self.cows else None

    @property
    def kg_per_cow(self) -> float | None:
        """Milk to a cow in milk, in kg."""
        return self.milk_kg / self.cows if self.cows and self.milk_kg is not None else None

    @property
    def unfinished_pct(self) -> float | None:
        """Milkings broken off or failed, in % of the tries."""
        return 100.0 * (self.broken_off + self.failed) / self.tries if self.tries else None


def herd_days(tables: Tables, edges: Sequence[tuple[int, int]], until: int) -> tuple[HerdDay, ...]:
    """The herd's days between pairs of moments, as far as visits are known, `until`.

    Of one that goes on beyond it what is known so far; one that begins past it, or ends before the first visit, is
    left out.
    """
    visits = tables.visits
    start = visits["start"].to_numpy(np.int64)
    if not len(start):
        return ()
    (how, herd), kg, first = counted(tables), visits["milk_kg"].to_numpy(float), int(start[0])
    days = []
    for begins, ends in edges:
        if ends <= first or begins > until:
            continue
        last = min(ends - 1, until)
        here = slice(*(int(n) for n in np.searchsorted(start, [begins, last + 1])))
        moment = np.array([last])
        counts = {name: int((how[here] == name).sum()) for name in ("milked", "incomplete", "failed")}
        days.append(
            HerdDay(
                begins,
                ends,
                int(herd.cows(moment)[0]),
                int(herd.milkings(np.array([begins - 1]), moment)[0]),
                all_milk(kg[here], counts["milked"] + counts["incomplete"]),
                sum(counts.values()),
                counts["incomplete"],
                counts["failed"],
                first <= begins and ends - 1 <= until and not herd.is_missing(begins, last),
            )
        )
    return tuple(days)


def counted(tables: Tables) -> tuple[np.ndarray, HerdCounts]:
    """How each visit ended, and the herd's counts: worked out once for all who ask before other rows come."""
    rests_on = (tables.visits, tables.cows, tables.unread, tables.farm.whole_herd_lists)
    return tables.derived.of("herd-days", rests_on, lambda: (outcomes(tables.visits), herd_counts(tables)), brief=True)


def all_milk(kg: np.ndarray, milkings: int) -> float | None:
    """The kg of some visits added up; None where too few of their milkings were weighed to tell it of all."""
    weighed = np.isfinite(kg)
    if milkings and np.count_nonzero(weighed) < WEIGHED_SHARE * milkings:
        return None
    return float(kg[weighed].sum())
