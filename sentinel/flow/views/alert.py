"""One alert, whole: the sentence, how bad it is, what to look at first, what may be answered, the figures, its log."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sentinel.flow.alerts.chain import Logged
from sentinel.flow.alerts.incidents import incidents
from sentinel.flow.language import Words, english
from sentinel.flow.measures import measure_named
from sentinel.flow.measures.base.facts import READING_AT
from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.measures.milking.lateness import HOURS_SINCE_MILKING
from sentinel.flow.model import Alert, kind_of
from sentinel.flow.reasons import Reason
from sentinel.flow.rules import Rule
from sentinel.flow.rules.course import course_whole, figures_of
from sentinel.flow.settings.farm import Farm
from sentinel.flow.views.now import Line, line_of
from sentinel.flow.views.parts.facts import Fact, compared, facts_of
from sentinel.flow.views.parts.links import Link
from sentinel.flow.views.parts.listed_cows import ListedCows
from sentinel.flow.views.parts.records import what_words

LIKELY = 2
"""So many answers are offered first (and as buttons, where a channel has them)."""


@dataclass(frozen=True, slots=True)
class Suspect:
    """One possible cause: its name (`arm`, `optics`, `cow`, `herd`, `unknown`), its weight of 1, and why.

    `likely` is the weight in words, one of `LIKELIHOODS`.
    """

    name: str
    weight: float
    sentence: str
    likely: str = ""


LIKELIHOODS = ("unlikely", "possible", "likely", "most likely")
LIKELY_FROM = (0.1, 0.4, 0.75)
"""From which weights on a suspect is called more than unlikely (our choice, no source)."""


def likelihood(weight: float) -> str:
    """A suspect's weight in words.

    >>> likelihood(0.02), likelihood(0.8)
    ('unlikely', 'most likely')
    """
    return LIKELIHOODS[sum(weight >= bound for bound in LIKELY_FROM)]


@dataclass(frozen=True, slots=True)
class Told:
    """One entry of an alert's log: when, what kind, who, and in words what; `number` is its place in the log."""

    number: int
    at: int
    kind: str
    person: str
    what: str


@dataclass(frozen=True, slots=True)
class WithIt:
    """Another standing alert of the same trouble."""

    alert: int
    what: str


@dataclass(frozen=True, slots=True)
class AlertPage:
    """Everything the page of one alert says.

    `usual`: the figure that says how bad it is, and what is usual for it. `course`: how its value has gone. `last`: the
    moment from which an elapsed value counts, such as the cow's last milking, and `every_h` the hours between her usual
    ones. Each is None, or empty, where it is not known.

    `line` is the alert as on the page of what stands. `likely` are the answers most often given on this farm (at most
    two), `findings` all that the rule offers, likely ones first. `pictures` names the charts that show it: those of its
    measure, and `cow`. `rule` is its rule's name, empty if that is gone. `cows` are those that it lists, if any.
    """

    line: Line
    usual: tuple[Fact, Fact] | None
    course: str
    last: Fact | None
    every_h: float | None
    standing: bool
    over_at: int | None
    over_why: Reason | None
    note: str
    facts: tuple[Fact, ...]
    suspects: tuple[Suspect, ...]
    caution: tuple[str, ...]
    look_first: tuple[str, ...]
    likely: tuple[str, ...]
    findings: tuple[str, ...]
    log: tuple[Told, ...]
    with_it: tuple[WithIt, ...]
    rule: str
    pictures: tuple[str, ...]
    cows: ListedCows | None

    @property
    def about(self) -> Link | None:
        """The page on which to decide about it: that of the cow, box or tank; of a quarter its cow's, with all four."""
        return next((link for link in self.line.links if kind_of(link.subject) != "quarter"), None)


def alert_page(
    alert: Alert,
    log: Iterable[Logged],
    rules: Mapping[str, Rule],
    farm: Farm,
    alerts: Iterable[Alert] = (),
    answers: Iterable[Logged] = (),
    words: Words | None = None,
    every_h: float | None = None,
    cows: ListedCows | None = None,
) -> AlertPage:
    """The page of one alert.

    `log`: the entries about it (others are left out). `alerts`: those that stand, for what holds back what. `every_h`:
    the hours after which she is usually milked, of a cow whose milkings are known. `cows`: those that it lists.
    `answers`: the `answer` entries of its rule, to offer first what was found most often. `words`: the farm's, plain
    English if none are given.
    """
    words = english(farm.zone) if words is None else words
    rule = rules.get(alert.rule)
    measure = measure_named(rule.measure) if rule else None
    others = list(alerts)
    findings = by_habit(rule.findings, answers, alert.rule) if rule else ()
    facts = (
        facts_of(alert.facts, rule.unit, measure.facts, measure.reset, alert.value)
        if rule and measure
        else facts_of(alert.facts, "")
    )
    return AlertPage(
        line=line_of(alert, others, rules, farm),
        usual=compared(alert.facts, rule.unit, measure) if rule and measure else None,
        course=_course(alert, rule, words),
        last=_last(facts, measure),
        every_h=every_h if measure is HOURS_SINCE_MILKING else None,
        standing=alert.standing,
        over_at=alert.over_at,
        over_why=alert.over_why,
        note=alert.note,
        facts=facts,
        suspects=suspects_of(alert.facts.get("suspects")),
        caution=alert.caution,
        look_first=alert.look_first,
        likely=findings[:LIKELY],
        findings=findings,
        log=told_in_order(alert.id, log, words),
        with_it=_with_it(alert, others),
        rule=rule.name if rule else "",
        pictures=pictures_of(rule, kind_of(alert.subject)),
        cows=cows,
    )


def _course(alert: Alert, rule: Rule | None, words: Words) -> str:
    """How a standing alert's value has gone; what is kept of it where its value is not known, empty once it is over."""
    if rule is None or not alert.standing:
        return alert.course if alert.standing else ""
    raised = alert.value if alert.raised_value is None else alert.raised_value
    worst = raised if alert.worst_value is None else alert.worst_value
    figures = figures_of(rule, raised, worst, alert.value, alert.facts.get("bound"), words)
    return course_whole(figures, words) if figures else alert.course


def _last(facts: Iterable[Fact], measure: Measure | None) -> Fact | None:
    """The moment from which an elapsed value counts."""
    moments = (fact for fact in facts if fact.name == READING_AT.name)
    return next(moments, None) if measure is not None and measure.reset else None


def _with_it(alert: Alert, others: Iterable[Alert]) -> tuple[WithIt, ...]:
    """The other alerts of its incident that stand, the one that says most first, and what it holds back."""
    name = f"{alert.rule} {alert.subject}"
    related = [o for o in others if o.incident == alert.incident != 0 or name in o.covered_by]
    ordered = (one for incident in incidents(related) for one in incident.alerts)
    return tuple(WithIt(one.id, one.text) for one in ordered if one.standing and one.id != alert.id)


def by_habit(findings: Sequence[str], answers: Iterable[Logged], rule: str) -> tuple[str, ...]:
    """A rule's answers, those given most often on this farm first; of two alike the one the rule names first.

    Each alert counts once, with the last answer it was given.
    """
    last: dict[int | None, str] = {}
    for logged in answers:
        entry = logged.entry
        if entry.kind == "answer" and entry.rule == rule:
            last[entry.alert] = str(entry.body.get("finding", ""))
    times = Counter(last.values())
    return tuple(sorted(findings, key=lambda finding: -times[finding]))


def likely_answers(rule: Rule | None, answers: Iterable[Logged], words: Words) -> tuple[tuple[str, str], ...]:
    """The answers most often given to a rule's alerts, as they are kept and as they are said."""
    findings = by_habit(rule.findings, answers, rule.name)[:LIKELY] if rule else ()
    return tuple((finding, words.say(finding)) for finding in findings)


def suspects_of(given: Any) -> tuple[Suspect, ...]:
    """The suspects that an alert carries, the heaviest first."""
    suspects = [
        Suspect(str(one["name"]), float(one["weight"]), str(one.get("said", "")), likelihood(float(one["weight"])))
        for one in given or ()
    ]
    return tuple(sorted(suspects, key=lambda one: -one.weight))


def told_in_order(alert: int, log: Iterable[Logged], words: Words) -> tuple[Told, ...]:
    """What was logged of one alert, in order; times in words are on the farm's clock."""
    entries = sorted((one for one in log if one.entry.alert == alert), key=lambda one: one.seq)
    return tuple(
        Told(one.seq, one.entry.at, one.entry.kind, one.entry.person, what_words(one.entry, words, one.reason))
        for one in entries
    )


def pictures_of(rule: Rule | None, kind: str) -> tuple[str, ...]:
    """Which charts show an alert of this rule on this kind of subject; of one that is gone only hers show a cow's.

    Of a cow or a quarter only charts of her own, and always her milkings.
    """
    charts = measure_named(rule.measure).charts if rule else ()
    if kind in ("cow", "quarter"):
        return (*(chart for chart in charts if chart in ("quarter", "late")), "cow")
    return charts
