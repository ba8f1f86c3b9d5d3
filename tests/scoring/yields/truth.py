"""What a simulated cow truly gave of what she should have, by day, and the spells in which that was less."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from sentinel.flow.model import DAY_S
from sentinel.simulator import HerdSpec, Simulated
from sentinel.simulator.herd.lactations import make_lives
from sentinel.simulator.plans.scenario import BY_RATES
from sentinel.simulator.simulation import yield_factor
from sentinel.simulator.spec import Calendar, Dice

LESS = 0.90
"""Below this share of what she should give a cow is not called healthy: heat, a poor day and her own slow wander take
less than that from her (our choice, no source)."""

TRUE_DROP, SLIGHT_DROP = 0.25, 0.20
"""A true drop: over two days together, as long as the rule looks, she truly gives a quarter less or lower still."""

AFTERWARDS_S = 2 * DAY_S
"""So long after a spell the days that are compared still hold some of it: an alert there is neither true nor false."""

BEGUN_S = 9 * DAY_S
"""Nothing can be told in a record's first days, so they are no healthy cow-days."""


@dataclass(frozen=True, slots=True)
class Spell:
    """Days on which a cow truly gave less than 90 %: from `start` until `until` (UTC seconds).

    `depth`: the share that was missing over the two days together on which it was most.
    """

    cow: str
    start: int
    until: int
    depth: float


def true_shares(herd: Simulated) -> Mapping[str, np.ndarray]:
    """Per cow the share of her milk that illness and going off her milk leave on each day, NaN while she is not in
    milk. Hot days are no cow's own, and left out."""
    spec, calendar = herd.spec, herd.calendar
    lives, factor = _factor(spec, calendar)
    shares: dict[str, np.ndarray] = {}
    for place, day in np.argwhere(lives.lactation >= 0):
        cow = lives.cows.numbers[lives.lactations.cow[lives.lactation[place, day]]]
        if cow not in shares:
            shares[cow] = np.full(calendar.days, np.nan)
        shares[cow][day] = factor[place, day]
    return shares


def _factor(spec: HerdSpec, calendar: Calendar):  # type: ignore[no-untyped-def]
    figures, dice = BY_RATES.figures, Dice(spec.seed)
    lives = make_lives(figures.herd, figures.milk, spec, calendar, dice)
    lives, plan, _ = BY_RATES.plan(spec, calendar, lives, dice)
    return lives, yield_factor(calendar, lives, plan, 0.0)


def spells_of(herd: Simulated, shares: Mapping[str, np.ndarray]) -> list[Spell]:
    """All spells of a herd."""
    found = []
    for cow, share in shares.items():
        low = np.append(np.append(False, share < LESS), False).astype(int)
        change = np.diff(low)
        for begin, end in zip(np.flatnonzero(change == 1), np.flatnonzero(change == -1), strict=True):
            around = np.nan_to_num(share[max(begin - 1, 0) : end + 1], nan=1.0)
            depth = float(1.0 - ((around[1:] + around[:-1]) / 2).min()) if len(around) > 1 else 0.0
            first = herd.calendar.first
            found.append(Spell(cow, first + int(begin) * DAY_S, first + int(end) * DAY_S, depth))
    return found


def healthy_days(herd: Simulated, shares: Mapping[str, np.ndarray], spells: list[Spell]) -> int:
    """Cow-days in milk outside all spells and the two days after them."""
    calendar = herd.calendar
    starts = calendar.first + np.arange(calendar.days) * DAY_S
    within = (starts >= calendar.begin + BEGUN_S) & (starts < calendar.until)
    ill: dict[str, np.ndarray] = {cow: np.zeros(calendar.days, bool) for cow in shares}
    for one in spells:
        ill[one.cow] |= (starts >= one.start) & (starts < one.until + AFTERWARDS_S)
    return int(sum((within & ~np.isnan(share) & ~ill[cow]).sum() for cow, share in shares.items()))
