"""The outbox at work: what is due in it goes to the notifier, and what became of it is noted."""

from __future__ import annotations

import logging
import sqlite3
import threading
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from sentinel.edges.clock import Clock
from sentinel.edges.notifier import Message, Notifier, Outcome, backoff_s
from sentinel.edges.store.alerts import alerts_with
from sentinel.edges.store.log import log_entries
from sentinel.edges.store.outbox import OutboxLine, deliveries_due
from sentinel.edges.web.auth.links import THE_HERD, THE_ROUND
from sentinel.flow.model import Entry
from sentinel.flow.notices import HERD_WEEK
from sentinel.flow.notices.history import ONE_INCIDENT
from sentinel.flow.notices.still import STILL
from sentinel.flow.views.alert import likely_answers
from sentinel.runtime.engine import Engine
from sentinel.runtime.sending.outcomes import Outcomes, Tried
from sentinel.runtime.sending.recovery import ChannelRecovery, sent_notice
from sentinel.runtime.sending.troubles import Troubles
from sentinel.runtime.tick_times import PUT_BACK_S

AGAIN_S = 0.2
"""How often the outbox is asked for what is to be tried again; a new notice is sent at once."""

PAGE_OF_LIST = {"worklist": THE_ROUND, HERD_WEEK: THE_HERD}
"""What the link of a notice opens that is about no single alert."""

LONGEST_PAUSE_S = 30.0
"""After tries to send that failed by a fault of our own the outbox is asked ever less often, but so often."""

log = logging.getLogger("sentinel")


class Outbox:
    """Sends the notices that an engine wrote; on a thread of its own once it is started.

    `urls` are the channels' addresses; `link` makes the link of an alert for a person (alert 0: of the round's list);
    `heard` is told, in words, what was given up. What became of a message is kept in memory until the store takes it
    (`outcomes`); `troubles` are told from here as well, as they may be that the store takes nothing. `told_before`:
    which were told, before a restart.
    `watch` is called again and again from that thread, to see whether the others are at work.
    """

    def __init__(
        self,
        engine: Engine,
        clock: Clock,
        urls: Mapping[str, str],
        link: Callable[[int, str, int], str],
        heard: Callable[[object], None],
        told_before: Iterable[Mapping[str, Any]] = (),
    ) -> None:
        self.link = link
        self.notifier = Notifier(urls)
        self._engine = engine
        self._store = engine.store
        self._clock = clock
        self._heard = heard
        self._jumped_s, self._put_right_at = clock.jumped_s, 0
        self._recovery = ChannelRecovery(engine)
        self.outcomes = Outcomes(engine.store, clock.steady, self._recovery.after)
        self.troubles = Troubles(lambda: engine.setup, lambda: self.notifier, clock, told_before)
        engine.troubles = self.troubles.sentences
        self.watch: Callable[[], None] = lambda: None
        self.begun = False
        self.beat_s = clock.steady()
        self._on_way: set[tuple[int, str]] = set()
        self._news = threading.Event()
        self._stopping = threading.Event()

    def get_ready(self) -> None:
        """Load what sending needs, so that the first notice need not wait for it."""
        self.notifier.get_ready()

    def start(self) -> None:
        """Begin to send what is due, whatever becomes of the exports, until `stop`."""
        self.begun = True
        threading.Thread(target=self._send_for_ever, name="notifier", daemon=True).start()

    def hurry(self) -> None:
        """Look at once: a notice was written."""
        self._news.set()

    def use(self, urls: Mapping[str, str]) -> None:
        """From now on go by other addresses."""
        self.notifier.close()
        self.notifier = Notifier(urls)
        self.hurry()

    def stop(self) -> None:
        """Send nothing more; may be called from any thread."""
        self._stopping.set()
        self._news.set()

    def close(self, seconds: float) -> None:
        """Wait for what is under way, at most so long, and end."""
        self.notifier.finish(seconds)
        self.notifier.close()

    def drain(self, seconds: float) -> tuple[int, list[Outcome]]:
        """Send what is due and wait for it, at most so long; how many messages, and how those ended that did."""
        ended: list[Outcome] = []
        count = self.send_due(ended.append)
        self.notifier.finish(seconds)
        return count, ended

    def _send_for_ever(self) -> None:
        failures = 0
        while not self._stopping.is_set():
            self._news.clear()
            self.beat_s = self._clock.steady()
            try:
                self.watch()
                self.troubles.send_due()
                self.outcomes.write()
                self.send_due()
                failures = 0
            except Exception as error:
                failures += 1
                if failures == 1:
                    log.exception("sending failed; it is tried again, ever less often")
                    self.troubles.begin("looks", why=f"{type(error).__name__}: {error}"[:300])
            pause = AGAIN_S if not failures else min(AGAIN_S * 2**failures, LONGEST_PAUSE_S)
            self._news.wait(pause)

    def send_due(self, hear: Callable[[Outcome], None] = lambda outcome: None) -> int:
        """Hand every due outbox line to the notifier; how many. `hear` is told how each ended, from another thread."""
        now = self._clock.now()
        messages, lines = [], {}
        for waiting in deliveries_due(self._store, now):
            key = (waiting.notice, waiting.channel)
            if key in self._on_way or self.outcomes.rests(*key, now):
                continue
            try:
                line = self._recovery.line_of(waiting, now)
            except sqlite3.OperationalError:  # it is put off, or taken out, when the store takes that
                continue
            if line is None:
                continue
            self._on_way.add(key)
            lines[(str(key[0]), key[1])] = line
            about = PAGE_OF_LIST.get(line.kind)
            one = about is None and (len(line.alerts) == 1 or line.kind in ONE_INCIDENT)
            about = line.alerts[0] if one else about
            link = "" if about is None else self.link(about, line.person, line.at)
            messages.append(
                Message(
                    str(line.notice),
                    line.channel,
                    line.person,
                    line.title,
                    line.body,
                    line.urgency,
                    link,
                    line.attempts + self.outcomes.tries(*key) + 1,
                    self._likely(line.alerts[0]) if one and link and line.urgency == "now" else (),
                )
            )

        def done(outcome: Outcome) -> None:
            try:
                self._tried(outcome, lines[(outcome.notice, outcome.channel)])
            finally:
                self._on_way.discard((int(outcome.notice), outcome.channel))
                hear(outcome)

        self.notifier.send_all(messages, done)
        return len(messages)

    def _likely(self, number: int) -> tuple[tuple[str, str], ...]:
        """The answers most often given on this farm to alerts of this one's rule, as kept and as they are said."""
        [alert] = alerts_with(self._store, [number])
        rule, given = self._engine.setup.rules.get(alert.rule), log_entries(self._store, kind="answer")
        return likely_answers(rule, given, self._engine.words)

    def _tried(self, outcome: Outcome, line: OutboxLine) -> None:
        """Note how a try ended: delivered, again later, or given up, loudly, after the stated time."""
        now = self._clock.now()
        if self._clock.jumped_s != self._jumped_s:  # how old a message is cannot be told across a jump of the clock
            self._jumped_s, self._put_right_at = self._clock.jumped_s, now
        at = line.at if now < line.at <= now + PUT_BACK_S else now  # a tick may stand ahead of the clock
        number, channel, detail = line.notice, outcome.channel, outcome.detail
        attempt = line.attempts + self.outcomes.tries(number, channel) + 1
        body = {"notice": outcome.notice, "channel": channel, "attempts": attempt, "detail": str(detail)}
        waited_s = at - max(line.at, self._put_right_at)
        if outcome.state == "delivered":
            entries = (Entry(at, "delivered", body=body),)
            self.outcomes.note(Tried(number, channel, at, "delivered", detail, None, entries, sent_notice(line, at)))
        elif waited_s >= self._engine.setup.farm.give_up_after_s and line.kind != STILL:
            entries = (Entry(at, "gave-up", body=body),)
            self.outcomes.note(Tried(number, channel, at, "gave_up", detail, None, entries))
            log.error("gave up on notice %s to channel %s: %s", outcome.notice, channel, detail)
            self._heard(f"GAVE UP on notice {outcome.notice} to channel {channel}: {detail}")
        else:
            self.outcomes.note(Tried(number, channel, at, "waiting", detail, at + backoff_s(attempt)))
