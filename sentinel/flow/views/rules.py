"""The rules in words: what each watches, its thresholds, where they come from, and what came of it on this farm."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sentinel.flow.language import ENGLISH, Words
from sentinel.flow.measures import measure_named
from sentinel.flow.model import Alert
from sentinel.flow.rules import Rule, RuleClass
from sentinel.flow.rules.words import as_read


@dataclass(frozen=True, slots=True)
class Threshold:
    """One bound: `kind` is `raise`, `now` (cannot wait past it) or `clear`; `over` or under `value`, in `unit`."""

    kind: str
    over: bool
    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class Case:
    """The thresholds for some subjects; `where` says which, as (attribute, values): empty for all others.

    `lasting_s`: seconds for which it must hold before it is raised.
    """

    where: tuple[tuple[str, tuple[str, ...]], ...]
    thresholds: tuple[Threshold, ...]
    urgency: str
    lasting_s: int


@dataclass(frozen=True, slots=True)
class Came:
    """What came of a rule: alerts raised, still standing, answered, and the answers with how often, the most first."""

    raised: int
    standing: int
    answered: int
    findings: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class RuleShown:
    """One rule: its measure in words with its source, its cases (the first that fits counts), and what it says.

    `where` limits the whole rule. `about`: what the thresholds mean, where they come from and how to tune them, in
    paragraphs. `options` are the measure's settings as (name, value, unit, what it is). `place` is where it is written.
    """

    name: str
    per: str
    measure: str
    measures: str
    measure_source: str
    where: tuple[tuple[str, tuple[str, ...]], ...]
    cases: tuple[Case, ...]
    options: tuple[tuple[str, float, str, str], ...]
    covered_by: tuple[str, ...]
    again_within_s: int
    remind_every_s: int
    remind_most: int
    over_after_s: int
    caution: tuple[str, ...]
    look_first: tuple[str, ...]
    findings: tuple[str, ...]
    about: tuple[str, ...]
    place: str
    text: str
    came: Came


def rules_page(
    rules: Mapping[str, Rule], alerts: Iterable[Alert] = (), words: Words = ENGLISH
) -> tuple[RuleShown, ...]:
    """Every rule in the order of the rulebook; `alerts`: all that were ever raised (or those of the time to count)."""
    by_rule: dict[str, list[Alert]] = {}
    for alert in alerts:
        by_rule.setdefault(alert.rule, []).append(alert)
    return tuple(rule_shown(rule, by_rule.get(rule.name, []), words) for rule in rules.values())


def rule_shown(rule: Rule, alerts: Iterable[Alert] = (), words: Words = ENGLISH) -> RuleShown:
    """One rule in words; what it says, computes and is about in the farm's, its findings as they are kept."""
    measure = measure_named(rule.measure)
    settings = measure.settings(rule.options)
    return RuleShown(
        name=rule.name,
        per=rule.per,
        measure=measure.name,
        measures=words.say(measure.doc),
        measure_source=measure.source,
        where=_where(rule.where),
        cases=(*(_case(one, rule) for one in rule.classes), _case(RuleClass(), rule)),
        options=tuple((o.name, settings[o.name], o.unit, words.say(o.doc)) for o in measure.options),
        covered_by=rule.covered_by,
        again_within_s=rule.again_within_s,
        remind_every_s=rule.remind_every_s,
        remind_most=rule.remind_most,
        over_after_s=rule.over_after_s,
        caution=tuple(as_read(words.say(line)) for line in rule.caution),
        look_first=tuple(as_read(words.say(line)) for line in rule.look_first),
        findings=rule.findings,
        about=paragraphs(words.say(rule.about)),
        place=str(rule.source),
        text=rule.text,
        came=came_of(alerts),
    )


def paragraphs(text: str) -> tuple[str, ...]:
    """The paragraphs of a text whose lines are of a width: a line was ended on purpose if more would have fitted in it.

    >>> paragraphs("It tells of what\\nmatters here.\\nTo tune: raise\\nthe bound.\\n")
    ('It tells of what matters here.', 'To tune: raise the bound.')
    """
    lines = [line.strip() for line in text.strip().splitlines()]
    width = max(map(len, lines), default=0)
    found: list[str] = []
    before = ""
    for line in lines:
        goes_on = before and line and len(before) + 1 + len(line.split()[0]) > width
        if goes_on or (before and line and not before.endswith((".", ":"))):
            found[-1] += f" {line}"
        elif line:
            found.append(line)
        before = line
    return tuple(found)


def came_of(alerts: Iterable[Alert]) -> Came:
    """What came of some alerts of one rule."""
    listed = list(alerts)
    times = Counter(alert.finding for alert in listed if alert.answered and alert.finding)
    return Came(
        len(listed),
        sum(alert.standing for alert in listed),
        sum(alert.answered for alert in listed),
        tuple(sorted(times.items(), key=lambda one: (-one[1], one[0]))),
    )


def _case(rule_class: RuleClass, rule: Rule) -> Case:
    """A class of a rule with what it inherits, as the rule is judged: its own bound takes neither other bound along."""
    own = rule_class.raise_over is not None or rule_class.raise_under is not None
    bounds = []
    for kind, over_name, under_name in (
        ("raise", "raise_over", "raise_under"),
        ("now", "now_over", "now_under"),
        ("clear", "clear_over", "clear_under"),
    ):
        for name in (over_name, under_name):
            value = getattr(rule_class, name)
            if value is None and not own:
                value = getattr(rule, name)
            if value is not None:
                bounds.append(Threshold(kind, name == over_name, value, rule.unit))
    lasting = rule.lasting_s if rule_class.lasting_s is None else rule_class.lasting_s
    return Case(_where(rule_class.where), tuple(bounds), rule_class.urgency or rule.urgency, lasting)


def _where(where: Mapping[str, tuple[str | float | bool, ...]]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    return tuple(
        (name, tuple(f"{v:g}" if isinstance(v, float) else str(v) for v in values)) for name, values in where.items()
    )
