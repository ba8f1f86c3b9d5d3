"""Who was told about one alert, and who is told next and when if nothing else happens, as its page says it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sentinel.flow.alerts.incidents import place_of_trouble
from sentinel.flow.language import Words, told
from sentinel.flow.model import Alert, Notice
from sentinel.flow.notices.desk import Desk
from sentinel.flow.notices.history import History, told_of
from sentinel.flow.notices.regular.list_times import next_worklist
from sentinel.flow.notices.wants import Want, wants
from sentinel.flow.subjects import subject_words


def told_next(at: int, desk: Desk, alert: Alert, alerts: Iterable[Alert], sent: Sequence[Notice]) -> tuple[str, ...]:
    """Sentences in the farm's words: who was told, while nobody has it, and who is told next, or that nobody is.

    `alerts`: those of its incident, itself among them; `sent`: the notices that name any of them. None are said of an
    alert that is over. A person's ceiling of pushes is left out: past it they are told a little later, in one notice.
    """
    words, together = desk.speaks(), list(alerts)
    if not alert.standing:
        return ()
    if alert.answered:
        return (told(words, "{person} has it.", person=alert.answered_by),)
    if alert.covered_by:
        where = subject_words(alert.covered_by[0].partition(" ")[2], words)
        return (told(words, "Nobody gets a separate notice, as there is already an alert on {where}.", where=where),)
    if alert.old:
        return (words.say("Nobody is told, as no newer data has come."),)
    if alert.urgency != "now":
        return (_listed(at, desk, alert, words),)
    planned = [want for want in wants(at, desk, together, sent) if alert.id in {a.id for a in want.alerts}]
    coming = min((want for want in planned if want.kind != "has-it"), key=lambda want: want.due_at, default=None)
    return (*_told_already(at, alert, together, sent, words), _coming(at, coming, words))


def _told_already(at: int, alert: Alert, together: Iterable[Alert], sent: Sequence[Notice], words: Words) -> list[str]:
    """Who was told about it or about the trouble at its place, each with the time of the last notice."""
    if alert.lies_from is not None and alert.lies_from > at:
        return []  # the page says who put it off, and until when
    place = place_of_trouble(alert.subject)
    named = [one.id for one in together if place_of_trouble(one.subject) == place]
    last = [f"{one.person} {words.time(one.last_at, at)}" for one in told_of(History(sent).of(named))]
    return [told(words, "Told: {people}.", people=", ".join(last))] if last else []


def _coming(at: int, want: Want | None, words: Words) -> str:
    """The next notice that is planned."""
    if want is None:
        return words.say("Nobody else is told.")
    person, when = want.person.name, words.time(want.due_at, at)
    if want.kind == "reminder":
        return told(words, "{person} is told again at {when} if nobody answers.", person=person, when=when)
    if want.kind == "handed-on" and want.due_at > at:
        return told(words, "{person} is told at {when} if nobody answers.", person=person, when=when)
    if want.due_at > at:
        return told(words, "{person} is told at {when}.", person=person, when=when)
    return told(words, "{person} is being told now.", person=person)


def _listed(at: int, desk: Desk, alert: Alert, words: Words) -> str:
    """The next list that has it, and who gets that."""
    lists = [(sends, person.name) for person in desk.people if (sends := next_worklist(at, desk, person)) is not None]
    if alert.urgency != "round" or not lists:
        return words.say("Nobody is told; it is only listed here.")
    sends = min(moment for moment, _ in lists)
    people = ", ".join(name for moment, name in lists if moment == sends)
    return told(
        words,
        "It rings no phone; it is on the list sent to {people} at {when}.",
        when=words.time(sends, at),
        people=people,
    )
