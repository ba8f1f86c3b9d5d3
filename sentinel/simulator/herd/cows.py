"""The cows: how much each gives, how she comes and attaches, her quarters and teats; and what her stage makes of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sentinel.simulator.figures import HerdFigures, MilkFigures
from sentinel.simulator.spec import Dice, Numbers

INTERVAL_FACTOR = {4: 0.90, 3: 1.0, 2: 1.15}
"""Her mean interval over the herd's (assumption: late cows come less often)."""

TEATS_MM = np.array([[415.0, 72.0, 492.0], [415.0, -72.0, 492.0], [332.0, 34.0, 486.0], [332.0, -34.0, 486.0]])
"""Mean place of the teats LF, RF, LR, RR along, across and above the box's own origin, in mm (assumption)."""

TEATS_SPREAD_MM = np.array([22.0, 9.0, 26.0])
"""How much cows differ in it, in mm per axis (assumption)."""


SHORTEST_INTERVAL_H = {4: 5.4, 3: 5.9, 2: 7.0, 1: 16.0}
"""How soon a cow allowed so many milkings a day is let in again, in hours (assumption)."""

ONCE_A_DAY_H = 20.2
"""Mean interval of a cow that is allowed one milking a day, in hours (assumption)."""


@dataclass(frozen=True, slots=True)
class Cows:
    """Every cow that is ever in the herd, one in each place of the arrays."""

    numbers: tuple[str, ...]
    failed: Numbers
    attach_s: Numbers
    flow_kg_min: Numbers
    kg_h: Numbers
    interval: Numbers
    liking: Numbers  # cow x box
    noise: Numbers
    level: Numbers  # cow x quarter, mS/cm
    share: Numbers  # cow x quarter, sums to 1
    teats_mm: Numbers  # cow x quarter x axis
    cells: Numbers
    once_a_day: frozenset[int] = frozenset()  # cows that are allowed one milking a day


def make_cows(herd: HerdFigures, milk: MilkFigures, n: int, boxes: int, dice: Dice) -> Cows:
    """`n` cows of one herd; the herd's own level of conductivity and of failures is drawn as well."""
    rng = dice.of("cows")
    numbers = rng.permutation(np.arange(11, 11 + 3 * n))[:n]
    failed = herd.failed * np.exp(herd.failed_herds * rng.standard_normal())
    of_herd = milk.level_mS_cm + milk.level_herds_mS_cm * rng.standard_normal()
    level = of_herd + milk.level_cows_mS_cm * rng.standard_normal((n, 1))
    rear = np.clip(herd.rear_share + 0.03 * rng.standard_normal(n), 0.46, 0.66)
    share = np.stack([1 - rear, 1 - rear, rear, rear], axis=1) / 2 * (1 + 0.06 * rng.standard_normal((n, 4)))
    teats = TEATS_MM + TEATS_SPREAD_MM * rng.standard_normal((n, 1, 3))
    return Cows(
        numbers=tuple(str(x) for x in numbers.tolist()),
        failed=np.clip(rng.beta(failed * herd.failed_cows, (1 - failed) * herd.failed_cows, size=n), 0.001, 0.6),
        attach_s=herd.attach_s * np.exp(herd.attach_cows * rng.standard_normal(n)),
        flow_kg_min=np.clip(herd.flow_kg_min + herd.flow_spread_kg_min * rng.standard_normal(n), 1.4, 4.2),
        kg_h=herd.yield_kg_h * np.exp(herd.yield_cows * rng.standard_normal(n)),
        interval=np.exp(0.10 * rng.standard_normal(n)),
        liking=rng.dirichlet(np.full(boxes, 4.0), size=n),
        noise=np.exp(milk.noisy_cows * rng.standard_normal(n)),
        level=np.clip(level + milk.level_quarters_mS_cm * rng.standard_normal((n, 4)), 3.6, 6.2),
        share=share / share.sum(axis=1, keepdims=True),
        teats_mm=teats + np.array([8.0, 5.0, 6.0]) * rng.standard_normal((n, 4, 3)),
        cells=milk.cells_k_ml * np.exp(milk.cells_cows * rng.standard_normal(n)),
    )


def stage_factor(days_in_milk: Numbers) -> Numbers:
    """Yield at a stage over the herd's mean: a lactation curve of Wood's form, peak near day 55 (from memory)."""
    day = np.maximum(days_in_milk, 4.0)
    curve = day**0.2 * np.exp(-0.0036 * day)
    return np.asarray(curve / curve.mean(), dtype=np.float64)


_STAGES = np.concatenate([stage_factor(np.arange(0.0, 320.0)), np.full(100, stage_factor(np.arange(0.0, 320.0))[-1])])


def stage_factor_at(days_in_milk: Numbers) -> Numbers:
    """Yield at a stage over the mean of a whole lactation.

    >>> stage_factor_at(np.array([10.0, 55.0, 300.0])).round(2).tolist()
    [1.03, 1.23, 0.71]
    """
    return np.asarray(_STAGES[np.clip(days_in_milk.astype(np.int64), 0, len(_STAGES) - 1)])


def interval_factor(days_in_milk: float) -> tuple[int, float]:
    """Milkings a day she is allowed at a stage, and her mean interval over the herd's (assumption).

    >>> [interval_factor(days)[0] for days in (20, 150, 280)]
    [4, 3, 2]
    """
    allowed = 4 if days_in_milk < 100 else 3 if days_in_milk < 230 else 2
    return allowed, INTERVAL_FACTOR[allowed]
