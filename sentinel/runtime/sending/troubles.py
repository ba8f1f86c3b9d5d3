"""Sentinel's own troubles: reported once and ended once, from memory, on any channel that works.

Nothing here needs the store: what is told may be that the store cannot be written.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from math import inf
from typing import Any

from sentinel.edges.clock import Clock
from sentinel.edges.locales import words_of
from sentinel.edges.notifier import Message, Notifier, Outcome, backoff_s
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.notices.own import Trouble, headline_of, tell_order, trouble_notice, trouble_over
from sentinel.flow.setup import Setup

LASTS_S = {"disk-full": 5, "store": 30, "looks": 60, "inbox": 120, "rule": HOUR_S, "clock": 60}
"""Seconds for which a trouble must last before it is told: a look that fails once is no news. Our choice."""

ENDED_S = 30
"""Seconds for which a trouble must be over before that is told: what comes and goes is one trouble."""

AGAIN_S = HOUR_S
"""The same trouble is not told again sooner than this after it was told."""

NO_END = ("clock", "file")
"""Kinds of which the end is not told: whether a clock is right now only a person can say; a file stays set aside."""

LONGEST_S = {"file": DAY_S}
"""So long a trouble that does not end by itself is shown."""

END_TRIES = 20
"""So often it is tried to tell that a trouble is over: some hours."""

log = logging.getLogger("sentinel")


@dataclass(slots=True)
class _Standing:
    """A trouble that is open or has just ended: who was told about it, and when to try again."""

    trouble: Trouble
    begun_s: float
    over_s: float | None = None
    over_at: int = 0
    told_to: tuple[str, str] | None = None
    tries: int = 0
    asked: set[tuple[str, str]] = field(default_factory=set)
    again_s: float = 0.0
    under_way: bool = False


class Troubles:
    """What is the matter with sentinel itself now, and who knows. May be used from several threads.

    `before`: what `told_lately` gave before a restart: none of it is told again, and of what has ended the end is told.
    """

    def __init__(
        self,
        setup: Callable[[], Setup],
        notifier: Callable[[], Notifier],
        clock: Clock,
        before: Iterable[Mapping[str, Any]] = (),
    ) -> None:
        self._setup = setup
        self._notifier = notifier
        self._clock = clock
        self._standing: dict[str, _Standing] = {}
        self._told_at: dict[str, int] = {}
        self._lock = threading.RLock()
        for one in before:
            self._recall(one)

    def begin(self, kind: str, about: str = "", **facts: str | int) -> None:
        """A trouble is there; saying so again changes nothing."""
        with self._lock:
            trouble = Trouble(kind, about, self._clock.now(), facts)
            before = self._standing.get(trouble.key)
            if before is not None:
                before.over_s = None
                return
            self._standing[trouble.key] = _Standing(trouble, self._clock.steady())
        log.error(
            "%s%s", headline_of(trouble, words_of(self._setup().farm)), f": {facts['why']}" if "why" in facts else ""
        )

    def end(self, kind: str, about: str = "") -> None:
        """A trouble is over; saying so again changes nothing."""
        with self._lock:
            standing = self._standing.get(Trouble(kind, about).key)
            if standing is not None and standing.over_s is None:
                standing.over_s, standing.over_at = self._clock.steady(), self._clock.now()
                log.info("over: %s", headline_of(standing.trouble, words_of(self._setup().farm)))

    def end_all_but(self, kind: str, abouts: set[str]) -> None:
        """End the troubles of one kind, except those about these."""
        with self._lock:
            gone = [one.trouble.about for one in self._standing.values() if one.trouble.kind == kind]
        for about in set(gone) - abouts:
            self.end(kind, about)

    def now(self) -> tuple[Trouble, ...]:
        """The troubles that are there now."""
        with self._lock:
            return tuple(one.trouble for one in self._standing.values() if one.over_s is None)

    def sentences(self) -> list[str]:
        """The troubles that are there now, a sentence each in the farm's language."""
        words = words_of(self._setup().farm)
        return [headline_of(trouble, words) for trouble in self.now()]

    def told_lately(self) -> list[dict[str, Any]]:
        """What was told lately or stands and was told, as plain values: the trouble, when, and to whom."""
        now = self._clock.now()
        with self._lock:
            standing_by_key = {one.trouble.key: one for one in self._standing.values() if one.told_to is not None}
            lately = {key: at for key, at in self._told_at.items() if key in standing_by_key or now - at < AGAIN_S}
        return [
            {"key": key, "at": at, **(_plain(standing_by_key[key]) if key in standing_by_key else {})}
            for key, at in lately.items()
        ]

    def _recall(self, plain: Mapping[str, Any]) -> None:
        """Take up a trouble that was told before a restart: as over, unless it is said to be there again."""
        try:
            self._told_at[str(plain["key"])] = int(plain["at"])
            if "told" in plain:
                person, channel = plain["told"]
                trouble = Trouble(plain["kind"], plain["about"], int(plain["since"]), dict(plain["facts"]))
                standing = _Standing(trouble, self._clock.steady(), told_to=(person, channel))
                standing.over_s, standing.over_at = self._clock.steady(), self._clock.now()
                self._standing[trouble.key] = standing
        except (KeyError, TypeError, ValueError):  # an older sentinel wrote it, or it is half written
            return

    def send_due(self) -> None:
        """Tell what is to be told now: by one channel after the other until one delivers."""
        steady, at = self._clock.steady(), self._clock.now()
        with self._lock:
            for key, standing in list(self._standing.items()):
                if standing.over_s is None and steady - standing.begun_s > LONGEST_S.get(standing.trouble.kind, inf):
                    standing.over_s, standing.over_at = steady, at
                if standing.under_way or steady < standing.again_s:
                    continue
                if standing.over_s is not None and steady - standing.over_s >= ENDED_S and standing.told_to is None:
                    del self._standing[key]
                elif standing.over_s is not None and standing.told_to is not None and standing.trouble.kind in NO_END:
                    del self._standing[key]
                elif (
                    standing.told_to is None and standing.over_s is None and self._may_begin(key, standing, steady, at)
                ):
                    self._try_next(key, standing, at)
                elif (
                    standing.told_to is not None and standing.over_s is not None and steady - standing.over_s >= ENDED_S
                ):
                    words = words_of(self._setup().farm)
                    self._send(key, standing, standing.told_to, trouble_over(standing.trouble, standing.over_at, words))

    def _may_begin(self, key: str, standing: _Standing, steady: float, at: int) -> bool:
        """Whether it has lasted long enough, and was not told a short while ago."""
        lately = 0 <= at - self._told_at.get(key, at - AGAIN_S) < AGAIN_S
        return not lately and steady - standing.begun_s >= LASTS_S.get(standing.trouble.kind, 0)

    def _try_next(self, key: str, standing: _Standing, at: int) -> None:
        """Send it by the first channel that has not been tried in this round."""
        setup = self._setup()
        order = tell_order(setup.people, at, setup.farm.zone)
        left = [address for address in order if address not in standing.asked]
        if not left:  # all were tried: again later, from the first
            standing.asked.clear()
            standing.tries += 1
            standing.again_s = self._clock.steady() + backoff_s(standing.tries)
            return
        standing.asked.add(left[0])
        self._send(key, standing, left[0], trouble_notice(standing.trouble, at, words_of(setup.farm)))

    def _send(self, key: str, standing: _Standing, address: tuple[str, str], text: tuple[str, str]) -> None:
        person, channel = address
        over = standing.over_s is not None
        number = f"{standing.trouble.kind}-{standing.trouble.since}{'-over' if over else ''}"
        standing.under_way = True

        def done(outcome: Outcome) -> None:
            with self._lock:
                standing.under_way = False
                if outcome.state != "delivered":
                    standing.tries += over
                    standing.again_s = self._clock.steady() + (backoff_s(standing.tries) if over else 0)
                    if over and standing.tries >= END_TRIES:
                        self._standing.pop(key, None)
                elif over and standing.over_s is None:  # it came again while its end was on the way
                    standing.told_to = None
                elif over:
                    self._standing.pop(key, None)
                else:
                    standing.told_to, standing.tries = address, 0
                    self._told_at[key] = self._clock.now()

        self._notifier().send_all([Message(number, channel, person, text[0], text[1], "info" if over else "now")], done)


def _plain(standing: _Standing) -> dict[str, Any]:
    trouble = standing.trouble
    kept = {"kind": trouble.kind, "about": trouble.about, "since": trouble.since, "facts": dict(trouble.facts)}
    return {**kept, "told": list(standing.told_to or ())}
