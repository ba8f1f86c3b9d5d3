"""One rule in words: the figures past which it tells, rings and ends, for which cows or boxes, and what came of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sentinel.flow.alerts.chain import Logged
from sentinel.flow.examples import example_verdicts
from sentinel.flow.language import ENGLISH, Words, told
from sentinel.flow.measures import measure_named
from sentinel.flow.model import DAY_S, Alert, State
from sentinel.flow.rules import Rule, format_quantity
from sentinel.flow.rules.quantities import UNITS
from sentinel.flow.sentence import sentence
from sentinel.flow.tuning.episodes import NOTHING_FOUND
from sentinel.flow.tuning.report import RINGS
from sentinel.flow.views.rules import Case, RuleShown, Threshold, rule_shown

MONTH_S = 30 * DAY_S
"""The last month, as it is counted here."""


@dataclass(frozen=True, slots=True)
class Bounds:
    """When a rule raises an alert on some subjects, in the farm's words; empty where it never does.

    `where` says which, as (attribute, values): empty for all others. `told`: it is on the round's list, `rings`: it
    cannot wait, `over`: it ends, `kept`: it is only in the log. `lasting_s`: how long it must hold before.
    """

    where: tuple[tuple[str, tuple[str, ...]], ...]
    told: str
    rings: str
    over: str
    kept: str
    lasting_s: int


@dataclass(frozen=True, slots=True)
class Lately:
    """What came of a rule in the last month: alerts raised, those that rang, were answered, and were for nothing."""

    raised: int
    rung: int
    answered: int
    nothing_found: int


@dataclass(frozen=True, slots=True)
class RulePage:
    """One rule: what it watches (`shown`), when it tells, case by case, and what came of it in the last month.

    `reads`: what its newest alert said, whose number is `alert`; where it never raised one, what one of the rule's own
    examples says (empty if none can be told).
    """

    shown: RuleShown
    reads: str
    alert: int | None
    bounds: tuple[Bounds, ...]
    lately: Lately


def rule_page(
    rule: Rule, alerts: Iterable[Alert], notices: Iterable[Logged], at: int, words: Words = ENGLISH
) -> RulePage:
    """One rule at `at`. `alerts`: all that it ever raised; `notices`: the `notice` entries of the last month."""
    every = list(alerts)
    shown = rule_shown(rule, every, words)
    newest = max(every, key=lambda alert: alert.came, default=None)
    reads, number = (_example(rule, at, words), None) if newest is None else (newest.text, newest.id)
    return RulePage(
        shown, reads, number, tuple(bounds_of(case, words) for case in shown.cases), _lately(every, notices, at)
    )


def _example(rule: Rule, at: int, words: Words) -> str:
    """What the first of the rule's examples that raises an alert says of its subject."""
    raised = (
        sentence(rule, verdict, at, words)
        for verdicts in example_verdicts(rule, measure_named(rule.measure), at)
        for verdict in verdicts.values()
        if verdict.state is State.HOLDS
    )
    return next(raised, "")


def in_short(shown: RuleShown, words: Words = ENGLISH) -> str:
    """When a rule tells, in one line: the figures of its last case, which is that of most subjects."""
    bounds = bounds_of(shown.cases[-1], words)
    parts = (
        ("told on the round", bounds.told),
        ("rings at once", bounds.rings),
        ("only kept in the log", bounds.kept),
        ("over at", bounds.over),
    )
    return "; ".join(f"{words.say(name)}: {figure}" for name, figure in parts if figure)


def _lately(alerts: Iterable[Alert], notices: Iterable[Logged], at: int) -> Lately:
    """What was raised, or came again, in the last month, and what became of it."""
    lately = [alert for alert in alerts if at - MONTH_S < alert.came <= at]
    rang = {
        number
        for logged in notices
        if logged.entry.body.get("kind") in RINGS and logged.entry.at > at - MONTH_S
        for number in logged.entry.body.get("alerts", ())
    }
    return Lately(
        raised=len(lately),
        rung=sum(alert.id in rang for alert in lately),
        answered=sum(alert.answered for alert in lately),
        nothing_found=sum(alert.finding == NOTHING_FOUND for alert in lately),
    )


def bounds_of(case: Case, words: Words = ENGLISH) -> Bounds:
    """When a rule raises an alert on the subjects of one case.

    What cannot wait from the raising bound on is on no list first.
    """
    by_kind = {bound.kind: bound for bound in case.thresholds}
    raised, pressing, clear = (by_kind.get(kind) for kind in ("raise", "now", "clear"))
    past = _past(raised, words) if raised else ""
    return Bounds(
        where=case.where,
        told=past if case.urgency == "round" else "",
        rings=past if case.urgency == "now" else _past(pressing, words) if pressing else "",
        over=_within(clear or raised, words) if raised else "",
        kept=past if case.urgency == "log" else "",
        lasting_s=case.lasting_s,
    )


def _past(bound: Threshold, words: Words) -> str:
    """Past a bound: a count from the next whole one on, anything else above or below it."""
    if bound.unit == "months":
        return told(words, "luck alone: at most once in {span}", span=_figure(bound.value, bound.unit, words))
    if _counted(bound.unit):
        if bound.over:
            return told(words, "from {figure} on", figure=_figure(int(bound.value) + 1, bound.unit, words))
        return told(words, "{figure} or less", figure=_figure(int(bound.value) - 1, bound.unit, words))
    figure = _figure(bound.value, bound.unit, words)
    return told(words, "above {figure}", figure=figure) if bound.over else told(words, "below {figure}", figure=figure)


def _within(bound: Threshold | None, words: Words) -> str:
    """Within a bound again; that of a raising one is its own, as there is no other."""
    if bound is None:
        return ""
    upward = bound.over if bound.kind == "raise" else not bound.over
    figure = _figure(bound.value, bound.unit, words)
    if bound.unit == "months":
        return told(words, "luck alone: once in {span} or more often", span=figure)
    if upward and not bound.value and _counted(bound.unit):
        return figure
    return told(words, "{figure} or less", figure=figure) if upward else told(words, "{figure} or more", figure=figure)


def _counted(unit: str) -> bool:
    return unit in UNITS and UNITS[unit].kind.startswith("count of ")


def _figure(value: float, unit: str, words: Words) -> str:
    """A figure with its unit."""
    return format_quantity(value, unit, words) if unit in UNITS else f"{words.number(value, 2)} {unit}".strip()
