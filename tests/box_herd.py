"""A small plain herd at milking boxes for tests, from a seed: who came when to which box, and what the box saw."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import BOX_LOG, VISITS, Tables, empty_frame, frame_types, wide

START = 1_717_372_800
TEATS = np.array([[415.0, 72.0, 490.0], [415.0, -72.0, 490.0], [332.0, 34.0, 486.0], [332.0, -34.0, 486.0]])


@dataclass(frozen=True)
class Trouble:
    """From `start` until `until` (days from the first) at `box` (None: all) or of `cow` (None: all)."""

    start: float
    until: float
    box: int | None = None
    cow: int | None = None
    failed: float = 0.0
    attach: float = 0.0
    shift_mm: tuple[float, float, float] = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Made:
    """How a herd is made; positions in mm with y growing to the cow's left, times in s."""

    cows: int = 60
    boxes: int = 3
    days: float = 30
    seed: int = 1
    failed: float = 0.04
    worth: float = 40.0
    a_day: float = 2.7
    troubles: tuple[Trouble, ...] = ()
    events: tuple[tuple[str, float, str], ...] = field(default=())  # box, day, event
    positions: bool = True
    times: bool = True


def tables_of(made: Made) -> Tables:
    """The herd's visits and the boxes' log."""
    rng = np.random.default_rng(made.seed)
    n = int(made.cows * made.days * made.a_day)
    at = np.sort(rng.integers(0, int(made.days * DAY_S), size=n)) + START
    cow = rng.integers(0, made.cows, size=n)
    keep = ~pd.MultiIndex.from_arrays([cow, at]).duplicated()
    at, cow, n = at[keep], cow[keep], int(keep.sum())
    box = rng.integers(0, made.boxes, size=n)
    own = rng.beta(made.failed * made.worth, (1 - made.failed) * made.worth, size=made.cows)
    chance, slower = own[cow], np.zeros(n)
    place = TEATS + rng.normal(0, (20, 8, 20), size=(made.cows, 1, 3)) + rng.normal(0, 6, size=(made.cows, 4, 3))
    seen = place[cow] + rng.normal(0, 5, size=(n, 1, 3)) + rng.normal(0, 2.5, size=(n, 4, 3))
    for one in made.troubles:
        on = (at >= START + one.start * DAY_S) & (at < START + one.until * DAY_S)
        on &= (box == one.box) if one.box is not None else True
        on &= (cow == one.cow) if one.cow is not None else True
        chance = np.where(on, 1 - (1 - chance) * (1 - one.failed), chance)
        slower = slower + np.where(on, np.log1p(one.attach), 0.0)
        seen[on] += one.shift_mm
    failed = rng.random(n) < chance
    attach = 75 * np.exp(rng.normal(0, 0.2, size=made.cows)[cow] + 0.3 * rng.normal(size=n) + slower)
    frame = {name: np.full(n, np.nan) for name, kind in frame_types(VISITS).items() if kind == "float64"}
    frame["attach_s"] = np.where(failed | (not made.times), np.nan, attach)
    for axis, column in enumerate(("x_mm", "y_mm", "z_mm")):
        for quarter, name in enumerate(wide(column)):
            frame[name] = np.where(failed | (not made.positions), np.nan, seen[:, quarter, axis])
    names = {
        "cow": np.array([str(c + 100) for c in cow], dtype=object),
        "box": np.array([str(b + 1) for b in box], dtype=object),
        "outcome": np.where(failed, "failed", "milked").astype(object),
    }
    visits = pd.DataFrame({**frame, **names, "start": at.astype(np.int64)})[list(frame_types(VISITS))]
    log = empty_frame(BOX_LOG)
    if made.events:
        rows = [{"box": b, "at": day(d), "event": event, "text": None} for b, d, event in made.events]
        log = pd.DataFrame(rows).astype({"box": object, "event": object, "text": object, "at": "int64"})
        log = log.sort_values(["at", "box"], ignore_index=True)[list(frame_types(BOX_LOG))]
    return Tables(visits=visits, box_log=log)


def day(number: float) -> int:
    """UTC seconds of a day counted from the herd's first."""
    return START + int(number * DAY_S)


def hours_after(at: int, number: float) -> float:
    """Hours from a day of the herd to a moment."""
    return (at - day(number)) / HOUR_S
