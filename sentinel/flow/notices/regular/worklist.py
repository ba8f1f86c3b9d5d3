"""The worklist as it is sent before a round, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sentinel.flow.language import Words, told
from sentinel.flow.model import Alert, Notice
from sentinel.flow.notices.desk import Desk
from sentinel.flow.notices.regular.due import Due
from sentinel.flow.notices.wants import Want
from sentinel.flow.notices.wording import BOX_CAUTION, at_most, line_of, over_line
from sentinel.flow.ordering import natural_key
from sentinel.flow.schedule.sections import at_box, sections
from sentinel.flow.settings.people import Person
from sentinel.flow.subjects import BOXES, STOPS

NOTHING_DUE = Due()


def worklist_notice(
    at: int,
    desk: Desk,
    person: Person,
    alerts: Sequence[Alert],
    known: Mapping[str, int | None],
    round_at: int,
    due: Due = NOTHING_DUE,
    watched: str = "",
    ends: Sequence[Want] = (),
) -> Notice:
    """The list of all that stands: first what could not wait and still stands, then place by place, with what is due.

    `due`: what no alert mentions (chores, wires to move, cows still out), each at its place (one of `STOPS`), and how
    many things wait; that number is the title's, and the page's.
    Every list ends with until when each feed is known, so that a quiet one is not mistaken for a quiet farm; `watched`
    stands before it and says whether all is watched. `ends`: incidents the person was told about that are over.
    """
    place = {alert: n for n, alert in enumerate(due.order)}
    alerts_at = {
        stop: sorted(here, key=lambda alert: place.get(alert.id, len(place)))
        for stop, here in sections(alerts, desk.boxes)
    }
    listed = [alert for here in alerts_at.values() for alert in here]
    words = desk.speaks()
    parts: list[str] = []
    mind = [words.say(BOX_CAUTION)]  # once, where box work is listed first
    for stop in STOPS:
        here = alerts_at.get(stop, ())
        chores = [line for place, line in due.lines if place == stop]
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
    if ends:
        parts.append(
            "\n".join(
                [
                    f"{words.say('Over since the last list')}:",
                    *at_most([f"- {over_line(w, at, words)}" for w in ends], words),
                ]
            )
        )
    parts += [watched] if watched else []
    parts.append(_known_line(known, at, words))
    waiting = sum(not alert.answered for alert in listed) if due.waiting is None else due.waiting
    count = words.say("nothing waiting")
    if waiting:
        count = told(words, "{n|thing|things} to do", n=waiting)
    elif due.lines:
        count = words.say("cows still out") if due.waiting is not None else words.say("not everything is known")
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
