"""The whole middle in one screen: rows known at a moment in, verdicts and alerts out.

tables + known-until  ->  judge each rule  ->  move the alerts  ->  (notices plan what is told)
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from sentinel.flow.alerts.lifecycle import Moved, Pair, move
from sentinel.flow.alerts.links import Links
from sentinel.flow.alerts.read_again import NOTHING, ReadAgain
from sentinel.flow.bounds import ALIKE
from sentinel.flow.evaluation.held_readings import Began
from sentinel.flow.evaluation.pending import Look
from sentinel.flow.evaluation.quiet import no_news
from sentinel.flow.evaluation.verdicts import Judgement, judge
from sentinel.flow.language import Words
from sentinel.flow.measures import measure_named
from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.model import Alert, Batch, Entry, Notice, Problem, SetAside, Source
from sentinel.flow.notices.history import ONE_INCIDENT
from sentinel.flow.reasons import Reason
from sentinel.flow.rules import Rule
from sentinel.flow.tables import table_named

AHEAD_S = 600
"""A row may be dated this far past the moment it arrives (box clocks differ); later ones are set aside."""

LATER = Reason("dated-later")
"""Why such a row is set aside, as it is kept; it begins at the moment it names, so that it is read again after that."""


@dataclass(frozen=True, slots=True)
class Decision:
    """What a moment's rows mean: the judgements, what happened to the alerts, when time alone changes something.

    `failures`: the rules that could not be decided, each with the problem.
    """

    judged: Mapping[str, Judgement]
    moved: Moved
    due: int | None
    failures: Mapping[str, Problem] = field(default_factory=dict)


def decide(
    at: int,
    rules: Mapping[str, Rule],
    look_for: Callable[[Rule, Measure], Look | None],
    known: Mapping[str, int | None],
    alerts: Mapping[Pair, Alert],
    next_id: int,
    links: Links,
    words: Words,
    because: str = "",
    read_again: ReadAgain = NOTHING,
) -> Decision:
    """Judge the rules over the rows known at `at` and carry the alerts over.

    `look_for` gives the rows a rule needs to look at now, or None if nothing it rests on has changed. `words`: in which
    the alerts are told. A failure inside a measure makes its rule unknown and is returned as a problem; it never means
    "no match". `read_again`: rows that were read again by another map since the last tick.
    """
    judged: dict[str, Judgement] = {}
    standing_alerts = [alert for alert in alerts.values() if alert.standing]
    ended_alerts = [alert for alert in alerts.values() if not alert.standing and "reading_at" in alert.facts]
    failures: dict[str, Problem] = {}
    for name, rule in rules.items():
        measure = measure_named(rule.measure)
        look = look_for(rule, measure)
        if look is None:
            continue
        alerts_of_rule = [a for a in (ended_alerts if measure.as_usual_was else ()) if a.rule == name]
        alerts_of_rule += [a for a in standing_alerts if a.rule == name]
        try:
            begun = {
                a.subject: Began(a.since, None) if read_again.names(a, rule) else _began(a)
                for a in alerts_of_rule
                if look.sees(a.subject) and (a.standing or not read_again.names(a, rule))
            }
            fresh_judgement = judge(rule, measure, look.tables, known, at, begun)
            judged[name] = no_news(fresh_judgement, measure, look.tables.farm, at)
        except Exception as error:  # whatever it is, the rule is unknown and the person is told
            sentence = f"{name} could not be decided: {type(error).__name__}: {error}"
            failures[name] = Problem(rule.source or Source(name), sentence)
    dues = [judgement.due for judgement in judged.values() if judgement.due is not None]
    moved = move(at, rules, judged, alerts, next_id, links, words, because, read_again)
    return Decision(judged, moved, min(dues, default=None), failures)


def _began(alert: Alert) -> Began:
    """How the newest alert of a rule and subject began, and by which reading it held last if it is over."""
    last = None if alert.standing else alert.facts["reading_at"]
    return Began(alert.since, alert.facts.get("usual"), last)


def without_future(batch: Batch, at: int) -> Batch:
    """The batch with rows dated after it arrived set aside: one wrong clock must not make a whole feed look fresh."""
    if batch.complete_until is not None and batch.complete_until > at:
        batch = replace(batch, complete_until=at)
    limit = at + AHEAD_S
    parts, aside = [], list(batch.set_aside)
    lines: set[int] = set()
    lines_set_aside = {set_aside.line for set_aside in aside}
    for rows in batch.rows:
        where = rows.columns.index(table_named(rows.table).happened)
        ahead = [values[where] > limit for values in rows.values]
        if any(ahead):
            lines |= {line for line, late in zip(rows.lines, ahead, strict=True) if late}
    for rows in batch.rows if lines else ():
        kept = [i for i, line in enumerate(rows.lines) if line not in lines]
        parts.append(
            replace(rows, values=tuple(rows.values[i] for i in kept), lines=tuple(rows.lines[i] for i in kept))
        )
        where = rows.columns.index(table_named(rows.table).happened)
        for values, line in zip(rows.values, rows.lines, strict=True):
            if line in lines and line not in lines_set_aside:
                lines_set_aside.add(line)
                shown = ", ".join(f"{c}={v}" for c, v in zip(rows.columns, values, strict=True) if v is not None)
                at_length = len(lines_set_aside) <= ALIKE
                set_aside = SetAside(line, shown[:2000], LATER) if at_length else SetAside(line, "", None)
                aside.append(replace(set_aside, begin=values[where]))
    if not lines:
        return batch
    return replace(batch, rows=tuple(parts), set_aside=tuple(aside))


def rule_changes(old: Mapping[str, Rule], new: Mapping[str, Rule]) -> list[str]:
    """In words, how a rulebook differs from the one before: `rules/cows.yaml: late-cow: raise_over 14 -> 12 h`."""
    changes = [f"{new[name].source.name}: {name} was added" for name in new if name not in old]
    changes += [f"{old[name].source.name}: {name} was taken out" for name in old if name not in new]
    for name in new:
        if name not in old:
            continue
        before, after = old[name], new[name]
        for setting in type(after).model_fields:
            was, is_now = getattr(before, setting), getattr(after, setting)
            if was != is_now and setting not in ("source", "text", "examples", "about", "unit"):
                unit = f" {after.unit}" if setting.partition("_")[0] in ("raise", "clear", "now") else ""
                changes.append(f"{after.source.name}: {name}: {setting} {_short(was)} → {_short(is_now)}{unit}")
    return changes


def _short(value: object) -> str:
    """A setting as the log shows it."""
    if isinstance(value, float):
        return f"{value:g}"
    text = str(value)
    return text if len(text) <= 60 else text[:57] + "..."


def problem_entry(at: int, problem: Problem) -> Entry:
    """The log's line about something that could not be decided."""
    return Entry(at, "problem", body={"said": str(problem)})


def notice_entry(notice: Notice) -> Entry:
    """The log's line about a notice: to whom, of what kind, about which alerts, with its words."""
    kind = "reminder" if notice.kind == "reminder" else "notice"
    alert = notice.alerts[0] if len(notice.alerts) == 1 or notice.kind in ONE_INCIDENT else None
    body = {"notice": notice.id, "kind": notice.kind, "title": notice.title, "alerts": list(notice.alerts)}
    return Entry(notice.at, kind, alert, person=notice.person, body=body)
