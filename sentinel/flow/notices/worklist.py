"""The worklist as it is sent before a round: when, to whom, and in which words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sentinel.flow.language import Words, told
from sentinel.flow.model import HOUR_S, Alert, Notice, natural_key
from sentinel.flow.notices.desk import Desk
from sentinel.flow.notices.wording import BOX_CAUTION, at_most, line_of
from sentinel.flow.schedule.rounds import rounds_around
from sentinel.flow.schedule.sections import at_box, sections
from sentinel.flow.settings.people import Person
from sentinel.flow.subjects import BOXES, STOPS, Place

LATE_S = 2 * HOUR_S
"""Seconds for which a worklist that could not be sent in time is still worth sending."""


def _moments(desk: Desk, around: int) -> tuple[tuple[int, int], ...]:
    """Worklists from the day before a moment to a week after it: when each is sent, and when its round begins."""
    return tuple((begins - desk.worklist_before_s, begins) for begins in rounds_around(desk.rounds, around, desk.zone))


def worklist_due(at: int, desk: Desk, person: Person, sent: Sequence[Notice], since: int | None) -> int | None:
    """When the round begins for which a person is due the worklist at `at`; None if none is due.

    The latest one since the tick before, if it is not too late for it and it was not sent.
    """
    if not person.worklist or since is None:
        return None
    due = [
        (sends, begins)
        for sends, begins in _moments(desk, at)
        if since < sends <= at and at - sends <= LATE_S and person.round.cover(sends, desk.zone)
    ]
    if not due:
        return None
    sends, begins = due[-1]
    was_sent = any(n.kind == "worklist" and n.person == person.name and n.at >= sends for n in sent)
    return None if was_sent else begins


def next_worklist(at: int, desk: Desk, person: Person) -> int | None:
    """The next moment after `at` at which a person is sent a worklist."""
    if not person.worklist:
        return None
    moments = (sends for sends, _ in _moments(desk, at))
    return next((m for m in moments if m > at and person.round.cover(m, desk.zone)), None)


def worklist_notice(
    at: int,
    desk: Desk,
    person: Person,
    alerts: Sequence[Alert],
    known: Mapping[str, int | None],
    round_at: int,
    due: Sequence[tuple[Place, str]] = (),
    watched: str = "",
) -> Notice:
    """The list of all that stands: first what could not wait and still stands, then place by place, with what is due.

    `due`: the place (one of `STOPS`) and the line of what no alert tells of (chores, wires to move, cows still out).
    Every list ends with until when each feed is known, so that a quiet one is not mistaken for a quiet farm; `watched`
    stands before it and says whether all is watched.
    """
    alerts_at = dict(sections(alerts, desk.boxes))
    listed = [alert for here in alerts_at.values() for alert in here]
    words = desk.speaks()
    parts: list[str] = []
    mind = [words.say(BOX_CAUTION)]  # once, where box work is listed first
    for stop in STOPS:
        here = alerts_at.get(stop, ())
        chores = [line for place, line in due if place == stop]
        lines = [*(line_of(alert, at, words) for alert in here), *chores]
        box_work = any(at_box(a.subject, desk.boxes) for a in here) or bool(chores and stop == BOXES)
        first, mind = (mind, []) if box_work else ([], mind)
        if lines:
            shown_lines = at_most([f"- {line}" for line in lines], words)
            parts.append("\n".join([f"{words.say(stop.heading)}:", *first, *shown_lines]))
    if not parts:
        parts.append(words.say("Nothing waiting."))
    old = sum(alert.standing and alert.old and alert.urgency != "log" for alert in alerts)
    if old:
        parts.append(told(words, "{n|older alert rests|older alerts rest} on data that has stopped.", n=old))
    parts += [watched] if watched else []
    parts.append(_known_line(known, at, words))
    count = words.say("chores due") if due else words.say("nothing waiting")
    if listed:
        count = told(words, "{n} to look at", n=len(listed))
    title = told(words, "{when} round: {count}", when=words.time(round_at, at), count=count)
    ids = tuple(sorted(a.id for a in listed))
    return Notice(at, person.name, "worklist", title, "\n".join(parts), "round", ids)


def _known_line(known: Mapping[str, int | None], at: int, words: Words) -> str:
    """One sentence with the time until which each feed is known."""
    if not known:
        return words.say("No feed has been read yet.")
    feeds = (
        f"{feed} {words.say('not read yet') if until is None else words.time(until, at)}"
        for feed, until in sorted(known.items(), key=lambda item: natural_key(item[0]))
    )
    return told(words, "Known until: {feeds}.", feeds=", ".join(feeds))
