"""What a value means against a rule's bounds: past one or not, past which it cannot wait, how strong a sign it is.

A score of evidence, or how rarely chance brings so much, is a figure for tuning a rule. A person who walks to the cow
is told a slight, a clear or a strong sign.
"""

from __future__ import annotations

from typing import Any

from sentinel.flow.rules.rule import Rule

SIGN_UNITS = ("points", "months")
"""Units of values that are said as a sign of some strength: a score, and once in so many months by chance."""

STRENGTHS = SLIGHT, CLEAR, STRONG = ("slight", "clear", "strong")

STRONG_TIMES = 2.0
"""Where only the raising bound is given, a sign is strong past so many times it (our choice, no source)."""


def past(rule: Rule, value: float, bound: float) -> bool:
    """Whether a value is past a bound, in the direction in which the rule raises."""
    return value > bound if rule.raise_under is None else value < bound


def now_bound(rule: Rule, raised_past: Any) -> float | None:
    """The bound past which an alert of the rule cannot wait; `raised_past` is the raising bound that it passed.

    A rule, or a class, without one whose alerts never wait has its raising bound. None where classes with the same
    raising bound differ in it, so that it cannot be told.
    """
    bounds = set()
    for one in (*rule.classes, None):
        own = None if one is None else one.raise_over if rule.raise_under is None else one.raise_under
        raises = rule.bound if own is None else own
        if isinstance(raised_past, int | float) and raises != raised_past:
            continue
        pressing = None if one is None else one.now_over if rule.raise_under is None else one.now_under
        if pressing is None and own is None:  # a class with its own raising bound takes no other from the rule
            pressing = rule.now_over if rule.raise_under is None else rule.now_under
        urgency = rule.urgency if one is None or one.urgency is None else one.urgency
        bounds.add(raises if urgency == "now" else pressing)
    return bounds.pop() if len(bounds) == 1 else None


def strength(rule: Rule, value: float | None, raised_past: Any) -> str:
    """How strong a sign a value is: slight within the raising bound, clear past it, strong past the pressing one.

    `raised_past`: the raising bound that was passed, if it is known. Empty for a rule whose values are no signs.
    """
    bound = float(raised_past) if isinstance(raised_past, int | float) else rule.bound
    if value is None or bound is None or rule.raise_over is None or rule.unit not in SIGN_UNITS:
        return ""
    pressing = now_bound(rule, bound)
    strong_from = pressing if pressing is not None and pressing > bound else STRONG_TIMES * bound
    return STRONG if value > strong_from else CLEAR if value > bound else SLIGHT
