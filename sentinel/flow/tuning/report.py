"""The report card of the rules: what came of each in each month, and which cry wolf or never speak.

It tells what really was raised, rung and answered; what another bound would have done is asked of a trial.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from sentinel.flow.alerts.chain import Logged
from sentinel.flow.model import DAY_S, Alert
from sentinel.flow.rules import Rule
from sentinel.flow.schedule.days import date_of
from sentinel.flow.tuning.advice import missed, raises_more
from sentinel.flow.tuning.episodes import Label, episodes
from sentinel.flow.tuning.share import Share
from sentinel.flow.tuning.sweep import Tried
from sentinel.flow.tuning.trial import Trial, can_be_tried

RINGS = ("alert", "handed-on", "lies-with", "digest")
"""The kinds of notice that ring for an alert the first time somebody hears of it."""

WOLF = 0.5
"""A rule cries wolf if surely more than so much of what people looked into was for nothing (our choice, no source)."""

SILENT_FOR_S = 60 * DAY_S
"""A rule never speaks if it raised nothing in so long (our choice, no source)."""

FEWER = 0.75
"""A change that is worth trying raises at most so much of what the rule raises (our choice, no source)."""


@dataclass(frozen=True, slots=True)
class Month:
    """What came of one rule in one month (`2026-11`), or in all with `month` empty.

    `rung`: alerts that a phone rang for. `answer_s`, `answer_90_s`: seconds from raised to the first answer, in the
    middle and at the 90th percentile; None if nobody answered. `seen`: answered, and not said whether for something.
    """

    rule: str
    month: str
    raised: int
    rung: int
    answered: int
    answer_s: float | None
    answer_90_s: float | None
    real: int
    nothing_found: int
    seen: int
    unanswered: int


Why = Literal["cries-wolf", "never-speaks"]


@dataclass(frozen=True, slots=True)
class Pointed:
    """A rule that is pointed at and why; `for_nothing`: how much of what people looked into was."""

    rule: str
    why: Why
    for_nothing: Share


@dataclass(frozen=True, slots=True)
class ReportCard:
    """Every month of every rule that raised something in it, what each came to in all, and the rules pointed at."""

    months: tuple[Month, ...]
    whole: tuple[Month, ...]
    pointed: tuple[Pointed, ...]


@dataclass(frozen=True, slots=True)
class _One:
    """One alert: its month, whether it rang, how long until somebody answered, and what they said."""

    month: str
    rung: bool
    answer_s: int | None
    label: Label


def report_card(
    rules: Mapping[str, Rule],
    alerts: Iterable[Alert],
    notices: Iterable[Logged],
    answers: Iterable[Logged],
    zone: str,
    since: int,
    until: int,
) -> ReportCard:
    """What was raised from `since` until before `until`; `notices`, `answers`: those kinds of entries of the log."""
    rang = {
        number
        for logged in notices
        if logged.entry.body.get("kind") in RINGS
        for number in logged.entry.body.get("alerts", ())
    }
    said = list(answers)
    first: dict[int, int] = {}
    for logged in said:
        if logged.entry.alert is not None:
            first.setdefault(logged.entry.alert, logged.entry.at)
    in_time = [alert for alert in alerts if since <= alert.raised_at < until]
    of_rule: dict[str, list[_One]] = defaultdict(list)
    for alert, episode in zip(in_time, episodes(in_time, said), strict=True):
        answer_s = first[alert.id] - alert.raised_at if alert.id in first else None
        month = f"{date_of(alert.raised_at, zone):%Y-%m}"
        of_rule[alert.rule].append(_One(month, alert.id in rang, answer_s, episode.label))
    names = [*rules, *sorted(of_rule.keys() - rules.keys())]
    months = [
        _counted(name, month, [one for one in of_rule[name] if one.month == month])
        for name in names
        for month in sorted({one.month for one in of_rule[name]})
    ]
    whole = [_counted(name, "", of_rule[name]) for name in names]
    pointed = [one for one in (_pointed(rules.get(each.rule), each, until - since) for each in whole) if one]
    return ReportCard(tuple(months), tuple(whole), tuple(pointed))


def _counted(rule: str, month: str, ones: Sequence[_One]) -> Month:
    """What some alerts of a rule came to."""
    took = [max(0, one.answer_s) for one in ones if one.answer_s is not None]
    middle, most = np.percentile(took, [50, 90]).tolist() if took else (None, None)
    labels = [one.label for one in ones]
    return Month(
        rule,
        month,
        len(ones),
        sum(one.rung for one in ones),
        len(took),
        middle,
        most,
        labels.count("real"),
        labels.count("nothing found"),
        labels.count("seen"),
        labels.count(""),
    )


def _pointed(rule: Rule | None, whole: Month, long_s: int) -> Pointed | None:
    """Whether a rule cries wolf, or never speaks."""
    if rule is None:
        return None
    for_nothing = Share(whole.nothing_found, whole.nothing_found + whole.real)
    if for_nothing.interval[0] > WOLF:
        return Pointed(rule.name, "cries-wolf", for_nothing)
    if not whole.raised and long_s >= SILENT_FOR_S and can_be_tried(rule):
        return Pointed(rule.name, "never-speaks", for_nothing)
    return None


def nearest_change(trial: Trial, why: Why) -> Tried | None:
    """The nearest bound with which a rule that is pointed at would have done otherwise; None if none would.

    Of one that cries wolf: a quarter fewer alerts, none that the rule as it is does not raise, and none missed in which
    something was found. Of one that never speaks: at least one alert.
    """
    for place in sorted(range(len(trial.stops)), key=lambda place: abs(place - trial.own)):
        found, _ = trial.at(place)
        if found is None or place == trial.own:
            continue
        if why == "never-speaks" and found.raised:
            return found
        if (
            why == "cries-wolf"
            and len(found.raised) <= FEWER * len(trial.now.raised)
            and not raises_more(trial.now, found)
            and not missed(trial.now, found)
        ):
            return found
    return None
