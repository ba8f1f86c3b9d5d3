"""The figures behind an alert under plain names, each with its unit."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sentinel.flow.measures import MEASURES
from sentinel.flow.measures.base.facts import OF_EVERY_ALERT
from sentinel.flow.measures.base.shape import SAID_ELSEWHERE, FactColumn

KNOWN: Mapping[str, FactColumn] = {
    fact.name: fact for fact in (*(fact for measure in MEASURES for fact in measure.facts), *OF_EVERY_ALERT)
}
"""Every fact that a measure has, or that is known of every alert, by its name."""

SHOWN_ELSEWHERE = (
    *("cow", "quarter", "subject", "value", "feed", "file", "channel"),
    *("unread", "old_since"),
    *(fact.name for fact in KNOWN.values() if fact.label == SAID_ELSEWHERE),
)
"""What the sentence, the suspects or the title say already."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One figure behind an alert. `kind`: `number` (in `unit`), `moment` (UTC seconds), `text` or `flag`."""

    name: str
    words: str
    value: float | int | str | bool
    unit: str
    kind: str


def facts_of(facts: Mapping[str, Any], unit: str, columns: Sequence[FactColumn] = ()) -> tuple[Fact, ...]:
    """The figures behind an alert whose measure is in `unit`, in the order in which they are best read.

    `columns` are the measure's own, which come first; what is known of every alert comes last.
    """
    last = [fact.name for fact in OF_EVERY_ALERT]
    others = (name for name in (*(fact.name for fact in columns), *KNOWN) if name not in last)
    order = [*dict.fromkeys(others), *last]
    names = sorted((n for n in facts if n not in SHOWN_ELSEWHERE), key=lambda n: order.index(n) if n in order else -1)
    shown_facts = (_fact(name, facts[name], unit) for name in names)
    return tuple(one for one in shown_facts if one is not None)


def _fact(name: str, value: Any, unit: str) -> Fact | None:
    """One figure; None if it is not known, or not a single one."""
    column = KNOWN.get(name) or FactColumn(name, name.replace("_", " "))
    words, own = column.label, unit if column.own_unit else column.unit
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
