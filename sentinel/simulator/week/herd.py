"""The invented cows: stage of lactation, yield, how often they come, how they attach, their quarters and teats."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from sentinel.simulator.week.parameters import Parameters

Numbers = NDArray[np.float64]

SHORTEST_INTERVAL_H = {4: 5.0, 3: 5.5, 2: 7.0, 1: 16.0}
"""How soon a cow allowed so many milkings a day is let in again, in hours (assumption)."""

INTERVAL_FACTOR = {4: 0.90, 3: 1.0, 2: 1.15, 1: 2.35}
"""Her mean interval over the herd's (assumption: late cows come less often)."""

TEATS_MM = np.array([[415.0, 72.0, 492.0], [415.0, -72.0, 492.0], [332.0, 34.0, 486.0], [332.0, -34.0, 486.0]])
"""Mean place of the teats LF, RF, LR, RR along, across and above the box's own origin, in mm (assumption)."""

TEATS_SPREAD_MM = np.array([22.0, 9.0, 26.0])
"""How much cows differ in it, in mm per axis (assumption)."""


FRESHEST_DAYS = 25
"""Days in milk of the freshest cow: none calves within the weeks that are simulated (assumption)."""


@dataclass(frozen=True, slots=True)
class Herd:
    """The cows, one place in each array; the cows that are dry from the start have `milking` False."""

    numbers: tuple[str, ...]
    milking: NDArray[np.bool_]
    lactation: NDArray[np.int64]
    calved_on: tuple[date, ...]
    allowed: NDArray[np.int64]
    interval_mean_h: Numbers
    kg_h: Numbers
    flow_kg_min: Numbers
    failed_share: Numbers
    attach_median_s: Numbers
    box_liking: Numbers  # cow x box, how often she takes which
    conductivity: Numbers  # cow x quarter, mS/cm
    quarter_share: Numbers  # cow x quarter, sums to 1
    teats_mm: Numbers  # cow x quarter x axis

    def place(self, number: str) -> int:
        """Where the cow of that number stands in the arrays."""
        return self.numbers.index(number)


def allowed_milkings(days_in_milk: int) -> int:
    """Milkings a day a cow is allowed at that stage (assumption: fewer as the lactation goes on).

    >>> [allowed_milkings(d) for d in (20, 150, 280)]
    [4, 3, 2]
    """
    return 4 if days_in_milk < 100 else 3 if days_in_milk < 230 else 2


def stage_factor(days_in_milk: Numbers) -> Numbers:
    """Yield at a stage over the herd's mean: a lactation curve of Wood's form, peak near day 55 (from memory)."""
    day = np.maximum(days_in_milk, 4.0)
    curve = day**0.2 * np.exp(-0.0036 * day)
    return np.asarray(curve / curve.mean(), dtype=np.float64)


def make_herd(parameters: Parameters, in_milk: int, dry: int, boxes: int, today: date, rng: Generator) -> Herd:
    """A herd of `in_milk` cows in milk and `dry` dry cows as it stands on the day `today`."""
    p, n = parameters, in_milk + dry
    numbers = np.sort(rng.choice(np.arange(11, 11 + 3 * n), size=n, replace=False))
    milking = np.ones(n, dtype=bool)
    milking[rng.choice(n, size=dry, replace=False)] = False
    lactation = np.minimum(1 + rng.geometric(0.36, size=n) - 1, 7)
    days = np.where(milking, rng.integers(FRESHEST_DAYS, 305, size=n), rng.integers(310, 350, size=n))
    allowed = np.where(milking, [allowed_milkings(int(d)) for d in days], 0)

    factor = np.array([INTERVAL_FACTOR.get(int(a), 1.0) for a in allowed])
    kg_h = p.yield_kg_h * stage_factor(days.astype(float)) * np.where(lactation == 1, 0.82, 1.06)
    level = p.conductivity_mean + p.conductivity_cows * rng.standard_normal((n, 1))
    quarters = level + p.conductivity_quarters * rng.standard_normal((n, 4))
    rear = np.clip(p.rear_share + 0.03 * rng.standard_normal(n), 0.46, 0.66)
    halves = np.stack([1 - rear, 1 - rear, rear, rear], axis=1) / 2
    share = halves * (1 + 0.06 * rng.standard_normal((n, 4)))
    chance = rng.beta(p.failed_share * p.failed_spread, (1 - p.failed_share) * p.failed_spread, size=n)
    failing = chance / (1 - chance)  # failed visits per milking, whose mean over the herd is as stated
    failing *= p.failed_share / failing.mean()
    cow_teats = TEATS_SPREAD_MM * rng.standard_normal((n, 1, 3))
    return Herd(
        numbers=tuple(str(x) for x in numbers.tolist()),
        milking=milking,
        lactation=lactation,
        calved_on=tuple(today - timedelta(days=int(d)) for d in days),
        allowed=allowed,
        interval_mean_h=p.interval_mean_h * p.interval_wish * factor * np.exp(0.05 * rng.standard_normal(n)),
        kg_h=kg_h * np.exp(p.yield_spread * rng.standard_normal(n)),
        flow_kg_min=np.clip(p.flow_kg_min + p.flow_spread_kg_min * rng.standard_normal(n), 1.4, 4.2),
        failed_share=failing / (1 + failing),
        attach_median_s=p.attach_median_s * np.exp(0.2 * rng.standard_normal(n)),
        box_liking=rng.dirichlet(np.full(boxes, 6.0), size=n),
        conductivity=np.clip(quarters, p.conductivity_low, p.conductivity_high),
        quarter_share=share / share.sum(axis=1, keepdims=True),
        teats_mm=TEATS_MM + cow_teats + np.array([8.0, 5.0, 6.0]) * rng.standard_normal((n, 4, 3)),
    )
