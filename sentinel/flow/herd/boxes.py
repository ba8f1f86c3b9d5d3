"""Each box's use in the last 24 hours, in the two weeks before them, and in the two before those."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sentinel.flow.herd.figures import DAYS
from sentinel.flow.measures.boxes.box_use import BoxUse, box_use
from sentinel.flow.model import DAY_S
from sentinel.flow.ordering import in_order
from sentinel.flow.tables import Tables


@dataclass(frozen=True, slots=True)
class BoxCompared:
    """One box's use a day: `now`, what is `usual`, and `before` (None: no whole day of it is known)."""

    box: str
    now: BoxUse
    usual: BoxUse | None
    before: BoxUse | None


def boxes_compared(tables: Tables, boxes: Sequence[str], until: int) -> tuple[BoxCompared, ...]:
    """The use of each box of the farm, and of any other with a visit in the last 24 h, as far as visits are known."""
    start = tables.visits["start"].to_numpy(np.int64)
    first = int(start[0]) if len(start) else until
    lately = tables.visits["box"].to_numpy(object)[(start > until - DAY_S) & (start <= until)]
    names = list(in_order({*boxes, *(str(box) for box in lately if isinstance(box, str))}))
    now = box_use(tables, names, until + 1 - DAY_S, until + 1)
    usual = _over(tables, names, until + 1 - DAY_S, first)
    before = _over(tables, names, until + 1 - (1 + DAYS) * DAY_S, first)
    return tuple(BoxCompared(name, now[name], usual.get(name), before.get(name)) for name in names)


def _over(tables: Tables, names: Sequence[str], ends: int, first: int) -> dict[str, BoxUse]:
    """The use over the whole days, at most two weeks of them, that end at a moment and are known."""
    days = min(DAYS, (ends - first) // DAY_S)
    return box_use(tables, names, ends - days * DAY_S, ends) if days > 0 else {}
