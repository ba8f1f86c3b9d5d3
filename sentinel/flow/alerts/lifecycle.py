"""One alert's life: raised, again, more pressing, held back, answered, over.

One standing alert per rule and subject; everything that happens to it is an entry for the log. Pure: verdicts
and the alerts so far in, alerts and entries out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from sentinel.flow.alerts.incidents import PRESSING, answered_with, joined, suspect_in
from sentinel.flow.alerts.links import Links, covers
from sentinel.flow.alerts.listed import comes_on_list
from sentinel.flow.alerts.read_again import NOTHING, ReadAgain
from sentinel.flow.evaluation.quiet import with_it
from sentinel.flow.evaluation.verdicts import Judgement
from sentinel.flow.language import Words, rendered
from sentinel.flow.measures.base.facts import READING_AT
from sentinel.flow.measures.system.health import FEED_QUIET_MIN
from sentinel.flow.model import Alert, Answer, Entry, State, Subject, Verdict, kind_of
from sentinel.flow.ordering import in_order
from sentinel.flow.reasons import Reason
from sentinel.flow.rules import Rule, cautions, course_of, look_first
from sentinel.flow.sentence import sentence

Pair = tuple[str, Subject]


@dataclass(frozen=True, slots=True)
class Moved:
    """What one tick did to the alerts: every alert that changed, and the entries that say so, in order."""

    alerts: tuple[Alert, ...]
    entries: tuple[Entry, ...]


def move(
    at: int,
    rules: Mapping[str, Rule],
    judged: Mapping[str, Judgement],
    alerts: Mapping[Pair, Alert],
    next_id: int,
    links: Links,
    words: Words,
    because: str = "",
    read_again: ReadAgain = NOTHING,
) -> Moved:
    """Carry the alerts over one tick.

    `judged`: the verdicts of each rule that was judged at this tick; a rule that is missing, or a subject without
    a verdict, changes nothing. `alerts`: the newest alert of each rule and subject. `because` goes into the
    entries when a changed rule, not new data, is the cause. `words`: the farm's; what an alert says is kept as it was
    said in them. `read_again`: an alert that may rest on it ends with that reason, unless it still holds.
    """
    body = {"because": because} if because else {}
    changed, entries = _ended_by_rules(at, rules, alerts, body)
    alerts = {pair: alert for pair, alert in alerts.items() if pair not in changed}
    for name, judgement in judged.items():
        for verdict in sorted(judgement.verdicts, key=lambda v: v.subject):
            pair = (name, verdict.subject)
            others = with_it(verdict.subject, links.leads) if rules[name].measure == FEED_QUIET_MIN.name else ()
            last = alerts.get(pair)
            anew = last is not None and last.standing and read_again.names(last, rules[name])
            wording = _told(rules[name], verdict, at, words, None if anew else last, others)
            moved, entry = _moved(at, verdict, rules[name], wording, last, next_id, judgement.whole)
            if moved is not None:
                changed[pair] = moved
                next_id = max(next_id, moved.id + 1)
            if entry is not None:
                entries.append(replace(entry, body={**entry.body, **body}))
    for pair, alert in alerts.items():
        judgement_of_rule = judged.get(pair[0])
        if alert.standing and pair not in changed and judgement_of_rule is not None and judgement_of_rule.whole:
            if all(verdict.subject != pair[1] for verdict in judgement_of_rule.verdicts):
                changed[pair] = replace(alert, over_at=at, over_why=UNWATCHED, covered_by=())
                entries.append(_entry(at, "over", changed[pair], {"why": str(UNWATCHED), **body}))
    for over, entry in _ended_by_reading(at, rules, judged, alerts, changed, read_again):
        changed[(over.rule, over.subject)] = over
        entries = [one for one in entries if one.alert != over.id or one.kind != "over"] + [entry]
    changed |= {pair: over for pair, over in _read_otherwise(rules, {**alerts, **changed}, read_again)}
    now = {**alerts, **changed}
    for pair, alert in now.items():
        rule = rules.get(alert.rule)
        if rule and alert.standing and rule.over_after_s and at >= alert.came + rule.over_after_s:
            changed[pair] = replace(alert, over_at=at, over_why=AGED, covered_by=())
            entries.append(_entry(at, "over", changed[pair], {"why": str(AGED)}))
    covered, cover_entries = cover(at, rules, {**alerts, **changed}, links)
    changed = {**changed, **covered}
    changed |= {(alert.rule, alert.subject): alert for alert in joined({**alerts, **changed})}
    return Moved(tuple(changed.values()), (*(_with_incident(entry, changed) for entry in entries), *cover_entries))


def _ended_by_rules(
    at: int, rules: Mapping[str, Rule], alerts: Mapping[Pair, Alert], body: Mapping[str, Any]
) -> tuple[dict[Pair, Alert], list[Entry]]:
    """The standing alerts of which no rule can say anything any more: their rule is gone, or about other subjects."""
    ended: dict[Pair, Alert] = {}
    entries = []
    for pair, alert in alerts.items():
        rule = rules.get(alert.rule)
        why = UNUSED if rule is None else OTHER_SUBJECTS if kind_of(alert.subject) != rule.per else None
        if alert.standing and why is not None:
            ended[pair] = replace(alert, over_at=at, over_why=why, covered_by=())
            entries.append(_entry(at, "over", ended[pair], {"why": str(why), **body}))
    return ended, entries


def _ended_by_reading(
    at: int,
    rules: Mapping[str, Rule],
    judged: Mapping[str, Judgement],
    alerts: Mapping[Pair, Alert],
    changed: Mapping[Pair, Alert],
    read_again: ReadAgain,
) -> Iterator[tuple[Alert, Entry]]:
    """The alerts that do not hold by what was read again: clear, or not to be told any more."""
    if not read_again:
        return
    holding = {
        (name, verdict.subject)
        for name, judgement in judged.items()
        for verdict in judgement.verdicts
        if verdict.state is State.HOLDS
    }
    for pair, alert in alerts.items():
        rule = rules.get(alert.rule)
        if not alert.standing or pair in holding or rule is None or alert.rule not in judged:
            continue
        if read_again.may_rest_on(alert, rule):
            over = replace(changed.get(pair, alert), over_at=at, over_why=read_again.why, covered_by=())
            body = {"why": str(read_again.why), "read_again": "; ".join(read_again.because)}
            yield over, _entry(at, "over", over, body)


def _read_otherwise(
    rules: Mapping[str, Rule], alerts: Mapping[Pair, Alert], read_again: ReadAgain
) -> Iterator[tuple[Pair, Alert]]:
    """The alerts that are over and were about rows that now read otherwise.

    By which reading one held last says no more when it may be raised anew: that reading is another one now.
    """
    for pair, alert in alerts.items():
        rule = rules.get(alert.rule)
        if not alert.standing and READING_AT.name in alert.facts and rule is not None and read_again.names(alert, rule):
            yield (
                pair,
                replace(alert, facts={name: fact for name, fact in alert.facts.items() if name != READING_AT.name}),
            )


def _with_incident(entry: Entry, changed: Mapping[Pair, Alert]) -> Entry:
    """The entry of an alert that came, saying which incident it joined if it did not found one, and who has it."""
    alert = changed.get((entry.rule, entry.subject))
    if entry.kind not in ("raised", "again", "more-pressing") or alert is None or alert.incident == alert.id:
        return entry
    seen_to = {"answered_by": alert.answered_by, "finding": alert.finding} if alert.answered else {}
    return replace(entry, body={**entry.body, "incident": alert.incident, **seen_to})


def _told(
    rule: Rule, verdict: Verdict, at: int, words: Words, last: Alert | None, others: Sequence[str] = ()
) -> dict[str, Any]:
    """What an alert says: its value and how that went, figures, sentence, what to mind and to look at first.

    Only one that stands needs them. `last`: the newest alert of the rule and subject. `others`: the feeds that stopped
    with the one it is about.
    """
    if verdict.state is not State.HOLDS:
        return {}
    goes_on = last is not None and last.standing and PRESSING[verdict.urgency] <= PRESSING[last.urgency]
    return {
        "value": verdict.value,
        "facts": rendered(dict(verdict.facts), words),
        "text": sentence(rule, verdict, at, words, others),
        "caution": cautions(rule, verdict, at, words),
        "look_first": look_first(rule, verdict, at, words),
        **asdict(course_of(rule, verdict, last if goes_on else None, words)),
    }


AGED, ENDED, UNWATCHED, UNUSED = Reason("aged"), Reason("ended"), Reason("unwatched"), Reason("unused")
OTHER_SUBJECTS = Reason("other-subjects")
"""Why an alert ended. The log has it in English, whatever the farm's language is."""


def age_dues(at: int, rules: Mapping[str, Rule], alerts: Iterable[Alert]) -> list[int]:
    """When standing alerts end by their age."""
    return [
        max(at + 1, alert.came + rules[alert.rule].over_after_s)
        for alert in alerts
        if alert.standing and alert.rule in rules and rules[alert.rule].over_after_s
    ]


def _moved(
    at: int, verdict: Verdict, rule: Rule, wording: Mapping[str, Any], last: Alert | None, next_id: int, whole: bool
) -> tuple[Alert | None, Entry | None]:
    """What one verdict does to the newest alert of its rule and subject; `wording` is what the alert then says.

    `whole`: the verdict knows since when in any case, so that a row that came late puts a standing alert right.
    """
    if verdict.state is State.CLEAR and last is not None:
        if last.standing:
            over = replace(last, over_at=at, over_why=ENDED, covered_by=())
            return over, _entry(at, "over", over, {"why": str(ENDED), "value": verdict.value})
        if last.over_why == AGED:
            return replace(last, over_why=ENDED), None  # from here on it may be raised anew
    if verdict.state is not State.HOLDS:
        return None, None
    since = verdict.since if verdict.since is not None else at
    body: dict[str, Any] = {"value": verdict.value, "text": wording["text"], "since": since, "urgency": verdict.urgency}
    if "suspects" in wording["facts"]:
        body["suspects"] = list(wording["facts"]["suspects"])
    if last is not None and last.standing:
        if not last.old and "old_since" in wording["facts"]:  # it was news when it was raised, and still is
            fresh_facts = {name: fact for name, fact in wording["facts"].items() if name != "old_since"}
            wording = {**wording, "facts": fresh_facts, "text": last.text, "look_first": last.look_first}
        begun: dict[str, Any] = {"since": since} if whole else {}
        if PRESSING[verdict.urgency] > PRESSING[last.urgency]:
            worse = replace(last, **wording, **UNANSWERED, **begun, urgency=verdict.urgency)
            return worse, _entry(at, "more-pressing", worse, body)
        fresh = replace(last, **wording, **begun)
        if last.answered and comes_on_list(last.facts, wording["facts"]):
            longer = replace(fresh, **UNANSWERED, came_at=at)
            return longer, _entry(at, "again", longer, body)
        return (None, None) if fresh == last else (fresh, None)
    if last is not None and last.over_at is not None:
        if last.over_why == AGED:
            return None, None  # let go for its age, and it has not been clear since
        if rule.again_within_s and at - last.over_at <= rule.again_within_s:
            times = last.again + 1
            standing: dict[str, Any] = {"over_at": None, "over_why": None, "since": since, "urgency": verdict.urgency}
            joins: dict[str, Any] = {"incident": -last.incident, "suspect": suspect_in(wording["facts"])}
            again = replace(last, **wording, **UNANSWERED, **standing, **joins, again=times, came_at=at)
            return again, _entry(at, "again", again, body)
    suspect = suspect_in(wording["facts"])
    raised = Alert(next_id, rule.name, verdict.subject, at, since, verdict.urgency, **wording, suspect=suspect)
    return raised, _entry(at, "raised", raised, body)


UNANSWERED: dict[str, Any] = {
    "answered_at": None,
    "answered_by": "",
    "finding": "",
    "note": "",
    "lies_with": "",
    "lies_from": None,
}
"""An alert that comes again, or presses more or lists more than when it was answered, is news: it is told anew."""


def cover(
    at: int, rules: Mapping[str, Rule], alerts: Mapping[Pair, Alert], links: Links
) -> tuple[dict[Pair, Alert], list[Entry]]:
    """Hold back the pushes of alerts whose cause stands as an alert of its own, and let through the others."""
    standing = [a for a in alerts.values() if a.standing]
    changed: dict[Pair, Alert] = {}
    entries: list[Entry] = []
    for alert in standing:
        rule = rules.get(alert.rule)
        names = rule.covered_by if rule else ()
        causes = (f"{c.rule} {c.subject}".strip() for c in standing if covers(c, alert, names, links))
        covered = tuple(in_order(causes))
        if covered == alert.covered_by:
            continue
        changed[(alert.rule, alert.subject)] = replace(alert, covered_by=covered)
        if bool(covered) != bool(alert.covered_by):
            kind = "held-back" if covered else "let-through"
            entries.append(_entry(at, kind, alert, {"covered_by": list(covered)}))
    return changed, entries


def take_answers(
    at: int, answers: Sequence[Answer], alerts: Iterable[Alert]
) -> tuple[tuple[Alert, ...], tuple[Entry, ...]]:
    """Put people's answers on their alerts; one for an alert that does not exist is a problem in the log, not lost.

    `alerts`: those that the answers name, and the others of their incidents: an answer answers those of them as well
    of which it says what it was (`answered_with`). An answer that comes late (a phone had no signal) is in the log, but
    does not undo a later one, and is none to an alert that came again after it was given. One that a wrong clock dated
    later than `at` was given at it.
    """
    answers = [answer if answer.at <= at else _given_at(at, answer) for answer in answers]
    known = {alert.id: alert for alert in alerts}
    entries: list[Entry] = []
    changed: dict[int, Alert] = {}
    for answer in answers:
        alert = known.get(answer.alert)
        if alert is None:
            body = {"finding": answer.finding, "note": answer.note, "answered_at": answer.at}
            complaint = f"an answer names alert {answer.alert}, which does not exist"
            entries.append(Entry(at, "problem", None, person=answer.person, body={"said": complaint, **body}))
            continue
        entries.append(_answer_entry(at, alert, answer))
        if _too_late(answer, alert):
            continue
        for member in known.values():
            if answered_with(answer, alert, member) and not _too_late(answer, member):
                entries.append(_answer_entry(at, member, answer, with_alert=alert.id))
                changed[member.id] = _answered(at, member, answer)
        changed[alert.id] = _answered(at, alert, answer)
        known |= changed
    return tuple(changed.values()), tuple(entries)


def _given_at(at: int, answer: Answer) -> Answer:
    """The answer as given at `at`; what it put off, it put off for as long."""
    until = None if answer.until is None else answer.until - answer.at + at
    return replace(answer, at=at, until=until)


def _too_late(answer: Answer, alert: Alert) -> bool:
    """Whether an answer is older than what has become of its alert since."""
    later = alert.answered_at is not None and alert.answered_at > answer.at
    return later or (alert.came_at is not None and alert.came_at > answer.at)


def _answered(at: int, alert: Alert, answer: Answer) -> Alert:
    """The alert with an answer, put off, or in another person's hands."""
    if answer.until is not None:
        return replace(alert, lies_with=answer.person, lies_from=max(at, answer.until))
    if answer.hand_to:
        return replace(alert, lies_with=answer.hand_to, lies_from=at)
    return replace(
        alert,
        answered_at=answer.at,
        answered_by=answer.person,
        finding=answer.finding,
        note=answer.note,
        lies_with="",
        lies_from=None,
    )


def _answer_entry(at: int, alert: Alert, answer: Answer, with_alert: int | None = None) -> Entry:
    """The log's entry about an answer, a putting off or a handing over; `with_alert`: it was given to that one."""
    body: dict[str, object] = {"note": answer.note, "answered_at": answer.at}
    if with_alert is not None:
        body["with"] = with_alert
    if answer.until is not None:
        return _entry(at, "put-off", alert, {**body, "until": answer.until}, answer.person)
    if answer.hand_to:
        return _entry(at, "handed", alert, {**body, "to": answer.hand_to}, answer.person)
    return _entry(at, "answer", alert, {**body, "finding": answer.finding}, answer.person)


def _entry(at: int, kind: str, alert: Alert, body: Mapping[str, object], person: str = "") -> Entry:
    """A log entry about an alert."""
    return Entry(at, kind, alert.id, alert.rule, alert.subject, person, body)
