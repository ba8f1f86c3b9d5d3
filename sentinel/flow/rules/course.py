"""How a standing alert's value has gone: what it was raised at, its worst since, and now, in the farm's words.

A push is read later than it was sent. An alert that says one figure and was pushed for another must say both.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sentinel.flow.language import Words, told
from sentinel.flow.model import Alert, Verdict
from sentinel.flow.rules.rule import Rule
from sentinel.flow.rules.words import value_words


@dataclass(frozen=True, slots=True)
class Course:
    """The course of one alert, as it is kept with it: see `model.Alert`."""

    raised_value: float | None
    worst_value: float | None
    course: str = ""
    eased: str = ""


def course_of(rule: Rule, verdict: Verdict, last: Alert | None, words: Words) -> Course:
    """The course of an alert that the verdict lets stand; `last` is the alert until now, None where it begins anew."""
    if last is None:
        return Course(verdict.value, verdict.value)
    raised = verdict.value if last.raised_value is None else last.raised_value
    worst = worse_of(rule, raised if last.worst_value is None else last.worst_value, verdict.value)
    bound = now_bound(rule, verdict.facts.get("bound")) if last.urgency == "now" else None
    eased = bound is not None and verdict.value is not None and not past(rule, verdict.value, bound)
    eased_bound = (value_words(rule, bound, words) or "") if eased else ""
    return Course(raised, worst, _said(rule, raised, worst, verdict.value, words), eased_bound)


def worse_of(rule: Rule, one: float | None, other: float | None) -> float | None:
    """The worse of two values of a rule: the higher one, for a rule that raises under its bound the lower one."""
    known = [value for value in (one, other) if value is not None]
    return (max if rule.raise_under is None else min)(known, default=None)


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


def _said(rule: Rule, raised: float | None, worst: float | None, now: float | None, words: Words) -> str:
    """The course in words; empty where a person would be shown one and the same figure."""
    at_first, at_worst, at_last = (value_words(rule, value, words) for value in (raised, worst, now))
    if at_first is None or at_worst is None or at_last is None:
        return ""
    if at_worst not in (at_first, at_last):
        figures = {"raised": at_first, "worst": at_worst, "now": at_last}
        if rule.raise_under is None:
            return told(words, "raised at {raised}, highest since {worst}, now {now}", **figures)
        return told(words, "raised at {raised}, lowest since {worst}, now {now}", **figures)
    return "" if at_first == at_last else told(words, "raised at {raised}, now {now}", raised=at_first, now=at_last)
