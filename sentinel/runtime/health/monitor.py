"""Whether sentinel itself is at work: when it last looked at everything, what fails, and who outside is told."""

from __future__ import annotations

import logging
import os
import sqlite3
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sentinel.edges.alive import Ping, notify_systemd
from sentinel.edges.clock import Clock
from sentinel.edges.machine import Room, memory_used, no_room, room_of
from sentinel.edges.pulse import put
from sentinel.edges.settings import Secrets
from sentinel.flow.setup import Setup
from sentinel.flow.tables import Tables
from sentinel.runtime.sending.outbox import Outbox

log = logging.getLogger("sentinel")

PAUSES_S = (5.0, 10.0, 20.0)
"""Seconds to wait after the first, second, ... look that failed; the last from then on."""

STALE_S = 120.0
"""Without a whole look for this long, or for four times `look_every`, sentinel is not at work: our choice."""

WRITE_EVERY_S = 5.0
"""How often the state is written for `sentinel status`, if nothing has changed."""

SENDING_STALE_S = 120.0
"""If nothing was looked for to be sent for so long, the sending hangs, and the watchdog is not fed."""

BEHIND_S = 120
"""A clock so far before what was recorded last, or that jumps so far, is told: less is a correction by the network."""

JUMP_SHOWN_S = 3600.0
"""So long a jump of the clock is shown after it."""

PING_EVERY_S = 60.0

SILENT_S = 60.0
"""If the exports' folder has not answered for so long, its server hangs, or is past all use: our choice."""


class Monitor:
    """Is told by the service of each look, and tells systemd, the pulse file, the ping and the page.

    `stepped_at`: when the service last decided on what is known. `failing_since`: when the looks began to fail.
    """

    def __init__(
        self,
        folder: Path,
        clock: Clock,
        environment: Mapping[str, str],
        outbox: Outbox,
        settings: Callable[[], tuple[Setup, Secrets]],
        recorded: Callable[[], int | None],
    ) -> None:
        self._folder = folder
        self._clock = clock
        self._environment = environment
        self._outbox = outbox
        self._troubles = outbox.troubles
        self._settings = settings
        self._recorded = recorded
        self.stepped_at = 0
        self._ping = Ping(PING_EVERY_S, clock.steady)
        self._begun_at = clock.now()
        self._looked_at: int | None = None
        self._looked_s = clock.steady()
        self.failing_since: int | None = None
        self._why = ""
        self._failures = 0
        self._room: Room | None = None
        self._rules: tuple[int, tuple[str, ...]] = (0, ())
        self._written_s = float("-inf")
        self._jumped_s, self._jump_shown_until_s = self._jumped(), float("-inf")
        self._asked, self._away = folder, False
        self._asking_since_s: float | None = None
        outbox.watch = self.watch

    def ready(self) -> None:
        """The service has begun; a backlog may still take it a while."""
        notify_systemd("READY=1", self._environment)
        self.turn()

    def turn(self) -> None:
        """The service is at work, whether or not there was anything to look at."""
        if self._clock.steady() - self._outbox.beat_s < SENDING_STALE_S or not self._outbox.begun:
            notify_systemd("WATCHDOG=1", self._environment)
        if self._outbox.outcomes.problem is not None:
            self._cannot_write(self._outbox.outcomes.problem)
        elif self.failing_since is None:
            self._troubles.end("store")
        if self._clock.steady() - self._written_s >= WRITE_EVERY_S:
            self._look_around()
            self._write()

    def looked(self, tables: Tables | None) -> None:
        """A whole look has succeeded; `tables` are what is known."""
        changed = self.failing_since is not None or self._looked_at is None
        self._looked_at, self._looked_s = self._clock.now(), self._clock.steady()
        self.failing_since, self._why, self._failures = None, "", 0
        self._troubles.end("looks")
        if self._outbox.outcomes.problem is None:
            self._troubles.end("store")
            self._room = room_of(self._folder)
            if self._room is None or not self._room.full:
                self._troubles.end("disk-full")
        if tables is not None:
            decided = tables.farm.decided
            failing = {name for name, until in decided if until < self.stepped_at}
            self._rules = len(decided) - len(failing), tuple(sorted(failing))
            for name in failing:
                self._troubles.begin("rule", name)
            self._troubles.end_all_but("rule", failing)
        setup, secrets = self._settings()
        self._ping.now_and_then(secrets.pings.get(setup.farm.ping, ""))
        if changed:
            self._look_around()
            self._write()

    def failed(self, error: Exception) -> float:
        """A look has failed; how many seconds to wait before the next one: ever more, and it is logged once."""
        self._why = f"{type(error).__name__}: {error}"[:300]
        if self.failing_since is None:
            self.failing_since = self._clock.now()
            log.exception("this look at the exports failed; it is tried again, ever less often", exc_info=error)
        if isinstance(error, sqlite3.OperationalError) or no_room(error):
            self._cannot_write(error)
        else:
            self._troubles.begin("looks", why=self._why)
        self._failures += 1
        self._look_around()
        self._write()
        return PAUSES_S[min(self._failures, len(PAUSES_S)) - 1]

    def file_failed(self, name: str, why: str) -> None:
        """Dealing with an export failed by a fault of our own; of several the first is told, and all are set aside."""
        self._troubles.begin("file", file=name, why=why)

    @contextmanager
    def asking(self, folder: Path) -> Iterator[None]:
        """The exports' folder is looked through, which a share whose server hangs may never end."""
        self._asked, self._asking_since_s = folder, self._clock.steady()
        try:
            yield
        finally:
            self._asking_since_s = None

    def watch(self) -> None:
        """See from another thread whether the service still waits for the exports' folder to answer."""
        since_s = self._asking_since_s
        if since_s is None or self._clock.steady() - since_s < SILENT_S:
            return
        self._troubles.begin("inbox", why=f"{self._asked} does not answer; still waiting for it")
        if self._clock.steady() - self._written_s >= WRITE_EVERY_S:
            self._write()

    def inbox_away(self, why: str) -> None:
        """Whether the exports' folder could be looked through: `why` not, in words, "" if it could."""
        if why:
            self._troubles.begin("inbox", why=why)
        else:
            self._troubles.end("inbox")
        if bool(why) != self._away:  # `sentinel status` is to say so at once
            self._away = bool(why)
            self._write()

    def end(self) -> None:
        """The service ends."""
        notify_systemd("STOPPING=1", self._environment)
        self._write(running=False)

    def _cannot_write(self, error: Exception) -> None:
        """The store took nothing: the disk is full, or something else is the matter with it."""
        self._room = room_of(self._folder)
        full = no_room(error) or (self._room is not None and self._room.full)
        self._troubles.begin("disk-full" if full else "store", why=f"{error}"[:300])

    def _look_around(self) -> None:
        """Ask the disk and the clock."""
        self._room = room_of(self._folder)
        if self._room is not None:
            if self._room.full:
                self._troubles.begin("disk-full")
            elif self._room.low:
                self._troubles.begin("disk-low", free_mb=self._room.free // 1_000_000)
            if not self._room.low or self._room.full:
                self._troubles.end("disk-low")
        self._look_at_clock()

    def _look_at_clock(self) -> None:
        """A clock before what was recorded, or that jumped, is told."""
        recorded, jumped_s = self._recorded(), self._jumped()
        by_s = jumped_s - self._jumped_s
        if abs(by_s) > BEHIND_S:
            self._jumped_s, self._jump_shown_until_s = jumped_s, self._clock.steady() + JUMP_SHOWN_S
            self._troubles.begin("clock", by_min=round(abs(by_s) / 60))
        elif recorded is not None and recorded - self._clock.now() > BEHIND_S:
            self._troubles.begin("clock")
        elif self._clock.steady() > self._jump_shown_until_s:
            self._troubles.end("clock")

    def _jumped(self) -> float:
        """By how much the wall clock has jumped since it is read, in s."""
        return self._clock.jumped_s

    def health(self) -> dict[str, Any]:
        """The state in a few plain values, for anybody who asks without a link: no names, no secrets."""
        since_s = self._clock.steady() - self._looked_s
        stale_s = max(STALE_S, 4.0 * self._settings()[0].farm.look_every_s)
        kinds = sorted({trouble.kind for trouble in self._troubles.now()})
        works = self._looked_at is not None and self.failing_since is None and since_s <= stale_s
        state = {
            "ok": works and not {"disk-full", "store", "looks", "inbox"} & set(kinds),
            "last_look_s_ago": None if self._looked_at is None else round(since_s),
            "failing_since": self.failing_since,
            "troubles": kinds,
            "clock": self._clock.now(),
            "rules_failing": len(self._rules[1]),
            "disk_free_mb": None if self._room is None else self._room.free // 1_000_000,
            "not_noted": len(self._outbox.outcomes),
        }
        return state

    def _write(self, running: bool = True) -> None:
        """Write the state for `sentinel status`."""
        self._written_s = self._clock.steady()
        troubles = [
            {"kind": one.kind, "about": one.about, "since": one.since, "why": one.facts.get("why", "")}
            for one in self._troubles.now()
        ]
        state = {
            "pid": os.getpid(),
            "running": running,
            "begun_at": self._begun_at,
            "written_at": self._clock.now(),
            "looked_at": self._looked_at,
            "failing_since": self.failing_since,
            "why": self._why,
            "rules": self._rules[0],
            "failing": list(self._rules[1]),
            "memory": memory_used(),
            "ping": self._ping.works,
            "not_noted": len(self._outbox.outcomes),
            "troubles": troubles,
            "told": self._troubles.told_lately(),
        }
        put(self._folder, state)
