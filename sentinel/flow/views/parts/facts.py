"""The figures behind an alert under plain names, each with its unit."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

FACT_WORDS: Mapping[str, tuple[str, str]] = {
    "hours": ("over the last", "h"),
    "late": ("cows that are late", "cows"),
    "cows": ("cows counted", "cows"),
    "conductivity": ("conductivity of this milking", "mS/cm"),
    "baseline": ("usual conductivity of this quarter", "mS/cm"),
    "lowest_two": ("mean of her two lowest quarters", "mS/cm"),
    "rise_pct": ("over its usual", "%"),
    "milkings": ("milkings that the usual is from", "milkings"),
    "readings": ("milkings looked back on", "milkings"),
    "because": ("what speaks for it", ""),
    "rise_points": ("for the rise over its usual", "points"),
    "ewma_points": ("for the milkings before", "points"),
    "yield_points": ("for less milk than its part", "points"),
    "ratio_points": ("for standing out among her quarters", "points"),
    "interval_points": ("for the time between milkings", "points"),
    "sensor": ("sensor", ""),
    "reading": ("what it reads again and again", "mS/cm"),
    "kind": ("how the milking went", ""),
    "milk_kg": ("milk obtained", "kg"),
    "expected_kg": ("milk expected", "kg"),
    "kg_a_day": ("milk a day over two days", "kg"),
    "expected_kg_a_day": ("milk a day expected", "kg"),
    "failed": ("failed", "failures"),
    "visits": ("visits counted", "visits"),
    "refused": ("visits refused", "visits"),
    "expected": ("failures expected of these cows", "failures"),
    "ratio": ("times as many as expected", "ratio"),
    "ratio_low": ("at least, by 19 chances in 20", "ratio"),
    "ratio_high": ("at most, by 19 chances in 20", "ratio"),
    "chance": ("chance of so many by luck", "ratio"),
    "first_at": ("counted from", ""),
    "offset": ("teats seen off, in all", "mm"),
    "moved": ("teats seen off, along one line", "mm"),
    "uncertainty": ("within", ""),
    "direction": ("which way", ""),
    "against": ("held against", ""),
    "axis": ("along which line", ""),
    "slower": ("longer to put the cups on", "%"),
    "state": ("by her tests", ""),
    "previous": ("the one before", "k/ml"),
    "score": ("linear score", "points"),
    "tests_over": ("tests over the limit in a row", "tests"),
    "share_pct": ("her part of all cells in the tank", "%"),
    "cells_k_ml": ("cells of her test", "k/ml"),
    "tank_k_ml": ("the tank by these tests", "k/ml"),
    "tank_without_k_ml": ("the tank without her", "k/ml"),
    "over": ("of them over the limit", ""),
    "of": ("of so many", ""),
    "tests": ("tests in the mean", "tests"),
    "last_k_ml": ("the last test", "k/ml"),
    "headroom_k_ml": ("the next test may read at most", "k/ml"),
    "next_in_d": ("next test in about", "d"),
    "passes_on": ("passes the limit about", ""),
    "litres": ("milk in the tank", "l"),
    "reason": ("first reason", ""),
    "rows_read": ("rows read", "rows"),
    "notice": ("notice", ""),
    "detail": ("what the channel said", ""),
    "reading_at": ("by the reading of", ""),
    "box": ("seen at box", ""),
    "bound": ("the rule's bound", ""),
}
"""A figure's name in the measures to how it is said, and its unit (empty: none, or the measure's own)."""

SHOWN_ELSEWHERE = (
    *("cow", "quarter", "subject", "value", "feed", "file", "channel", "suspect", "suspects", "likeliest", "what"),
    *("unread", "old_since"),
)
"""What the sentence, the suspects or the title say already."""

OWN_UNIT = ("bound", "uncertainty", "reading", "previous")
"""Figures that are in the unit of the rule's own measure."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One figure behind an alert. `kind`: `number` (in `unit`), `moment` (UTC seconds), `text` or `flag`."""

    name: str
    words: str
    value: float | int | str | bool
    unit: str
    kind: str


def facts_of(facts: Mapping[str, Any], unit: str) -> tuple[Fact, ...]:
    """The figures behind an alert whose measure is in `unit`, in the order in which they are best read."""
    order = list(FACT_WORDS)
    names = sorted((n for n in facts if n not in SHOWN_ELSEWHERE), key=lambda n: order.index(n) if n in order else -1)
    found = (_fact(name, facts[name], unit) for name in names)
    return tuple(one for one in found if one is not None)


def _fact(name: str, value: Any, unit: str) -> Fact | None:
    """One figure; None if it is not known, or not a single one."""
    words, own = FACT_WORDS.get(name, (name.replace("_", " "), ""))
    own = unit if name in OWN_UNIT else own
    if value is None or isinstance(value, list | dict | tuple) or value == "":
        return None
    if isinstance(value, bool):
        return Fact(name, words, value, "", "flag")
    if isinstance(value, str):
        return Fact(name, words, value, "", "text")
    if not math.isfinite(value):
        return None
    if name.endswith("_at"):
        return Fact(name, words, int(value), "", "moment")
    return Fact(name, words, value, own, "number")
