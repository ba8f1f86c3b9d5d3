"""The texts of notices: short titles for a lock screen, plain sentences, times on the farm's 24-hour clock."""

from __future__ import annotations

from collections.abc import Sequence

from sentinel.flow.alerts.incidents import Incident, place_of_trouble, title_of
from sentinel.flow.language import ENGLISH, Words, told
from sentinel.flow.model import Alert, Notice
from sentinel.flow.notices.desk import Desk
from sentinel.flow.notices.history import HAS_IT, OVER
from sentinel.flow.notices.wants import Want
from sentinel.flow.reasons import in_words
from sentinel.flow.schedule.sections import at_box
from sentinel.flow.settings.people import Person
from sentinel.flow.subjects import subject_words

TITLE_LENGTH = 40
"""Characters of a title that a lock screen shows (common practice, no source)."""

HEADLINE_LENGTH = 60
"""Characters of a sentence that a list still shows as one: two lines on a small phone."""

LOOK_FIRST_MOST = 3
"""So many hints go with a notice; what is to be minded first is never cut."""

LINES_MOST = 40
"""So many lines of one kind go into a notice; services cut a long one into parts, and each part rings (our choice)."""

BOX_CAUTION = "Put the box out of operation first, as its manual says, before you step or reach in."
"""Said once on a list that sends somebody to a box."""


def at_most(lines: Sequence[str], words: Words) -> list[str]:
    """The first of some lines, and how many more there are; the page and `sentinel alerts` show all."""
    more = len(lines) - LINES_MOST
    return [*lines[:LINES_MOST], told(words, "and {n} more", n=more)] if more > 0 else list(lines)


def course_words(alert: Alert, words: Words) -> list[str]:
    """How a standing alert's value has gone, in phrases: raised at, worst and now; and that it has eased."""
    if not alert.standing:
        return []
    eased = words.say("was urgent, has eased") if alert.eased else ""
    return [phrase for phrase in (alert.course, eased) if phrase]


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


def headline(text: str) -> tuple[str, str]:
    """A sentence in two: what it says first of its subject, and the rest of it, for a list to be run over by eye.

    >>> headline("Box 2: 5 of the last 18 failed to attach, 1.2 usual; check the arm's rest position")
    ('Box 2: 5 of the last 18 failed to attach', "1.2 usual; check the arm's rest position")
    >>> headline("Cow 79, right rear: high at the milkings before (4.58 mS/cm, usually 4.63)")
    ('Cow 79, right rear: high at the milkings before', '(4.58 mS/cm, usually 4.63)')
    >>> headline("Cow 216 not milked for 14 h 30 min (bound 14 h)")
    ('Cow 216 not milked for 14 h 30 min (bound 14 h)', '')
    """
    text = text.strip()
    cuts = [text.find(mark, text.find(": ") + 2) for mark in (", ", "; ", " (")]
    cut = min((place for place in cuts if place > 0), default=0)
    if len(text) <= HEADLINE_LENGTH or not cut:
        return text, ""
    return text[:cut], text[cut:].lstrip(",; ")


def spoken(name: str, words: Words = ENGLISH) -> str:
    """A subject or a rule and its subject, as said aloud.

    >>> spoken("quarter:217/LF"), spoken("box-quiet box:2"), spoken("herd")
    ('cow 217 LF', 'box-quiet, box 2', 'herd')
    """
    rule, _, subject = name.rpartition(" ")
    subject_text = subject_words(subject, words, "short")
    return f"{rule}, {subject_text}" if rule else subject_text


def line_of(alert: Alert, at: int, words: Words) -> str:
    """One standing alert in one line: what, since when, and who answered or what holds it back."""
    line = told(words, "{what}, since {when}", what=_bare(alert.text), when=words.time(alert.since, at))
    line = "; ".join([line, *course_words(alert, words)])
    if alert.answered:
        line += f" ({_answer(alert, words)})"
    elif alert.covered_by:
        line += f" ({told(words, 'with {cause}', cause=spoken(alert.covered_by[0], words))})"
    elif alert.lies_from is not None and alert.lies_from > at:
        until = words.time(alert.lies_from, at)
        line += f" ({told(words, '{person} put it off until {when}', person=alert.lies_with, when=until)})"
    elif alert.lies_with:
        line += f" ({told(words, 'with {person}', person=alert.lies_with)})"
    return line


def tell_notice(at: int, desk: Desk, want: Want) -> Notice:
    """A notice about one incident that stands: told first, handed on, or told again."""
    alert, words = want.alert, desk.speaks()
    body = [f"{_bare(alert.text)}.", told(words, "Since {when}.", when=words.time(alert.since, at))]
    body += [f"{phrase[:1].upper()}{phrase[1:]}." for phrase in course_words(alert, words)]
    if alert.again:
        body.append(words.say("It had cleared and has come back."))
    if want.unanswered:
        who, when = want.unanswered.person, words.time(want.unanswered.first_at, at)
        body.append(told(words, "{person} was told at {when} and has not answered.", person=who, when=when))
    if want.kind == "reminder":
        body.append(words.say("Nobody has answered yet."))
    if want.kind == "lies-with":
        body.append(words.say("It was put off until now, or handed to you."))
    more = [f"- {line_of(other, at, words)}" for other in (*want.alerts[1:], *want.others)]
    if more:
        body += [words.say("Part of the same trouble:"), *at_most(more, words)]
    hints = (*alert.caution, *alert.look_first[:LOOK_FIRST_MOST])
    if hints:
        body += [words.say("Look first:"), *(f"- {hint}" for hint in hints)]
    title = title_of(Incident(want.incident.id, (*want.alerts, *want.others)), words)
    title = short(told(words, "Still: {what}", what=title) if want.kind == "reminder" else title)
    return Notice(at, want.person.name, want.kind, title, "\n".join(body), "now", told_by(want))


def told_by(want: Want) -> tuple[int, ...]:
    """The alerts a notice is about: not those at other places, which are told if still open when this is over."""
    place = place_of_trouble(want.alert.subject)
    others = (other for other in want.others if place_of_trouble(other.subject) == place)
    return tuple(alert.id for alert in (*want.alerts, *others))


def has_it_notice(at: int, desk: Desk, person: Person, wants: Sequence[Want]) -> Notice:
    """Who is seeing to what one person was told about; it rings no phone."""
    words = desk.speaks()
    lines = []
    for want in wants:
        lines.append(_who_has_it(want, at, words))
        lines += [want.alert.note] if want.alert.note else []
    holder = wants[0].alert.answered_by or wants[0].alert.lies_with
    first = told(words, "{person} has it: {what}", person=holder, what=title_of(wants[0].incident, words))
    title = short(first) if len(wants) == 1 else told(words, "{n} alerts are seen to", n=len(wants))
    numbers = tuple(want.alert.id for want in wants)
    return Notice(at, person.name, HAS_IT, title, "\n".join(at_most(lines, words)), "round", numbers)


def _who_has_it(want: Want, at: int, words: Words) -> str:
    """Who answered and what they found, or who put it off or has it in hand now."""
    alert, where = want.alert, _bare(title_of(want.incident, words))
    if alert.answered:
        return told(
            words,
            "{person} has it: {what} ({where}, at {when}).",
            person=alert.answered_by,
            what=_answer_alone(alert, words),
            where=subject_words(alert.subject, words),
            when=words.time(alert.answered_at or at, at),
        )
    if alert.lies_from is not None and alert.lies_from > at:
        until = words.time(alert.lies_from, at)
        return told(
            words, "{person} put it off until {when}: {where}.", person=alert.lies_with, when=until, where=where
        )
    return told(words, "{person} has it in hand: {where}.", person=alert.lies_with, where=where)


def digest_notice(at: int, desk: Desk, person: Person, rest: Sequence[Want]) -> Notice:
    """Everything that does not fit under a person's ceiling, one line each."""
    words = desk.speaks()
    title = told(words, "{n} alerts together", n=len(rest)) if len(rest) > 1 else short(rest[0].alert.text)
    lines = at_most([f"- {line_of(want.alert, at, words)}{said_before(want, words)}" for want in rest], words)
    why = told(words, "More than {n|notice|notices} in an hour, so these come together:", n=person.at_most)
    mind = [words.say(BOX_CAUTION)] if any(at_box(want.alert.subject, desk.boxes) for want in rest) else []
    alerts = tuple(number for want in rest for number in told_by(want))
    return Notice(at, person.name, "digest", title, "\n".join([why, *mind, *lines]), "now", alerts)


def over_notice(at: int, desk: Desk, person: Person, ends: Sequence[Want]) -> Notice:
    """The closing line of each incident that ended, to a person who was told about it."""
    words = desk.speaks()
    first = Incident(ends[0].incident.id, ends[0].alerts)  # as it was told, not by what has ended last
    title_of_first = told(words, "Over: {what}", what=title_of(first, words))
    title = short(title_of_first) if len(ends) == 1 else told(words, "Over: {n} alerts", n=len(ends))
    text = "\n".join(at_most([over_line(want, at, words) for want in ends], words))
    return Notice(at, person.name, OVER, title, text, "round", tuple(want.alert.id for want in ends))


def over_line(want: Want, at: int, words: Words) -> str:
    """That one incident is over: when, why, what it was, and who had seen to it."""
    alert = want.alert
    last = max(want.incident.alerts, key=lambda one: one.over_at or 0)
    when = words.time(last.over_at if last.over_at is not None else at, at)
    why = f" ({_bare(in_words(last.over_why, words))})" if last.over_why else ""
    line = told(words, "Over at {when}{why}: {what}.", when=when, why=why, what=_bare(alert.text))
    return f"{line}{f' {_answer(alert, words)}.' if alert.answered else ''}"


def _bare(text: str) -> str:
    """A sentence without its full stop, so that it can be carried on."""
    return text.strip().rstrip(".")


def _answer(alert: Alert, words: Words) -> str:
    """Who answered an alert, and what they found."""
    return f"{alert.answered_by}: {_answer_alone(alert, words)}"


def _answer_alone(alert: Alert, words: Words) -> str:
    """What was found."""
    return words.say(_bare(alert.finding) or "seen")


def said_before(want: Want, words: Words) -> str:
    """What a line of a digest adds about those who were told before."""
    if want.unanswered:
        return f" ({told(words, '{person} has not answered', person=want.unanswered.person)})"
    return f" ({words.say('nobody has answered')})" if want.kind == "reminder" else ""
