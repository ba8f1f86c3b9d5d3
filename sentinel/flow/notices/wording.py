"""The texts of notices: short titles for a lock screen, plain sentences, times on the farm's 24-hour clock."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from sentinel.flow.model import Alert, Notice, kind_of, name_of
from sentinel.flow.notices.desk import Desk
from sentinel.flow.notices.wants import Want
from sentinel.flow.people import Person

TITLE_LENGTH = 40
"""Characters of a title that a lock screen shows (common practice, no source)."""

LOOK_FIRST_MOST = 3

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def shown_time(moment: int, at: int, zone: str) -> str:
    """A moment on the farm's clock as told at `at`: the time, with the day if it is not today.

    >>> [shown_time(1_772_000_000 - 3600 * h, 1_772_000_000, "Europe/Berlin") for h in (1, 24, 24 * 9)]
    ['06:13', 'Tue 07:13', '16 Feb 07:13']
    """
    then, now = (datetime.fromtimestamp(t, ZoneInfo(zone)) for t in (moment, at))
    clock = f"{then.hour:02d}:{then.minute:02d}"
    apart = abs((then.date() - now.date()).days)
    if apart == 0:
        return clock
    if apart < 7:
        return f"{_DAYS[then.weekday()]} {clock}"
    year = f" {then.year}" if then.year != now.year else ""
    return f"{then.day} {_MONTHS[then.month - 1]}{year} {clock}"


def short(text: str, length: int = TITLE_LENGTH) -> str:
    """A text cut to a title's length, at the end of a part or of a word.

    >>> short("Box 2: 5 failed attachments of 18, 1.2 expected")
    'Box 2: 5 failed attachments of 18'
    >>> short("Box 2: 5 failed attachments")
    'Box 2: 5 failed attachments'
    """
    text = text.strip().rstrip(".")
    if len(text) <= length:
        return text
    cut = max(text.rfind(mark, 0, length + 1) for mark in (", ", "; ", " ("))
    if cut >= length // 2:
        return text[:cut]
    word = text.rfind(" ", 0, length)
    return text[: word if word > 0 else length - 1].rstrip(" ,;:(") + "…"


def spoken(name: str) -> str:
    """A subject or a rule and its subject, as said aloud.

    >>> spoken("quarter:217/LF"), spoken("box-quiet box:2"), spoken("herd")
    ('cow 217 LF', 'box-quiet, box 2', 'herd')
    """
    rule, _, subject = name.rpartition(" ")
    kind = "cow" if kind_of(subject) == "quarter" else kind_of(subject)
    said = f"{kind} {name_of(subject).replace('/', ' ')}".strip()
    return f"{rule}, {said}" if rule else said


def line_of(alert: Alert, at: int, zone: str) -> str:
    """One standing alert in one line: what, since when, and who answered or what holds it back."""
    line = f"{_bare(alert.text)}, since {shown_time(alert.since, at, zone)}"
    if alert.answered:
        line += f" ({_answer(alert)})"
    elif alert.covered_by:
        line += f" (with {spoken(alert.covered_by[0])})"
    elif alert.lies_from is not None and alert.lies_from > at:
        line += f" ({alert.lies_with} put it off until {shown_time(alert.lies_from, at, zone)})"
    elif alert.lies_with:
        line += f" (lies with {alert.lies_with})"
    return line


def tell_notice(at: int, desk: Desk, want: Want) -> Notice:
    """A notice about one standing alert: told first, handed on, or told again."""
    alert = want.alert
    body = [f"{_bare(alert.text)}.", f"Since {shown_time(alert.since, at, desk.zone)}."]
    if alert.again:
        body.append("It was over and has come back.")
    if want.unanswered:
        when = shown_time(want.unanswered.first_at, at, desk.zone)
        body.append(f"{want.unanswered.person} was told at {when} and has not answered.")
    if want.kind == "reminder":
        body.append("Nobody has answered yet.")
    if want.kind == "lies-with":
        body.append("It was put off until now, or handed to you.")
    if alert.look_first:
        body += ["Look first:", *(f"- {hint}" for hint in alert.look_first[:LOOK_FIRST_MOST])]
    title = short(f"Still: {alert.text}" if want.kind == "reminder" else alert.text)
    return Notice(at, want.person.name, want.kind, title, "\n".join(body), "now", (alert.id,))


def digest_notice(at: int, desk: Desk, person: Person, rest: Sequence[Want]) -> Notice:
    """Everything that does not fit under a person's ceiling, one line each."""
    title = f"{len(rest)} alerts together" if len(rest) > 1 else short(rest[0].alert.text)
    lines = [f"- {line_of(want.alert, at, desk.zone)}{_said_before(want)}" for want in rest]
    body = [f"More than {person.at_most} notices in an hour, so these come together:", *lines]
    return Notice(at, person.name, "digest", title, "\n".join(body), "now", tuple(want.alert.id for want in rest))


def over_notice(at: int, desk: Desk, person: Person, ended: Sequence[Alert]) -> Notice:
    """The closing line of each alert that ended, to one who was told of it."""
    title = short(f"Over: {ended[0].text}") if len(ended) == 1 else f"Over: {len(ended)} alerts"
    lines = []
    for alert in ended:
        when = shown_time(alert.over_at if alert.over_at is not None else at, at, desk.zone)
        why = f" ({_bare(alert.over_why)})" if alert.over_why else ""
        lines.append(f"Over at {when}{why}: {_bare(alert.text)}.{f' {_answer(alert)}.' if alert.answered else ''}")
    return Notice(at, person.name, "over", title, "\n".join(lines), "round", tuple(alert.id for alert in ended))


def _bare(text: str) -> str:
    """A sentence without its full stop, so that it can be carried on."""
    return text.strip().rstrip(".")


def _answer(alert: Alert) -> str:
    """Who answered an alert, and what they found."""
    return f"{alert.answered_by}: {_bare(alert.finding) or 'seen'}"


def _said_before(want: Want) -> str:
    """What a line of a digest adds about those who were told before."""
    if want.unanswered:
        return f" ({want.unanswered.person} has not answered)"
    return " (nobody has answered)" if want.kind == "reminder" else ""
