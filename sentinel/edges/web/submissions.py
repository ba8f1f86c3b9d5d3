"""What people say from the page: an answer, a putting off, a handing over, a chore done; read, checked, taken once.

The same for a form without script, for a tap that a script sends, and for one that a phone kept while it had no
signal: each carries a number that the phone gave it, and the moment at which it was made.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from starlette.exceptions import HTTPException

from sentinel.edges.web.farm_reader import FarmReader
from sentinel.edges.web.page_language import PageLanguage
from sentinel.edges.web.request_input import text, whole
from sentinel.flow.language import fill
from sentinel.flow.model import DAY_S, Alert, Answer, Chore
from sentinel.flow.settings.people import moment
from sentinel.flow.views.parts.snapshot import Snapshot

NOTE_LENGTH = 1000
NAME_LENGTH = 80
KEPT_FOR_S = 14 * DAY_S
"""A phone's word older than this is dated to this long ago: its clock is wrong."""

LATE_S = 60
"""What arrives later than this after it was made was kept by a phone without signal."""

_NUMBER = re.compile(r"[A-Za-z0-9-]{8,64}")
_CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)")


@dataclass(frozen=True, slots=True)
class Receipt:
    """What became of it: `taken`, `already` (it had arrived before) or `conflict` (taken, but others came first)."""

    state: str
    text: str
    number: str


def read_submission(given: Mapping[str, Any], person: str, snapshot: Snapshot, undoes: int | None) -> Answer | Chore:
    """What somebody says by a form or a phone's message. HTTPException 400 if it makes no sense here.

    `undoes`: when what it takes back was done, of what takes back a chore by the phone's own number for that.
    """
    at = made_at(given, snapshot.at)
    note = " ".join(text(given.get("note")).split())[:NOTE_LENGTH]
    kind = text(given.get("kind", "answer"))
    if kind in ("done", "undone"):
        chore, place = text(given.get("chore")), text(given.get("place"))
        if not any((one.name, one.place) == (chore, place) for one in snapshot.farm.chores):
            raise HTTPException(400)
        if kind == "done":
            return Chore(chore, place, at, person, note)
        record_place = text(given.get("record_place", place))
        return Chore(chore, record_place, at, person, note, whole(given.get("done_at")) if undoes is None else undoes)
    alert = whole(given.get("alert"))
    if kind == "put-off":
        return Answer(alert, at, person, note=note, until=_until(given, snapshot))
    if kind == "hand":
        other = text(given.get("hand_to"))
        if other not in snapshot.people or other == person:
            raise HTTPException(400)
        return Answer(alert, at, person, note=note, hand_to=other)
    if kind != "answer":
        raise HTTPException(400)
    return Answer(alert, at, person, text(given.get("finding")), note)


def made_at(given: Mapping[str, Any], now: int) -> int:
    """When it was made, by the phone's clock; never later than now, and not long ago."""
    return min(now, max(now - KEPT_FOR_S, whole(given.get("at") or now)))


def _until(given: Mapping[str, Any], snapshot: Snapshot) -> int:
    """The moment until which something is put off: given whole, or as the next time the clock shows it."""
    until, clock = text(given.get("until")).strip(), _CLOCK.fullmatch(text(given.get("clock")).strip())
    if until:
        return max(snapshot.at - KEPT_FOR_S, min(whole(until), snapshot.at + 14 * DAY_S))
    if not clock:
        raise HTTPException(400)
    today = PageLanguage("en", ".", snapshot.farm.zone).local(snapshot.at).date()
    minute = int(clock[1]) * 60 + int(clock[2])
    days = (moment(today + timedelta(days=n), minute, snapshot.farm.zone) for n in range(3))
    return next(then for then in days if then > snapshot.at)


def take(
    reader: FarmReader, words: PageLanguage, snapshot: Snapshot, submission: Answer | Chore, given_number: str
) -> Receipt:
    """Take what somebody said, once, and say so.

    HTTPException 404 for an alert that is not there, 400 for a finding that its rule does not have.
    """
    alert = reader.alert(submission.alert) if isinstance(submission, Answer) else None
    if isinstance(submission, Answer):
        if alert is None:
            raise HTTPException(404)
        rule = snapshot.rules.get(alert.rule)
        if submission.finding and submission.finding not in (rule.findings if rule else ()):
            raise HTTPException(400)
    number = _number(submission, alert, given_number)
    already = words.say("Already recorded.")
    if alert is not None and _same(alert, submission):
        return Receipt("already", already, number)
    conflict = _conflict(words, snapshot, submission, alert)
    reply = f"{thanks(words, snapshot, submission)} {conflict}".strip()
    if reader.take(number, submission, reply) is not None:
        return Receipt("already", already, number)
    return Receipt("conflict" if conflict else "taken", reply, number)


def said_before(reader: FarmReader, person: str, given_number: str) -> str | None:
    """What was said to what a phone now sends again under its own number; None if it has not arrived before.

    It sends again what it got no reply to: the signal may have gone after the farm had taken it.
    """
    number = numbered(person, given_number)
    return reader.said_of(number) if number else None


def taken_back(reader: FarmReader, person: str, given: Mapping[str, Any]) -> int | None:
    """When the tick was made that is taken back under the phone's own number for it; None if it names none.

    A tick that never arrived is taken back by nothing: then it is 0, and no chore was done at that moment.
    """
    number = numbered(person, text(given.get("undoes")))
    return (reader.said_at(number) or 0) if number else None


def kept_by_another(words: PageLanguage, visitor: str, item: Mapping[str, Any]) -> str:
    """What is said to what somebody else kept on the same phone; empty if it was this `visitor`."""
    person = text(item.get("person"))
    if person in ("", visitor):
        return ""
    sentence = words.say("{person} had saved it on this phone, so it was not sent as yours.")
    return fill(sentence, {"person": person[:NAME_LENGTH]})


def numbered(person: str, given: str) -> str:
    """A phone's own number for what a person says, as it is kept; empty if it is none."""
    return f"{person}/{given}" if _NUMBER.fullmatch(given) else ""


def _number(submission: Answer | Chore, alert: Alert | None, given: str) -> str:
    """What was said under the phone's own number for it; without one, its content is its number."""
    if number := numbered(submission.person, given):
        return number
    what: tuple[object, ...] = (
        (submission.chore, submission.place, submission.at, submission.note, submission.undoes)
        if isinstance(submission, Chore)
        else ()
    )
    if isinstance(submission, Answer) and alert is not None:
        what = (
            alert.id,
            alert.again,
            alert.urgency,
            submission.finding,
            submission.note,
            submission.until,
            submission.hand_to,
        )
    return f"{submission.person}/{hashlib.sha256(repr(what).encode()).hexdigest()}"


def _same(alert: Alert, submission: Answer | Chore) -> bool:
    """Whether an alert has this very answer already."""
    if not isinstance(submission, Answer) or not alert.answered or submission.until is not None or submission.hand_to:
        return False
    return (alert.answered_by, alert.finding, alert.note) == (submission.person, submission.finding, submission.note)


def thanks(words: PageLanguage, snapshot: Snapshot, submission: Answer | Chore) -> str:
    """The sentence that confirms what was said."""
    say = words.say
    if isinstance(submission, Chore):
        what = f"{words.label('chore', submission.chore)} {submission.place}".strip()
        if submission.undoes is not None:
            return fill(say("Taken back: {what} is not done."), {"what": what})
        return fill(say("Thank you, {person}. Recorded as done: {what}."), {"person": submission.person, "what": what})
    if submission.until is not None:
        when = words.time(submission.until, snapshot.at)
        return fill(say("Put off until {when}. You will be told again then."), {"when": when})
    if submission.hand_to:
        return fill(say("Handed to {person}, who is told now."), {"person": submission.hand_to})
    what = say(submission.finding or "seen")
    return fill(say("Thank you, {person}. Recorded: {what}."), {"person": submission.person, "what": what})


def _conflict(words: PageLanguage, snapshot: Snapshot, submission: Answer | Chore, alert: Alert | None) -> str:
    """What had happened before something said without signal arrived; empty if nothing had."""
    say = words.say
    if snapshot.at - submission.at <= LATE_S:
        return ""
    if isinstance(submission, Chore):
        if submission.undoes is not None:
            return ""
        return _done_by_another(words, snapshot, submission)
    if alert is None:
        return ""
    if alert.answered_at is not None and alert.answered_by != submission.person:
        values = {
            "person": alert.answered_by,
            "when": words.time(alert.answered_at, snapshot.at),
            "what": say(alert.finding or "seen"),
        }
        return fill(say("{person} had already answered at {when}: {what}. Both are in the log."), values)
    if alert.over_at is not None:
        when = words.time(alert.over_at, snapshot.at)
        return fill(say("It was already over at {when}. Your answer is in the log."), {"when": when})
    return ""


def _done_by_another(words: PageLanguage, snapshot: Snapshot, submission: Chore) -> str:
    """Whether somebody else said that they did the same chore in the meantime."""
    rows = snapshot.tables.chores
    for name, place, at, person in zip(rows["chore"], rows["place"], rows["at"], rows["person"], strict=True):
        if (
            (name, place or "") == (submission.chore, submission.place)
            and int(at) >= submission.at
            and person != submission.person
        ):
            values = {"person": str(person), "when": words.time(int(at), snapshot.at)}
            return fill(words.say("{person} had already done it at {when}. Both are in the log."), values)
    return ""
