"""The outbox at work: what is due in it goes to the postman, and what became of it is noted."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Mapping

from sentinel.edges.clock import Clock
from sentinel.edges.postman import Letter, Outcome, Postman, backoff_s
from sentinel.engine import Engine
from sentinel.flow.model import Entry
from sentinel.flow.views.story import likely_answers
from sentinel.moments import PUT_BACK_S

AGAIN_S = 0.2
"""How often the outbox is asked for what is to be tried again; a new notice is sent at once."""

log = logging.getLogger("sentinel")


class Outbox:
    """Sends the notices that an engine wrote; on a thread of its own once it is started.

    `urls` are the channels' addresses; `link` makes the link of an alert for a person; `heard` is told, in words, what
    was given up.
    """

    def __init__(
        self,
        engine: Engine,
        clock: Clock,
        urls: Mapping[str, str],
        link: Callable[[int, str, int], str],
        heard: Callable[[object], None],
    ) -> None:
        self.link = link
        self.postman = Postman(urls)
        self._engine = engine
        self._store = engine.store
        self._clock = clock
        self._heard = heard
        self._jumped_s, self._put_right_at = clock.jumped_s, 0
        self._on_way: set[tuple[int, str]] = set()
        self._news = threading.Event()
        self._stopping = threading.Event()

    def get_ready(self) -> None:
        """Load what sending needs, so that the first notice need not wait for it."""
        self.postman.get_ready()

    def start(self) -> None:
        """Begin to send what is due, whatever becomes of the exports, until `stop`."""
        threading.Thread(target=self._send_for_ever, name="postman", daemon=True).start()

    def hurry(self) -> None:
        """Look at once: a notice was written."""
        self._news.set()

    def use(self, urls: Mapping[str, str]) -> None:
        """From now on go by other addresses."""
        self.postman.close()
        self.postman = Postman(urls)
        self.hurry()

    def stop(self) -> None:
        """Send nothing more; may be called from any thread."""
        self._stopping.set()
        self._news.set()

    def close(self, seconds: float) -> None:
        """Wait for what is under way, at most so long, and end."""
        self.postman.finish(seconds)
        self.postman.close()

    def drain(self, seconds: float) -> tuple[int, list[Outcome]]:
        """Send what is due and wait for it, at most so long; how many letters, and how those ended that did."""
        ended: list[Outcome] = []
        count = self.send_due(ended.append)
        self.postman.finish(seconds)
        return count, ended

    def _send_for_ever(self) -> None:
        while not self._stopping.is_set():
            self._news.clear()
            try:
                self.send_due()
            except Exception:
                log.exception("sending failed; it is tried again")
            self._news.wait(AGAIN_S)

    def send_due(self, told: Callable[[Outcome], None] = lambda outcome: None) -> int:
        """Hand every due outbox line to the postman; how many. `told` is told how each ended, from another thread."""
        due = self._store.letters_due(self._clock.now())
        rows = [r for r in due if (r["notice"], r["channel"]) not in self._on_way]
        letters = []
        for row in rows:
            self._on_way.add((row["notice"], row["channel"]))
            alerts = [int(n) for n in row["alerts"].strip("[]").split(",") if n.strip()]
            link = self.link(alerts[0], row["person"], row["at"]) if len(alerts) == 1 else ""
            letters.append(
                Letter(
                    str(row["notice"]),
                    row["channel"],
                    row["person"],
                    row["title"],
                    row["body"],
                    row["urgency"],
                    link,
                    row["attempts"] + 1,
                    self._likely(alerts[0]) if link and row["urgency"] == "now" else (),
                )
            )
        written = {(str(r["notice"]), r["channel"]): (r["at"], r["attempts"] + 1) for r in rows}

        def done(outcome: Outcome) -> None:
            try:
                self._tried(outcome, *written[(outcome.notice, outcome.channel)])
            finally:
                self._on_way.discard((int(outcome.notice), outcome.channel))
                told(outcome)

        self.postman.send_all(letters, done)
        return len(letters)

    def _likely(self, number: int) -> tuple[tuple[str, str], ...]:
        """The answers most often given on this farm to alerts of this one's rule, as kept and as they are said."""
        [alert] = self._store.alerts("id = ?", (number,))
        rule, given = self._engine.setup.rules.get(alert.rule), self._store.log("kind = 'answer'")
        return likely_answers(rule, given, self._engine.words)

    def _tried(self, outcome: Outcome, written_at: int, attempt: int) -> None:
        """Note how a try ended: delivered, again later, or given up, loudly, after the stated time."""
        now = self._clock.now()
        if self._clock.jumped_s != self._jumped_s:  # how old a letter is cannot be told across a jump of the clock
            self._jumped_s, self._put_right_at = self._clock.jumped_s, now
        at = written_at if now < written_at <= now + PUT_BACK_S else now  # a tick may stand ahead of the clock
        body = {"notice": outcome.notice, "channel": outcome.channel, "attempts": attempt, "detail": outcome.detail}
        number = int(outcome.notice)
        if outcome.state == "delivered":
            entries = [Entry(at, "delivered", body=body)]
            self._store.letter_tried(number, outcome.channel, at, "delivered", outcome.detail, None, entries)
            return
        if at - max(written_at, self._put_right_at) >= self._engine.setup.farm.give_up_after_s:
            entries = [Entry(at, "gave-up", body=body)]
            self._store.letter_tried(number, outcome.channel, at, "gave_up", outcome.detail, None, entries)
            log.error("gave up on notice %s to channel %s: %s", outcome.notice, outcome.channel, outcome.detail)
            self._heard(f"GAVE UP on notice {outcome.notice} to channel {outcome.channel}: {outcome.detail}")
            return
        again = at + backoff_s(attempt)
        self._store.letter_tried(number, outcome.channel, at, "waiting", outcome.detail, again, ())
