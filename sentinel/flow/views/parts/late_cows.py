"""The cows that are late: hours since their last whole milking, against the rule's bound for each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from sentinel.flow.evaluation.attributes import attributes_at, herd_changes
from sentinel.flow.evaluation.known_until import known_of
from sentinel.flow.evaluation.rule_bounds import bounds_at
from sentinel.flow.measures.milking.lateness import HOURS_SINCE_MILKING
from sentinel.flow.model import HOUR_S, in_order, name_of
from sentinel.flow.rules import Rule
from sentinel.flow.tables import Tables


@dataclass(frozen=True, slots=True)
class Late:
    """One cow past her bound: hours since her milking at `known_until`, and her bound in h (as it is for her class)."""

    cow: str
    hours: float
    bound_h: float


@dataclass(frozen=True, slots=True)
class LateCows:
    """The late cows, the longest unmilked first, as far as the visits are known (None: not at all)."""

    known_until: int | None
    cows: tuple[Late, ...]


def late_cows(tables: Tables, rules: Mapping[str, Rule], at: int) -> LateCows:
    """The cows that a rule on the hours since milking calls late at `at`; of several rules the strictest bound."""
    until = known_of("visits", tables.farm.feeds, at)
    if until is None:
        return LateCows(None, ())
    measure = HOURS_SINCE_MILKING
    resets = measure.compute(tables, "cow", {}).frame
    moments = resets["at"].to_numpy(np.int64)
    resets = resets[(moments <= until) & (moments > until - measure.reset_for_s)]
    last = resets.drop_duplicates("subject", keep="last").reset_index(drop=True)
    hours = (until - last["at"].to_numpy(np.int64)) / HOUR_S
    now = last.assign(at=np.full(len(last), until, np.int64))
    late: dict[str, Late] = {}
    for rule in rules.values():
        if rule.measure == HOURS_SINCE_MILKING.name and rule.raise_over is not None:
            columns = attributes_at(rule, now, herd_changes(tables), tables)
            bounds = bounds_at(rule, columns, len(now))
            for n in np.flatnonzero(bounds.applies & (hours > bounds.raise_past)):
                cow, bound = name_of(str(last["subject"].iloc[n])), float(bounds.raise_past[n])
                if cow not in late or bound < late[cow].bound_h:
                    late[cow] = Late(cow, float(hours[n]), bound)
    order = {cow: n for n, cow in enumerate(in_order(late))}
    return LateCows(until, tuple(sorted(late.values(), key=lambda one: (-one.hours, order[one.cow]))))
