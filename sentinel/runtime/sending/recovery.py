"""What a channel owes when it works again: of all that was given up, only what is still open and unanswered.

When a notice about an alert is given up, one outbox line of the kind `still` is kept for its channel. Its text
is made anew at each try; it is tried as long as anything stands that the channel never told, and never given up.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from sentinel.edges.notifier import BACKOFF_S
from sentinel.edges.store.alerts import alerts_with, unanswered_alerts
from sentinel.edges.store.log import append_entries
from sentinel.edges.store.outbox import (
    OutboxLine,
    delivery_tried,
    drop_delivery,
    hurry_channel,
    is_waiting,
    notice_outcomes,
    notice_with,
    put_notices,
    put_off_delivery,
    reword_notice,
)
from sentinel.flow.decide import notice_entry
from sentinel.flow.model import Alert, Entry, Notice
from sentinel.flow.notices.history import TELLING
from sentinel.flow.notices.still import STILL, presses_still, still_notice
from sentinel.flow.reasons import Reason
from sentinel.runtime.engine import Engine
from sentinel.runtime.sending.outcomes import PATIENCE_S, Tried

LATER_S = 60
"""What waits for a message that is under way is asked again after so many seconds."""

SETTLED_S = 600
"""A notice that its channel did not take for so long is not sent any more if all it tells of is settled: our choice."""


def sent_notice(line: OutboxLine, at: int) -> Notice | None:
    """The notice as it was sent at `at`, if its words were made for that."""
    number = str(line.notice)
    sent = Notice(at, line.person, line.kind, line.title, line.body, line.urgency, line.alerts, number)
    return sent if line.kind == STILL else None


class ChannelRecovery:
    """The outbox lines of an engine's store: what is sent for each, and what a try of one leads to."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._store = engine.store

    def line_of(self, line: OutboxLine, at: int) -> OutboxLine | None:
        """What to send for a due outbox line; None if there is nothing to send now."""
        if line.kind == "over" and self._never_told(line):
            self._drop(line, [Entry(at, "gave-up", body=_body(line, Reason("over-never-told")))])
            return None
        if line.kind in TELLING and line.kind != STILL and self._settled(line, at):
            detail = Reason("settled")
            entry = Entry(at, "gave-up", body=_body(line, detail))
            self._give_up(Tried(line.notice, line.channel, at, "gave_up", detail, None, (entry,)))
            return None
        return self._composed(line, at) if line.kind == STILL else line

    def after(self, tried: Tried) -> None:
        """What follows a try, in its transaction: a channel that works is used at once, one given up owes something."""
        if tried.reworded is not None:
            reword_notice(self._store, tried.reworded)
            append_entries(self._store, [notice_entry(tried.reworded)])
        if tried.outcome == "delivered":
            hurry_channel(self._store, tried.channel, tried.at)
        elif tried.outcome == "gave_up":
            given = notice_with(self._store, tried.notice)
            if given is not None and given.kind in TELLING and not self._waits(given.person, tried.channel):
                notice = Notice(tried.at, given.person, STILL, "", "", "now")
                [kept] = put_notices(self._store, [notice], {given.person: (tried.channel,)})
                self._again(int(kept.id), tried.channel, tried.at + BACKOFF_S[-1], len(BACKOFF_S))

    def _composed(self, line: OutboxLine, at: int) -> OutboxLine | None:
        """A `still` line with what is owed now; put off or taken out if nothing is."""
        setup = self._engine.setup
        person = next((one for one in setup.people if one.name == line.person), None)
        owed = self._owed(line, at)
        if person is None or line.channel not in person.channels or not owed:
            self._drop(line, ())
            return None
        now = [alert for alert, _, elsewhere in owed if not elsewhere]
        may = person.now.next_on(at, setup.farm.zone)
        if not now or may != at:
            self._again(line.notice, line.channel, at + LATER_S if may is None or may <= at else may, line.attempts)
            return None
        since = min(since for _, since, _ in owed)
        made = still_notice(at, setup.desk(self._engine.words), person, now, since)
        return replace(line, at=at, title=made.title, body=made.body, alerts=made.alerts)

    def _owed(self, line: OutboxLine, at: int) -> list[tuple[Alert, int, bool]]:
        """Each alert that presses and that this channel gave up telling since it last told it.

        With when the first notice of it was written that did not arrive, and whether another one is on its way.
        """
        alerts = [one for one in unanswered_alerts(self._store) if presses_still(one, at)]
        if not alerts:
            return []
        since = min(one.raised_at for one in alerts)
        outcomes = notice_outcomes(self._store, line.person, line.channel, TELLING, since=since)
        others = [one for one in outcomes if one.notice != line.notice]
        owed = []
        for alert in alerts:
            outcomes_of_alert = [(one.at, one.outcome) for one in others if alert.id in one.alerts]
            arrived = max((n for n, (_, outcome) in enumerate(outcomes_of_alert) if outcome == "delivered"), default=-1)
            lost = [written for written, outcome in outcomes_of_alert[arrived + 1 :] if outcome == "gave_up"]
            if lost:
                owed.append((alert, lost[0], any(outcome == "waiting" for _, outcome in outcomes_of_alert)))
        return owed

    def _settled(self, line: OutboxLine, at: int) -> bool:
        """Whether it waited so long for its channel that everything in it is over or answered: it need not ring."""
        if not (line.attempts and line.alerts) or at - line.at < SETTLED_S:
            return False
        return not any(one.standing and not one.answered for one in alerts_with(self._store, line.alerts))

    def _never_told(self, line: OutboxLine) -> bool:
        """Whether its channel gave up every notice of what a line says is over: there is nothing to take back."""
        before = notice_outcomes(self._store, line.person, line.channel, TELLING, before=line.notice)
        return {one.outcome for one in before if one.alerts & set(line.alerts)} == {"gave_up"}

    def _waits(self, person: str, channel: str) -> bool:
        """Whether a person's channel has a `still` line already."""
        return is_waiting(self._store, person, channel, STILL)

    def _give_up(self, tried: Tried) -> None:
        """Give up a line without sending it; what it is about is owed again if it comes back."""
        with self._store.writing(PATIENCE_S):
            delivery_tried(
                self._store, tried.notice, tried.channel, tried.at, tried.outcome, tried.detail, None, tried.entries
            )
            self.after(tried)

    def _again(self, notice: int, channel: str, at: int, attempts: int) -> None:
        with self._store.writing(PATIENCE_S):
            put_off_delivery(self._store, notice, channel, at, attempts)

    def _drop(self, line: OutboxLine, entries: Iterable[Entry]) -> None:
        """Take a line out of the outbox without sending it; the notice keeps its number."""
        with self._store.writing(PATIENCE_S):
            drop_delivery(self._store, line.notice, line.channel)
            append_entries(self._store, entries)


def _body(line: OutboxLine, detail: Reason) -> dict[str, object]:
    return {"notice": str(line.notice), "channel": line.channel, "attempts": line.attempts, "detail": str(detail)}
