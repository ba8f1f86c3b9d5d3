"""One trouble, one incident: which alerts have one cause, and are told, answered and ended together.

An alert belongs to the incident of whatever covers it (a cow that is late to that of the box that stands still). Any
other founds one when it is raised, or joins one at the same place: at a box that with the same likeliest suspect, at a
cow that of signs that came within a day, of export files that of their feed. The incident is known by the number of the
alert that founded it, which it keeps while others come and go; it is over when none of its alerts stands.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sentinel.flow.language import Words, told
from sentinel.flow.model import DAY_S, Alert, Answer, Subject, kind_of, name_of
from sentinel.flow.subjects import belongs_to, subject_words

JOIN_WITHIN_S = DAY_S
"""A cow's signs that come within so many seconds are one trouble (our choice, no source)."""

PRESSING = {"log": 0, "round": 1, "now": 2}

SUSPECT_OF_FINDING = {
    "arm out of line": "arm",
    "already set": "arm",
    "optics dirty": "optics",
    "already cleaned": "optics",
    "cow restless": "cow",
    "udder or teat": "cow",
    "coat or dirt": "cow",
    "air or vacuum": "herd",
    "air pressure low": "herd",
    "flies or heat": "herd",
}
"""Which suspect a finding names; any other finding names the one that its own alert has."""

ASKED = {"arm": "arm out of line?", "optics": "optics dirty?"}
"""What a box's incident is called, by a likeliest suspect that is the box's own: a question, never a diagnosis."""


@dataclass(frozen=True, slots=True)
class Incident:
    """One trouble: its number, and the alerts it has now, the one that says most first."""

    id: int
    alerts: tuple[Alert, ...]


def suspect_in(facts: Mapping[str, Any]) -> str:
    """The likeliest suspect that an alert's facts name; empty if they name none.

    >>> suspect_in({"suspects": [{"name": "arm", "weight": 0.9}, {"name": "optics", "weight": 0.1}]})
    'arm'
    """
    suspects = facts.get("suspects") or ()
    return str(suspects[0]["name"]) if suspects else ""


def place_of_trouble(subject: Subject) -> Subject:
    """Where signs of one trouble meet: the cow for her quarters, all of a feed's unread rows, else the subject itself.

    >>> place_of_trouble("quarter:217/LF"), place_of_trouble("box:2"), place_of_trouble("unread:visits/Milk")
    ('cow:217', 'box:2', 'unread:visits')
    """
    if kind_of(subject) == "unread":
        return f"unread:{name_of(subject).partition('/')[0]}"
    return next((one for one in belongs_to(subject) if kind_of(one) == "cow"), subject)


def alike(at: int, place: Subject, suspect: str, other_at: int, other_place: Subject, other_suspect: str) -> bool:
    """Whether an alert that came at `at` is a sign of the same trouble as another one that stands."""
    if place != other_place:
        return False
    match kind_of(place):
        case "box":
            return bool(suspect) and suspect == other_suspect
        case "cow":
            return abs(at - other_at) <= JOIN_WITHIN_S
        case "unread":
            return True
    return False


def joined(alerts: Mapping[tuple[str, Subject], Alert]) -> list[Alert]:
    """The standing alerts that belong to another incident now than they say, put right.

    `alerts`: the newest of each rule and subject. One that was raised says 0; one that came again says its incident of
    before as a negative number, and goes back to it where it finds no other.
    """
    standing = sorted((alert for alert in alerts.values() if alert.standing), key=lambda alert: alert.id)
    by_name = {f"{alert.rule} {alert.subject}": alert for alert in standing}
    belongs = {alert.id: (alert.incident, alert.incident_at) for alert in standing}
    companions: dict[Subject, list[Alert]] = defaultdict(list)
    for alert in standing:
        if alert.incident > 0 and not alert.covered_by and not alert.incident_at:
            companions[place_of_trouble(alert.subject)].append(alert)
    for alert in standing:
        if alert.incident > 0:
            continue
        place = place_of_trouble(alert.subject)
        found = [
            belongs[one.id][0]
            for one in companions[place]
            if alike(alert.came, place, alert.suspect, one.came, place, one.suspect)
        ]
        before = 0 if alert.incident_at else -alert.incident
        belongs[alert.id] = (min(found, default=before or alert.id), "")
        if not alert.covered_by:
            companions[place].append(alert)
    for alert in standing:
        cause = _cause(alert, by_name)
        if cause is not alert:
            number, founded_at = belongs[cause.id]
            founded_at = founded_at or place_of_trouble(cause.subject)
            belongs[alert.id] = (number, "" if founded_at == place_of_trouble(alert.subject) else founded_at)
    now = [replace(alert, incident=belongs[alert.id][0], incident_at=belongs[alert.id][1]) for alert in standing]
    answered = [alert for alert in now if alert.answered and alert.suspect]
    put_right = [_with_answer(alert, answered) for alert in now]
    return [alert for alert, before in zip(put_right, standing, strict=True) if alert != before]


def _with_answer(alert: Alert, answered: Iterable[Alert]) -> Alert:
    """One at a box that joins after the answer, and has the suspect that it names, has that answer, too.

    Unless it presses more than what was answered: then it is news.
    """
    if alert.answered or not alert.suspect or alert.lies_from is not None:
        return alert
    for other in answered:
        same = other.incident == alert.incident and other.subject == alert.subject
        if same and answers(other, alert.suspect) and PRESSING[other.urgency] >= PRESSING[alert.urgency]:
            return replace(
                alert,
                answered_at=other.answered_at,
                answered_by=other.answered_by,
                finding=other.finding,
                note=other.note,
            )
    return alert


def answers(answered: Alert, suspect: str) -> bool:
    """Whether the answer to an alert names a suspect."""
    return SUSPECT_OF_FINDING.get(answered.finding, answered.suspect) == suspect


def _cause(alert: Alert, by_name: Mapping[str, Alert]) -> Alert:
    """What covers an alert, and is not covered itself: the first that stands of those it names, and so on."""
    seen = {alert.id}
    while True:
        causes = (by_name[name] for name in alert.covered_by if name in by_name)
        cause = next((one for one in causes if one.id not in seen), None)
        if cause is None:
            return alert
        seen.add(cause.id)
        alert = cause


def incidents(alerts: Iterable[Alert]) -> list[Incident]:
    """Alerts by their incidents, in order of the incidents' numbers; the one that says most first in each."""
    members: dict[int, list[Alert]] = defaultdict(list)
    for alert in alerts:
        members[alert.incident or alert.id].append(alert)
    return [Incident(number, tuple(sorted(members[number], key=_weight))) for number in sorted(members)]


def _weight(alert: Alert) -> tuple[bool, bool, bool, int, int, int]:
    """Those that stand, press most and are no consequence of another first; then as they came."""
    covered = bool(alert.covered_by)
    return not alert.standing, covered, alert.answered, -PRESSING[alert.urgency], alert.came, alert.id


def answered_with(answer: Answer, alert: Alert, member: Alert) -> bool:
    """Whether the answer to one alert answers another of its incident.

    At a box it does where it names the suspect that the other one has; at a cow, where somebody has been to see her,
    and of what could not be read of a feed it always does. What something else covers is held back anyway, and is to be
    seen to if it stands after that is over.
    """
    if not member.standing or member.answered or member.covered_by or member.id == alert.id:
        return False
    if (member.incident or member.id) != (alert.incident or alert.id) or member.came > answer.at:
        return False
    place = place_of_trouble(alert.subject)
    if place_of_trouble(member.subject) != place:
        return False
    if kind_of(place) == "box":
        return answers(replace(alert, finding=answer.finding), member.suspect)
    return kind_of(place) in ("cow", "unread")


def title_of(incident: Incident, words: Words) -> str:
    """What the trouble is called, short: `Box 2: arm out of line?`; the first alert's sentence if it stands alone."""
    first = incident.alerts[0]
    place = place_of_trouble(first.subject)
    named = subject_words(place, words)
    named = named[:1].upper() + named[1:]
    if kind_of(place) == "box" and first.suspect in ASKED:
        return f"{named}: {words.say(ASKED[first.suspect])}"
    cows = _cows_under(incident.alerts)
    if kind_of(place) == "box" and cows:
        return told(words, "{what}; {n|cow|cows} with it", what=_first_part(first.text), n=cows)
    signs = [one for one in incident.alerts if one.standing and not one.covered_by]
    if kind_of(place) == "cow" and len(signs) > 1:
        return told(words, "{place}: {n} signs at once", place=named, n=len(signs))
    return first.text


def _cows_under(alerts: Sequence[Alert]) -> int:
    """How many cows are mentioned as a consequence."""
    return len({name_of(a.subject) for a in alerts if a.standing and a.covered_by and kind_of(a.subject) == "cow"})


def _first_part(text: str) -> str:
    """A sentence up to its first pause."""
    cut = min((at for at in (text.find(mark) for mark in (", ", "; ", " (")) if at > 0), default=len(text))
    return text[:cut].rstrip(".")
