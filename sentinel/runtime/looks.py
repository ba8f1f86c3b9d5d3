"""One look: read what has come, decide if anything came or is due, and hand over what is to be sent."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable

from sentinel.edges.clock import Clock
from sentinel.edges.inbox import Inbox, Scan
from sentinel.edges.memory import give_back
from sentinel.edges.store.exports.feeds import forget_later
from sentinel.edges.store.history import last_known, put_settings
from sentinel.edges.store.inputs import waiting_inputs
from sentinel.edges.store.log import append_entries
from sentinel.edges.store.write_lock import WAIT_S
from sentinel.flow.model import Entry, Tick, TickKind
from sentinel.runtime.engine import Engine, Stepped
from sentinel.runtime.events import heard_of
from sentinel.runtime.health.monitor import Monitor
from sentinel.runtime.reading.intake import Intake
from sentinel.runtime.reading.rereading import is_wanted
from sentinel.runtime.sending.outbox import Outbox
from sentinel.runtime.tick_times import TickTimes

LAST_S = 3.0
"""So long an end waits for another process that writes: it is only noted, and whoever stops sentinel waits for it."""


class Looks:
    """The looks of one farm's service, each at most one tick but where the clock has jumped.

    `inbox` is where exports come; `stopping` is set when no look may wait any longer; `heard` is told what happened.
    `due`: the next moment at which time alone changes something. `again`: whether a look has left something to be
    read at once. `half_read`: whether files were being read again when it ended, so that nothing may be decided.
    """

    def __init__(
        self,
        engine: Engine,
        clock: Clock,
        inbox: Inbox,
        intake: Intake,
        monitor: Monitor,
        outbox: Outbox,
        heard: Callable[[object], None],
        stopping: threading.Event,
    ) -> None:
        self.inbox = inbox
        self.moments = TickTimes(engine.store, clock)
        self.due: int | None = None
        self.again = False
        self.half_read = False
        self._reread_from_s = 0.0
        self._engine = engine
        self._store = engine.store
        self._clock = clock
        self._intake = intake
        self._monitor = monitor
        self._outbox = outbox
        self._heard = heard
        self._stopping = stopping

    def catch_up(self, kind: TickKind = TickKind.RUN, patience_s: float = 0.0, deferred: bool = True) -> Stepped:
        """Read everything that is complete now and decide once.

        Files that were written to a moment ago are waited for, at most `patience_s` real seconds. Without `deferred`
        what no decision looks back at is left to the next looks.
        """
        until = self._clock.steady() + patience_s
        self._follow_clock(self.moments.jumped_s() or self.moments.behind_s())
        self._read_again()
        at = self.next_at()
        put_settings(self._store, at, self._engine.setup.texts)
        entries: list[Entry] = []
        self.half_read = self._intake.begin_rereading(self.inbox, at)
        deferred = deferred or self.half_read
        while True:
            if self.half_read and self._stopping.is_set():
                return Stepped()  # nothing is decided on rows of two maps; it all begins anew at the next start
            scan = self._scan()
            self._intake.look(self.inbox, scan)
            entries += self._intake.take(self.inbox, at, scan)
            if scan.more or (deferred and scan.deferred) or self._intake.rereads:
                continue
            steady = self._clock.steady()
            if not scan.waiting or steady >= until:
                break
            self._stopping.wait(min(until, max(self.inbox.next_look_s, steady + 0.1)) - steady)
        if self.half_read:
            late = self._intake.end_rereading(at)
            self._reread_from_s = self._clock.steady() + (self.inbox.sweep_s if late else 0.0)
            self.half_read = False
        return self.step(at, kind, entries)

    def look(self) -> None:
        """Scan, and make a tick if anything came or is due."""
        self.again = False
        if self.reread_waits():
            self.catch_up()
            return
        self._follow_clock(self.moments.jumped_s())
        scan = self._scan()
        self._intake.look(self.inbox, scan)
        came = scan.files or scan.problems or self._intake.tells(scan)
        if not (came or self.inputs_wait() or self.is_due(self._clock.now())):
            return
        at = self.next_at()
        self.step(at, TickKind.RUN, self._intake.take(self.inbox, at, scan))
        if scan.more or scan.deferred or self._intake.rereads:
            self.again = True

    def reread_waits(self) -> bool:
        """Whether files must be read again, and may be by now."""
        return self._clock.steady() >= self._reread_from_s and is_wanted(self._engine)

    def is_due(self, now: int) -> bool:
        """Whether time alone has changed something by now."""
        return self.due is not None and self.due <= now

    def inputs_wait(self) -> bool:
        """Whether people said something, or messages ended; the latter may wait until a second is free for it."""
        answers, chores, deliveries = waiting_inputs(self._store)
        if answers or chores:
            return True
        return bool(deliveries) and self._clock.now() > (last_known(self._store) or 0)

    def _scan(self) -> Scan:
        """Look through the exports' folder."""
        with self._monitor.asking(self.inbox.folder):
            return self.inbox.scan(self._clock.steady(), self._clock.stamps())

    def _follow_clock(self, by_s: int) -> None:
        """If the clock was put ahead or back by `by_s`, make the tick after which time goes on from where it is now."""
        if by_s:
            self.step(self.moments.jump_at(by_s), TickKind.RUN, jumped_s=by_s)
            self.moments.followed()
            self._read_again()

    def _read_again(self) -> None:
        """Read again what a clock that stood behind set aside as dated later than its arrival, now that it is not."""
        names = forget_later(self._store, self._clock.now())
        self.inbox.forget(names)
        if names:
            self._heard(f"reading again what was dated later than its arrival: {len(names)} files, first {names[0]}")

    def step(self, at: int, kind: TickKind, entries: Iterable[Entry] = (), jumped_s: int = 0) -> Stepped:
        """Take what people said, decide, and hand over what is to be sent."""
        with self._store.writing(LAST_S if kind is TickKind.STOP else WAIT_S):
            put_settings(self._store, at, self._engine.setup.texts)
            append_entries(self._store, entries)
            answers, chores, deliveries = waiting_inputs(self._store)
            stepped = self._engine.step(Tick(at, kind, (), answers, chores, deliveries, jumped_s))
        self.due, self._monitor.stepped_at = stepped.due, at
        if stepped.notices:
            self._outbox.hurry()
        for event in map(heard_of, stepped.entries):
            if event is not None:
                self._heard(event)
        give_back(self._store.shrink_memory)
        return stepped

    def next_at(self) -> int:
        """The moment of the next tick."""
        return self.moments.next_at(self._stopping)
