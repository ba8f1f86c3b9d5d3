"""The figures behind an alert under plain names, each with its unit."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sentinel.flow.measures import MEASURES
from sentinel.flow.measures.base.facts import OF_EVERY_ALERT, READING_AT
from sentinel.flow.measures.base.shape import SAID_ELSEWHERE, FactColumn, Measure
from sentinel.flow.rules.strength import STRENGTHS

KNOWN: Mapping[str, FactColumn] = {
    fact.name: fact for fact in (*(fact for measure in MEASURES for fact in measure.facts), *OF_EVERY_ALERT)
}
"""Every fact that a measure has, or that is known of every alert, by its name."""

SHOWN_ELSEWHERE = (
    *("cow", "quarter", "subject", "value", "feed", "file", "cause", "channel"),
    *("unread", "old_since"),
    "usual",  # that of the raise, which the measure's own fact says
    *(fact.name for fact in KNOWN.values() if fact.label == SAID_ELSEWHERE),
)
"""What the sentence, the suspects or the title say already."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One figure behind an alert.

    `kind`: `number` (in `unit`), `sign` (a number that is a sign of the strength `said`), `odds` (once in so many
    times), `moment` (UTC seconds), `text` or `flag`.
    """

    name: str
    words: str
    value: float | int | str | bool
    unit: str
    kind: str
    said: str = ""


VALUES = {"points": "all signs together", "months": "by luck alone once in"}
"""What the value itself is called, where the sentence says it as a sign."""

NO_SIGN = "no sign"
"""What a sign is called that is not even slight."""


def facts_of(
    facts: Mapping[str, Any],
    unit: str,
    columns: Sequence[FactColumn] = (),
    reset: str = "",
    value: float | None = None,
) -> tuple[Fact, ...]:
    """The figures behind an alert whose measure is in `unit`, in the order in which they are best read.

    `columns` are the measure's own, which come first; what is known of every alert comes last. `reset`: what the moment
    of its reading is called, as it is a reset. `value` is listed where the sentence says how strong a sign it is.
    """
    last = [fact.name for fact in OF_EVERY_ALERT]
    others = (name for name in (*(fact.name for fact in columns), *KNOWN) if name not in last)
    order = [*dict.fromkeys(others), *last]
    names = sorted((n for n in facts if n not in SHOWN_ELSEWHERE), key=lambda n: order.index(n) if n in order else -1)
    shown = [one for one in (_fact(name, facts[name], unit, reset) for name in names) if one is not None]
    if unit in VALUES and value is not None:
        first_of_all = next((n for n, one in enumerate(shown) if one.name in last), len(shown))
        shown.insert(first_of_all, Fact("value", VALUES[unit], value, unit, "number"))
    return tuple(shown)


def _fact(name: str, value: Any, unit: str, reset: str) -> Fact | None:
    """One figure; None if it is not known, or not a single one."""
    column = KNOWN.get(name) or FactColumn(name, name.replace("_", " "))
    words, own = column.label, unit if column.own_unit else column.unit
    if name == READING_AT.name and reset:
        words = reset
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
    if column.odds:
        return Fact(name, words, float(f"{1 / value:.2g}"), "", "odds") if value > 0 else None
    if column.marks is not None:
        said = (NO_SIGN, *STRENGTHS)[sum(value >= mark for mark in column.marks)]
        return Fact(name, words, value, own, "sign", said)
    return Fact(name, words, value, own, "number")


def compared(facts: Mapping[str, Any], unit: str, measure: Measure) -> tuple[Fact, Fact] | None:
    """The figure that says how bad it is, and what is usual for it; None unless both are known."""
    if measure.compared is None:
        return None
    found = [_fact(name, facts.get(name), unit, "") for name in measure.compared]
    now, usual = found
    return None if now is None or usual is None else (now, usual)
