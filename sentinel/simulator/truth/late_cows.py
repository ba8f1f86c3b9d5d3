"""Which cows were late, as the visits have it."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

import pandas as pd

from sentinel.flow.model import HOUR_S
from sentinel.simulator.truth.items import Item

LATE_OVER_H = 14.0
"""When the truth calls a cow late (common practice, no source)."""


def late_spells(
    visits: pd.DataFrame, never: Collection[str], dried: Collection[str], begin: int, until: int
) -> list[tuple[str, int, int | None]]:
    """Cow, when she became late, and when she was milked whole again (None: not by `until`), from `begin` on.

    Cows in `never` are never late; those in `dried` not after their last milking. An incomplete or failed visit does
    not end it.
    """
    limit, spells = int(LATE_OVER_H * HOUR_S), []
    for cow, starts in visits[visits["outcome"] == "milked"].groupby("cow")["start"]:
        if cow in never:
            continue
        milked = starts.tolist()
        following: list[int | None] = [*milked[1:], None]
        for last, back in zip(milked, following, strict=True):
            late = last + limit
            ended = back is None and cow in dried
            if not ended and begin <= late < (until if back is None else min(back, until)):
                spells.append((str(cow), late, back))
    return sorted(spells, key=lambda spell: spell[1])


def late_items(
    spells: Collection[tuple[str, int, int | None]], planted: Collection[str], failing: Collection[str]
) -> list[Item]:
    """One item per late spell; `planted` cows stayed out on purpose, `failing` ones came and were not attached."""
    items = []
    for cow, start, back in spells:
        how = "planted" if cow in planted else "not attached" if cow in failing else "by itself"
        expect = "Bring her in at the next round; see whether she walks and eats as usual."
        figures: dict[str, Any] = {"how": how}
        if back is not None:
            figures["hours_between_milkings"] = round((back - start) / HOUR_S + LATE_OVER_H, 2)
        items.append(Item("cow-late", f"cow:{cow}", start, back, ("late-cow",), expect, figures))
    return items
