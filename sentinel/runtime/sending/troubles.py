"""Sentinel's own troubles: told once and ended once, from memory, by whatever channel works.

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
    """A trouble that stands or has just ended: who was told of it, and when to try again to tell."""

    trouble: Trouble
    begun_s: float
    over_s: float | None = None
    over_at: int = 0
    told: tuple[str, str] | None = None
    tries: int = 0
    asked: set[tuple[str, str]] = field(default_factory=set)
    again_s: float = 0.0
    under_way: bool = False


class Troubles:
    """What is the matter with sentinel itself now, and who knows. May be used from several threads.

    `before`: what `told` gave before a restart: none of it is told again, and of what has ended the end is told.
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
            found = Trouble(kind, about, self._clock.now(), facts)
            before = self._standing.get(found.key)
            if before is not None:
                before.over_s = None
                return
            self._standing[found.key] = _Standing(found, self._clock.steady())
        log.error(
            "%s%s", headline_of(found, words_of(self._setup().farm)), f": {facts['why']}" if "why" in facts else ""
        )

    def end(self, kind: str, about: str = "") -> None:
        """A trouble is over; saying so again changes nothing."""
        with self._lock:
            found = self._standing.get(Trouble(kind, about).key)
            if found is not None and found.over_s is None:
                found.over_s, found.over_at = self._clock.steady(), self._clock.now()
                log.info("over: %s", headline_of(found.trouble, words_of(self._setup().farm)))

    def end_all_but(self, kind: str, abouts: set[str]) -> None:
        """Of one kind only the troubles about these are left."""
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

    def told(self) -> list[dict[str, Any]]:
        """What was told lately or stands and was told, as plain values: the trouble, when, and to whom."""
        now = self._clock.now()
        with self._lock:
            found = {one.trouble.key: one for one in self._standing.values() if one.told is not None}
            lately = {key: at for key, at in self._told_at.items() if key in found or now - at < AGAIN_S}
        return [{"key": key, "at": at, **(_plain(found[key]) if key in found else {})} for key, at in lately.items()]

    def _recall(self, plain: Mapping[str, Any]) -> None:
        """Take up a trouble that was told before a restart: as over, unless it is said to be there again."""
        try:
            self._told_at[str(plain["key"])] = int(plain["at"])
            if "told" in plain:
                person, channel = plain["told"]
                trouble = Trouble(plain["kind"], plain["about"], int(plain["since"]), dict(plain["facts"]))
                one = _Standing(trouble, self._clock.steady(), told=(person, channel))
                one.over_s, one.over_at = self._clock.steady(), self._clock.now()
                self._standing[trouble.key] = one
        except (KeyError, TypeError, ValueError):  # an older sentinel wrote it, or it is half written
            return

    def send_due(self) -> None:
        """Tell what is to be told now: by one channel after the other until one delivers."""
        steady, at = self._clock.steady(), self._clock.now()
        with self._lock:
            for key, one in list(self._standing.items()):
                if one.over_s is None and steady - one.begun_s > LONGEST_S.get(one.trouble.kind, inf):
                    one.over_s, one.over_at = steady, at
                if one.under_way or steady < one.again_s:
                    continue
                if one.over_s is not None and steady - one.over_s >= ENDED_S and one.told is None:
                    del self._standing[key]
                elif one.over_s is not None and one.told is not None and one.trouble.kind in NO_END:
                    del self._standing[key]
                elif one.told is None and one.over_s is None and self._may_begin(key, one, steady, at):
                    self._try_next(key, one, at)
                elif one.told is not None and one.over_s is not None and steady - one.over_s >= ENDED_S:
                    words = words_of(self._setup().farm)
                    self._send(key, one, one.told, trouble_over(one.trouble, one.over_at, words))

    def _may_begin(self, key: str, one: _Standing, steady: float, at: int) -> bool:
        """Whether it has lasted long enough, and was not told a short while ago."""
        lately = 0 <= at - self._told_at.get(key, at - AGAIN_S) < AGAIN_S
        return not lately and steady - one.begun_s >= LASTS_S.get(one.trouble.kind, 0)

    def _try_next(self, key: str, one: _Standing, at: int) -> None:
        """Send it by the first channel that has not been tried in this round."""
        setup = self._setup()
        order = tell_order(setup.people, at, setup.farm.zone)
        left = [address for address in order if address not in one.asked]
        if not left:  # all were tried: again later, from the first
            one.asked.clear()
            one.tries += 1
            one.again_s = self._clock.steady() + backoff_s(one.tries)
            return
        one.asked.add(left[0])
        self._send(key, one, left[0], trouble_notice(one.trouble, at, words_of(setup.farm)))

    def _send(self, key: str, one: _Standing, address: tuple[str, str], text: tuple[str, str]) -> None:
        person, channel = address
        over = one.over_s is not None
        number = f"{one.trouble.kind}-{one.trouble.since}{'-over' if over else ''}"
        one.under_way = True

        def done(outcome: Outcome) -> None:
            with self._lock:
                one.under_way = False
                if outcome.state != "delivered":
                    one.tries += over
                    one.again_s = self._clock.steady() + (backoff_s(one.tries) if over else 0)
                    if over and one.tries >= END_TRIES:
                        self._standing.pop(key, None)
                elif over and one.over_s is None:  # it came again while its end was on the way
                    one.told = None
                elif over:
                    self._standing.pop(key, None)
                else:
                    one.told, one.tries = address, 0
                    self._told_at[key] = self._clock.now()

        self._notifier().send_all([Message(number, channel, person, text[0], text[1], "info" if over else "now")], done)


def _plain(one: _Standing) -> dict[str, Any]:
    trouble = one.trouble
    kept = {"kind": trouble.kind, "about": trouble.about, "since": trouble.since, "facts": dict(trouble.facts)}
    return {**kept, "told": list(one.told or ())}
