"""Reading a rule's bounds and durations: units, directions, and that raising, clearing and pressing fit together."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sentinel.flow.rules.faults import Fault, quantity_or_fault
from sentinel.flow.rules.quantities import format_quantity
from sentinel.flow.rules.written import BOUNDS, WrittenRule
from sentinel.flow.yaml.text import did_you_mean

RAISES = ("raise_over", "raise_under")
_NEEDS = {
    "clear_under": "raise_over",
    "now_over": "raise_over",
    "clear_over": "raise_under",
    "now_under": "raise_under",
}

Bounds = dict[str, float]
"""Bound key to its value in the measure's unit; keys that are not written are left out."""


def read_bounds(written: Mapping[str, Any], unit: str) -> tuple[Bounds, list[Fault]]:
    """The bounds that are written in a rule or a class, in the measure's unit."""
    bounds: Bounds = {}
    faults: list[Fault] = []
    for key in BOUNDS:
        if written.get(key) is None:
            continue
        value, wrong = quantity_or_fault(written[key], unit, key)
        faults += wrong
        if value is not None:
            bounds[key] = value
    return bounds, faults


def check_rule_bounds(written: Mapping[str, Any], bounds: Bounds, unit: str) -> list[Fault]:
    """Check that a rule has exactly one raising bound, and that the others fit it."""
    given = [key for key in RAISES if written.get(key) is not None]
    if len(given) > 1:
        return [Fault((given[1],), "a rule has either raise_over or raise_under, not both; take one out")]
    if not given:
        if any('"raise_' in did_you_mean(str(key), WrittenRule.model_fields) for key in written if key not in _FIELDS):
            return []  # a misspelt bound, which is already told
        return [Fault((), 'raise_over: is missing; give a bound such as "raise_over: 14 h", or raise_under')]
    return _fit(bounds, given[0], bounds.get(given[0]), unit)


_FIELDS = frozenset(WrittenRule.model_fields)


def check_class_bounds(written: Mapping[str, Any], bounds: Bounds, rule: Bounds, unit: str) -> list[Fault]:
    """Check that a class raises in the rule's direction, and that its own bounds fit its raising bound."""
    rule_raise = next((key for key in RAISES if key in rule), None)
    own = [key for key in RAISES if written.get(key) is not None]
    wrong_way = [key for key in own if rule_raise and key != rule_raise]
    if wrong_way:
        return [Fault((wrong_way[0],), f"the rule has {rule_raise}; its classes must have {rule_raise} too")]
    direction = own[0] if own else rule_raise
    if direction is None:
        return []
    return _fit(bounds, direction, bounds.get(direction, rule.get(direction)), unit)


def _fit(bounds: Bounds, direction: str, raised: float | None, unit: str) -> list[Fault]:
    """That clearing bounds lie inside the raising bound and pressing bounds beyond it."""
    faults = []
    for key, needs in _NEEDS.items():
        if key not in bounds:
            continue
        if needs != direction:
            right = {"raise_over": ("clear_under", "now_over"), "raise_under": ("clear_over", "now_under")}[direction]
            meant = right[0] if key.startswith("clear") else right[1]
            faults.append(Fault((key,), f"goes with {needs}; with {direction} write {meant}"))
            continue
        if raised is None:
            continue
        sign = 1 if direction == "raise_over" else -1
        value, bound = (f"{format_quantity(x, unit)}" for x in (bounds[key], raised))
        if key.startswith("clear") and sign * bounds[key] > sign * raised:
            side = "at or under" if sign == 1 else "at or over"
            faults.append(Fault((key,), f"{value} is past {direction} {bound}; the alert must end {side} that bound"))
        if key.startswith("now") and sign * bounds[key] <= sign * raised:
            side = "over" if sign == 1 else "under"
            faults.append(Fault((key,), f"{value} must be {side} {direction} {bound}, or nothing is left to press"))
    return faults


def read_duration(written: Mapping[str, Any], key: str, never: bool = False) -> tuple[int, list[Fault]]:
    """A duration in whole seconds; 0 if it is not written or, where that makes sense, `never`."""
    value = written.get(key)
    if value is None or (never and value == "never"):
        return 0, []
    seconds, faults = quantity_or_fault(value, "s", key)
    return round(seconds or 0), faults
