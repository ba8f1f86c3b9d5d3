"""What the page may ask of a running service, and what it may leave with it."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import TypeVar

from sentinel.edges.clock import Clock
from sentinel.edges.locales import words_of
from sentinel.edges.memory import give_back
from sentinel.edges.photos import NoPicture, Photos
from sentinel.edges.store.access import PageAccess
from sentinel.edges.store.alerts import alert_with, alerts_of_incidents, alerts_on, all_alerts, standing_or_ended_since
from sentinel.edges.store.exports.feeds import rows_set_aside
from sentinel.edges.store.inputs import put_answer, put_chore, waiting_inputs
from sentinel.edges.store.log import append_entries, log_entries
from sentinel.edges.store.log_reasons import with_reasons
from sentinel.edges.store.outbox import notices_about
from sentinel.edges.web import Access, Unkept
from sentinel.errors import ChangedMeanwhile, SentinelError
from sentinel.flow.alerts.chain import Logged
from sentinel.flow.decide import AHEAD_S
from sentinel.flow.herd.history import HerdPast
from sentinel.flow.model import DAY_S, Alert, Answer, Chore, Entry
from sentinel.flow.notices import told_next
from sentinel.flow.reasons import Reason, as_said
from sentinel.flow.record.why import Why
from sentinel.flow.rules import Setting
from sentinel.flow.schedule.chores import with_word
from sentinel.flow.settings.farm import Farm
from sentinel.flow.settings.people import office_of
from sentinel.flow.tables import Tables
from sentinel.flow.tuning.edit import Prepared
from sentinel.flow.tuning.trial import Trial
from sentinel.flow.views.parts.snapshot import Snapshot
from sentinel.runtime.known.herd_history import HerdHistory
from sentinel.runtime.record.past import why_alert
from sentinel.runtime.record.tuning import Trials
from sentinel.runtime.rule_edits import EditRefused, may_tune, prepared, undoing, write
from sentinel.runtime.service import Service

T = TypeVar("T")

JUST_ENDED_S = DAY_S
"""Alerts that ended so lately are looked at with those that stand: a round's list shows them as done."""

PATIENCE_S = 5.0
"""So long somebody with a phone in their hand waits for another process that writes, before they hear that it is so."""


class FarmReader:
    """What the page may ask of a running service."""

    def __init__(self, service: Service, clock: Clock) -> None:
        self._service = service
        self._store = service.store
        self._clock = clock
        self._guests = PageAccess(service.store)
        self._herd = HerdHistory(service.store)
        self._photos = Photos(service.yard.folder)
        self._one_why = threading.Lock()
        self._trials = Trials(service.store)

    def farm(self) -> Farm:
        """The farm's settings as they are now."""
        return self._service.yard.setup.farm

    def health(self) -> dict[str, object]:
        """Whether sentinel itself is at work, in a few plain values."""
        self._trials.forget_old(self._clock.now())
        state = self._service.monitor.health()
        if self._store.integrity.damage:
            return {**state, "ok": False, "troubles": [*state["troubles"], "store-damaged"]}
        return state

    def troubles(self) -> list[str]:
        """What is the matter with sentinel itself now."""
        return self._service.outbox.troubles.sentences()

    def snapshot(self) -> Snapshot:
        """The farm as it is known now, with the chores that people said and no tick has taken yet."""
        self._trials.forget_old(self._clock.now())
        _, said, _ = waiting_inputs(self._store)  # before the rows: what a tick takes in between is in both
        setup, at = self._service.yard.setup, self._clock.now()
        alerts = standing_or_ended_since(self._store, at - JUST_ENDED_S)
        people = tuple(person.name for person in setup.people)
        tables = self._service.engine.tables or Tables()
        tables = replace(tables, chores=with_word(tables.chores, said)) if said else tables
        office = office_of(setup.people)
        return Snapshot(at, setup.farm, people, setup.rules, tables, tuple(alerts), office=office)

    def herd_past(self, snapshot: Snapshot) -> HerdPast:
        """What the herd's page shows of the past that is not in memory."""
        return self._herd.past(snapshot.tables, snapshot.rules, snapshot.farm.zone, snapshot.at)

    def alert(self, alert: int) -> Alert | None:
        """The alert with this number, standing or over."""
        return alert_with(self._store, alert)

    def alerts_of(self, *subjects: str) -> tuple[Alert, ...]:
        """Every alert, standing or over, on these subjects; on all if none is named."""
        return tuple(alerts_on(self._store, subjects) if subjects else all_alerts(self._store))

    def told_next(self, alert: Alert) -> tuple[str, ...]:
        """Who was told about an alert, and who is told next and when."""
        at, desk = self._clock.now(), self._service.yard.setup.desk(words_of(self._service.yard.setup.farm))
        together = alerts_of_incidents(self._store, {alert.incident}) if alert.incident else [alert]
        return told_next(at, desk, alert, together, notices_about(self._store, [one.id for one in together], at))

    def why(self, alert: Alert) -> Why:
        """Why an alert came; a month of rows is put together again for it, so for one asker after the other."""
        with self._one_why:
            try:
                return why_alert(self._store, alert.id)
            finally:
                give_back(self._store.shrink_memory)

    def log(self, alert: int | None = None, kind: str = "", since: int = 0) -> list[Logged]:
        """The log in order: of one alert, of one kind, or all, from a moment on."""
        return with_reasons(self._store, log_entries(self._store, alert=alert, kind=kind or None, since=since or None))

    def set_aside(self) -> list[Mapping[str, object]]:
        """The rows set aside: feed, file, at, line, row, reason."""
        return list(rows_set_aside(self._store))

    def access(self, person: str, link: int, begun: int) -> Access | None:
        """What a session may do: nothing once its link was withdrawn, its time is over, or the person is not listed."""
        listed = any(one.name == person for one in self._service.yard.setup.people)
        if not link:
            shut = self._guests.shut_until(person)
            opens = (
                shut is None or shut < begun <= self._clock.now() + AHEAD_S
            )  # a clock once ahead opens nothing again
            return Access() if listed and opens else None
        own = self._guests.link(link)
        if own is None or own.person != person or not own.opens(self._clock.now()):
            return None
        return Access(own.read_only, own.until) if listed or own.read_only else None

    def entered(self, link: int) -> None:
        """Somebody came in by their own link."""
        with suppress(sqlite3.OperationalError), self._store.writing(PATIENCE_S):  # they come in all the same
            self._guests.used(link, self._clock.now())

    def said_of(self, number: str) -> str | None:
        """What was said to what a phone sent under this number; None if nothing arrived under it."""
        return self._guests.said_of(number)

    def said_at(self, number: str) -> int | None:
        """When what a phone sent under this number was made; None if nothing arrived under it."""
        return self._guests.said_at(number)

    def photo(self, name: str) -> bytes | None:
        """The photo of that name, as JPEG; None if there is none."""
        return self._photos.get(name)

    def put_photo(self, alert: Alert, person: str, content: bytes, number: str, at: int, reply: str) -> Unkept | None:
        """Keep a photo taken at `at` with its alert and say so in the log, each number once; or say why not."""
        name = self._photos.put(content)
        if isinstance(name, NoPicture):
            return Unkept(name.most_pixels)
        now, body = self._clock.now(), {"file": name, "taken_at": at}
        with self._store.writing(PATIENCE_S):
            if self._guests.said_of(number) is None:
                self._guests.put_sent(number, person, at, now, f"photo of alert {alert.id}", reply)
                append_entries(self._store, [Entry(now, "photo", alert.id, alert.rule, alert.subject, person, body)])
        return None

    def take(self, number: str, submission: Answer | Chore, reply: str) -> str | None:
        """Leave an answer or a chore for the service's next look, which is at once; each number once."""
        with self._store.writing(PATIENCE_S):
            before = self._guests.said_of(number)
            if before is not None:
                return before
            what = (
                f"alert {submission.alert}"
                if isinstance(submission, Answer)
                else f"{submission.chore} {submission.place}".strip()
            )
            self._guests.put_sent(number, submission.person, submission.at, self._clock.now(), what, reply)
            if isinstance(submission, Answer):
                put_answer(self._store, submission)
            else:
                put_chore(self._store, submission)
        self._service.wake()
        return None

    def trial(self, rule: str) -> Trial | None:
        """A rule laid out to try its bound on the last two months."""
        return self._trials.of(self._service.yard.setup, rule, self._clock.now())

    def may_tune(self, person: str) -> bool:
        """Whether a person may write another bound into the rules."""
        return may_tune(self._service.yard, person)

    def prepare(self, rule: str, settings: Sequence[Setting], seen: Sequence[str] | None = None) -> Prepared | Reason:
        """What would be written for some keys of a rule, which were as `seen`; or why it cannot be."""
        yard = self._service.yard
        return _or_why(lambda: prepared(yard, yard.setup.rules[rule], settings, self._clock.now(), seen))

    def put_back(self, rule: str, number: int) -> Prepared | Reason:
        """What would put back the edit of that number in the log; or why it cannot be."""
        yard = self._service.yard
        return _or_why(lambda: undoing(yard, yard.setup.rules[rule], self._clock.now(), number))

    def write_rule(self, rule: str, what: Prepared, person: str, why: str, anyway: bool) -> Logged | Reason:
        """Write it, and into the log who did it and why; that entry, or why it was not written."""
        yard = self._service.yard
        written = _or_why(lambda: write(yard, yard.setup.rules[rule], what, person, why, self._clock.now(), anyway))
        self._service.wake()
        return written


def _or_why(asked: Callable[[], T]) -> T | Reason:
    """What was asked for; or why it cannot be."""
    try:
        return asked()
    except EditRefused as error:
        return error.reason
    except ChangedMeanwhile as error:
        return Reason("file-changed-meanwhile", file=error.name)
    except SentinelError as error:
        return as_said(str(error))
