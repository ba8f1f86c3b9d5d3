"""How an open alert's value has moved: what it was raised at, its worst, now, and which way it is going, in words.

A push is read later than it was sent. An alert that says one figure and was pushed for another must say both.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from sentinel.flow.language import ENGLISH, Words, told
from sentinel.flow.model import Alert, Verdict
from sentinel.flow.rules.quantities import UNITS
from sentinel.flow.rules.rule import Rule
from sentinel.flow.rules.strength import now_bound, past, strength
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
    raised_past = verdict.facts.get("bound")
    bound = now_bound(rule, raised_past) if last.urgency == "now" else None
    eased = bound is not None and verdict.value is not None and not past(rule, verdict.value, bound)
    eased_bound = (value_words(rule, bound, words) or "") if eased else ""
    figures = figures_of(rule, raised, worst, verdict.value, raised_past, words)
    return Course(raised, worst, _said(figures, words, eased), eased_bound)


def worse_of(rule: Rule, one: float | None, other: float | None) -> float | None:
    """The worse of two values of a rule: the higher one, for a rule that raises under its bound the lower one."""
    known = [value for value in (one, other) if value is not None]
    return (max if rule.raise_under is None else min)(known, default=None)


TRENDS = RISING, FALLING, STEADY, EASING, BELOW, ABOVE = (
    "rising",
    "falling",
    "steady",
    "easing",
    "below the bound",
    "above the bound again",
)
"""Where a value goes: worse than when it was raised, hardly moving, better than its worst, or back within the raising
bound."""

Way = Literal["worse", "steady", "easing"]

WAYS: Mapping[str, Way] = {RISING: "worse", FALLING: "worse", STEADY: "steady"}
"""What each is for the herd; any other is easing."""

BACK_BY = 0.1
"""A value has come back from its worst by more than this part of how far it had gone (our choice, no source)."""


@dataclass(frozen=True, slots=True)
class Figures:
    """A course in the farm's words: the value it was raised with, its worst and the present one, and where it goes.

    `trend` is one of `TRENDS`; empty of a span of time, which only grows. With `sign` the values are said as signs:
    slight, clear, strong.
    """

    raised: str
    worst: str
    now: str
    trend: str
    sign: bool = False


def figures_of(
    rule: Rule, raised: float | None, worst: float | None, now: float | None, raised_past: Any, words: Words
) -> Figures | None:
    """The course of a value in words; None if a part of it is not known. `raised_past`: the raising bound passed."""
    shown = [value_words(rule, value, words) for value in (raised, worst, now)]
    at_first, at_worst, at_last = shown
    if at_first is None or at_worst is None or at_last is None or now is None:
        return None
    bound = raised_past if isinstance(raised_past, int | float) else rule.bound
    trend = _trend(rule, (raised, worst, now), (at_first, at_worst, at_last), bound is None or past(rule, now, bound))
    signs = [strength(rule, value, raised_past) for value in (raised, worst, now)]
    if all(signs):
        at_first, at_worst, at_last = (words.say(one) for one in signs)
        return Figures(at_first, at_worst, at_last, words.say(trend), sign=True)
    return Figures(at_first, at_worst, at_last, words.say(trend) if trend else "")


def way_of(alert: Alert, rule: Rule | None) -> Way:
    """Which way a standing alert goes, as its course says it: a page must not call worse what it calls easing.

    A span of time, which only grows, is worse once a person would be shown more of it. Steady where that is not known.
    """
    if alert.eased:
        return "easing"
    values = (alert.raised_value, alert.worst_value, alert.value)
    figures = None if rule is None else figures_of(rule, *values, alert.facts.get("bound"), ENGLISH)
    if figures is None:
        return "steady"
    if not figures.trend:
        return "steady" if figures.now == figures.raised else "worse"
    return WAYS.get(figures.trend, "easing")


def _trend(
    rule: Rule, values: tuple[float | None, float | None, float], shown: tuple[str, str, str], is_past: bool
) -> str:
    """Where a value goes, by the figures that a person is shown: 5.04 and 5 points are the same.

    One that has come back from its worst by little is steady: a figure read again is never quite the same.
    """
    if rule.unit in UNITS and UNITS[rule.unit].kind == "duration":
        return ""
    raised, worst, now = values
    at_first, at_worst, at_last = shown
    upward = rule.raise_under is None
    if not is_past:
        return BELOW if upward else ABOVE
    if at_last != at_worst and raised is not None and worst is not None:
        gone = max(abs(worst - raised), abs(worst - now))
        return EASING if abs(worst - now) > BACK_BY * gone else STEADY
    if at_last == at_first:
        return STEADY
    return RISING if upward else FALLING


def _said(figures: Figures | None, words: Words, eased: bool) -> str:
    """The course in a phrase for a list; empty where a person would be shown one and the same figure.

    That it has eased is said besides, and not twice.
    """
    if figures is None:
        return ""
    phrase = _phrase(figures, words)
    trend = "" if eased or (not phrase and figures.trend == words.say(STEADY)) else figures.trend
    return ", ".join(part for part in (phrase, trend) if part)


def course_whole(figures: Figures, words: Words) -> str:
    """The course in a phrase that always says something: the value now, where it has been the same all along."""
    now = told(words, "{now} sign", now=figures.now) if figures.sign else figures.now
    return ", ".join(part for part in (_phrase(figures, words) or now, figures.trend) if part)


def _phrase(figures: Figures, words: Words) -> str:
    """The values that differ as a person is shown them; empty if none does."""
    values = {"raised": figures.raised, "worst": figures.worst, "now": figures.now}
    if figures.worst not in (figures.raised, figures.now):
        if figures.sign:
            return told(words, "{raised} sign when raised, {worst} at its worst, {now} now", **values)
        return told(words, "raised at {raised}, worst {worst}, now {now}", **values)
    if figures.raised == figures.now:
        return ""
    if figures.sign:
        return told(words, "{raised} sign when raised, {now} now", **values)
    return told(words, "raised at {raised}, now {now}", **values)
