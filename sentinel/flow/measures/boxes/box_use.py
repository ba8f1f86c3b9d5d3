"""How much each box is at work over a stretch of time: visits, milk, its busy share, failures, time to attach."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from sentinel.flow.measures.milking.herd_days import WEIGHED_SHARE, all_milk, counted
from sentinel.flow.model import DAY_S
from sentinel.flow.tables import Tables

DAY_H = 24.0


@dataclass(frozen=True, slots=True)
class BoxUse:
    """One box over some days, each figure for a day.

    `busy_pct`: the share of the time with a cow in it, refused ones too, and `free_h` the hours a day without one, in
    which it washes or stands as well (None: the export hardly says how long visits last). `failed_pct` of the tries
    failed to attach (None: no try); `attach_s` is the median time to attach.
    """

    box: str
    visits: float
    milk_kg: float | None
    busy_pct: float | None
    failed_pct: float | None
    attach_s: float | None

    @property
    def free_h(self) -> float | None:
        """Hours a day without a cow in it."""
        return None if self.busy_pct is None else DAY_H * (1 - self.busy_pct / 100.0)


def box_use(tables: Tables, boxes: Iterable[str], begins: int, ends: int) -> dict[str, BoxUse]:
    """The use of each of some boxes from a moment until before another."""
    visits = tables.visits
    start = visits["start"].to_numpy(np.int64)
    span = slice(*(int(n) for n in np.searchsorted(start, [begins, ends])))
    here, how = visits.iloc[span], counted(tables)[0][span]
    box, kg = here["box"].to_numpy(object), here["milk_kg"].to_numpy(float)
    lasted, attach = here["duration_s"].to_numpy(float), here["attach_s"].to_numpy(float)
    days = (ends - begins) / DAY_S
    found = {}
    for name in boxes:
        own = np.asarray(box == name, dtype=bool)
        milkings = np.isin(how[own].astype(str), ("milked", "incomplete"))
        failed, tries = int((how[own] == "failed").sum()), int(milkings.sum()) + int((how[own] == "failed").sum())
        milk = all_milk(kg[own], int(milkings.sum()))
        times = attach[own][milkings & (attach[own] > 0)]
        found[name] = BoxUse(
            name,
            int(own.sum()) / days,
            None if milk is None else milk / days,
            _busy_pct(lasted[own], ends - begins),
            100.0 * failed / tries if tries else None,
            float(np.median(times)) if len(times) else None,
        )
    return found


def _busy_pct(lasted: np.ndarray, seconds: int) -> float | None:
    """The share of a time that some visits took; those without a duration are taken to last as the others do."""
    known = lasted[np.isfinite(lasted) & (lasted >= 0)]
    if len(known) < WEIGHED_SHARE * len(lasted):
        return None
    return 100.0 * float(known.mean()) * len(lasted) / seconds if len(known) else 0.0
