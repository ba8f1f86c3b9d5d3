"""What the box measured of each quarter at each visit, made in bulk: conductivity, milk, cups kicked off, teats."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from sentinel.flow.model import DAY_S, QUARTERS
from sentinel.simulator.week.faults import AXES, Faults
from sentinel.simulator.week.herd import Herd, Numbers
from sentinel.simulator.week.parameters import Parameters
from sentinel.simulator.week.visits import Visit


@dataclass(frozen=True, slots=True)
class Readings:
    """Per visit and quarter; NaN where nothing was measured (failed and refused visits, a cup that fell at once)."""

    conductivity: Numbers  # visit x quarter, mS/cm at 25 °C
    milk_kg: Numbers  # visit x quarter
    kicked_off: NDArray[np.bool_]  # visit x quarter
    teats_mm: Numbers  # visit x quarter x axis


def climb_factor(at: NDArray[np.int64], start: int, peak: int, until: int, rise: float) -> Numbers:
    """A quarter's conductivity over its own level while it climbs: 1 before, 1 + rise from `peak`, 1 past `until`.

    >>> climb_factor(np.array([0, 10, 15, 20, 30, 40]), 10, 20, 40, 0.3).round(2).tolist()
    [1.0, 1.0, 1.15, 1.3, 1.3, 1.0]
    """
    grown = np.clip((at - start) / (peak - start), 0.0, 1.0)
    return np.where(at < until, 1.0 + rise * grown, 1.0)


def measure(
    p: Parameters, herd: Herd, boxes: tuple[str, ...], visits: list[Visit], faults: Faults, rng: Generator
) -> Readings:
    """The readings of all visits; the same visits, seed and faults give the same figures."""
    n = len(visits)
    start = np.array([v.start for v in visits], dtype=np.int64)
    cow = np.array([v.cow for v in visits], dtype=np.int64)
    box = np.array([v.box for v in visits], dtype=np.int64)
    milk = np.array([v.milk_kg for v in visits])
    incomplete = np.array([v.outcome == "incomplete" for v in visits])
    measured = np.array([v.outcome in ("milked", "incomplete") for v in visits])
    day = (start - start.min()) // DAY_S if n else start

    # one cup, sometimes two, came off at an incomplete milking: that quarter gave a part of its milk
    off = np.zeros((n, 4), dtype=bool)
    off[np.arange(n), rng.integers(0, 4, size=n)] = True
    off |= rng.random((n, 4)) < 0.15
    off &= incomplete[:, None]
    part = herd.quarter_share[cow] * np.exp(0.05 * rng.standard_normal((n, 4)))
    part = np.where(off, part * rng.uniform(0.1, 0.5, size=(n, 4)), part)

    days = int(day.max()) + 1 if n else 0
    drift = p.conductivity_day * rng.standard_normal((len(herd.numbers), days, 4))
    weather = p.conductivity_herd_day * rng.standard_normal(days)
    noise = p.conductivity_reading * rng.standard_normal((n, 4))
    level = herd.conductivity[cow] * (1 + drift[cow, day] + weather[day][:, None] + noise)
    level = np.where(off, level * (1 + p.kicked_reading), level)
    for climb in faults.climbs:
        hers, quarter = cow == herd.place(climb.cow), QUARTERS.index(climb.quarter)
        factor = climb_factor(start, climb.start, climb.peak, climb.until, climb.rise)
        level[hers, quarter] *= factor[hers]
        part[hers, quarter] /= factor[hers]  # she gives less there as well (assumption)

    stand = p.stand_mm * rng.standard_normal((n, 1, 3))
    teats = herd.teats_mm[cow] + stand + p.teat_mm * rng.standard_normal((n, 4, 3))
    for shift in faults.arm:
        seen = (box == boxes.index(shift.box)) & (start >= shift.start) & (start < shift.until)
        teats[seen, :, AXES.index(shift.axis)] += shift.shift_mm

    dry = ~measured
    level[dry], teats[dry] = np.nan, np.nan
    kg = milk[:, None] * part / part.sum(axis=1, keepdims=True)
    kg[dry] = np.nan
    return Readings(level, kg, off, teats)
