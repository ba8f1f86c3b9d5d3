"""The service: waits for exports, people and due moments, and makes a tick of whatever comes in.

It holds the edges together and decides nothing itself: the inbox wakes it, the engine decides, the notifier sends.
"""

from __future__ import annotations

import logging
import os
import sqlite3
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from functools import partial

from sentinel.edges.clock import Clock
from sentinel.edges.inbox import Inbox, Seen, UnderWay
from sentinel.edges.memory import keep_large_apart, settle
from sentinel.edges.notifier import Outcome
from sentinel.edges.pulse import told_before
from sentinel.edges.settings import Secrets, inbox_of
from sentinel.edges.store.exports.feeds import seen_files
from sentinel.edges.store.history import last_known, put_settings
from sentinel.flow.model import Entry, TickKind
from sentinel.flow.setup import Setup
from sentinel.runtime.engine import Engine, Stepped
from sentinel.runtime.farm_folder import Farmyard, load_setup
from sentinel.runtime.health.monitor import Monitor
from sentinel.runtime.looks import Looks
from sentinel.runtime.reading.intake import Intake
from sentinel.runtime.reading.lookback import kept_by_name
from sentinel.runtime.record.sealing import Sealing
from sentinel.runtime.reload import SettingsReload, failed
from sentinel.runtime.sending.outbox import Outbox

LOOK_S = 1.0
"""How often the store is asked whether another process left something; asking costs a few microseconds."""

START_PATIENCE_S = 3.0
"""Exports that were written to a moment ago are waited for so long at a start, so that nothing is raised for want of
the one beside it: the herd list of the hour, say, that lets a cow stay away."""

log = logging.getLogger("sentinel")


class Service:
    """One farm folder at work.

    `heard` is told what happens, for a log or a screen: a `Read`, a `Moved` or a plain text; `str` gives the words.
    """

    def __init__(
        self,
        yard: Farmyard,
        clock: Clock,
        environment: Mapping[str, str],
        link: Callable[[int, str, int], str] = lambda alert, person, at: "",
        heard: Callable[[object], None] = log.info,
    ) -> None:
        self.yard = yard
        self.store = yard.store
        self.clock = clock
        self.engine = Engine(yard.store, yard.setup)
        self._heard = heard
        self._wake = threading.Event()
        self._stopping = threading.Event()
        self._looking = threading.Condition()
        self._looked = 0
        self._ended = False
        self._edits = SettingsReload(yard.folder, lambda: load_setup(yard.folder, environment))
        self.outbox = Outbox(self.engine, clock, yard.secrets.urls, link, heard, told_before(yard.folder))
        self.monitor = Monitor(
            yard.folder, clock, environment, self.outbox, self._settings, partial(last_known, self.store)
        )
        self._sealing = Sealing(yard.store)
        self.intake = Intake(self.engine, self.monitor, heard)
        self.looks = Looks(
            self.engine, clock, self._make_inbox(), self.intake, self.monitor, self.outbox, heard, self._stopping
        )

    def _settings(self) -> tuple[Setup, Secrets]:
        return self.yard.setup, self.yard.secrets

    def _make_inbox(self) -> Inbox:
        farm = self.engine.setup.farm
        seen = {row.name: Seen(*row) for row in seen_files(self.store)}
        folder = inbox_of(self.yard.folder, farm.inbox)
        quiet_s, sweep_s = float(farm.settle_s), float(farm.look_every_s)
        return Inbox(
            folder, seen, quiet_s, sweep_s, on_wake=self._wake.set, largest=farm.one_file.size,
            under_way=UnderWay(self.store.path and self.yard.folder), kept=kept_by_name(self.engine.setup),
            mount=self.intake.mount_of(os.path.abspath(folder)),
        )  # fmt: skip

    @property
    def inbox(self) -> Inbox:
        """The exports' folder as it is looked through now."""
        return self.looks.inbox

    def catch_up(self, kind: TickKind = TickKind.RUN, patience_s: float = 0.0, deferred: bool = True) -> Stepped:
        """Read everything that is complete now and decide once: see `Looks.catch_up`."""
        return self.looks.catch_up(kind, patience_s, deferred)

    # --- the long run ------------------------------------------------------------------------------------

    def run(self, caught_up: Callable[[Stepped], None] = lambda stepped: None) -> None:
        """Work until `stop` is called; `caught_up` is told what came of all that had come before the start."""
        keep_large_apart()
        self.outbox.get_ready()
        settle()
        self.outbox.start()
        with self.monitor.asking(self.inbox.folder):
            self.inbox.start()
        try:
            self.monitor.ready()
            while not (self._stopping.is_set() or self._begun(caught_up)):
                pass
            while not self._stopping.is_set():
                self._turn()
            with suppress(sqlite3.OperationalError):  # on a full disk, or a locked store, the end is not noted
                if not self.looks.half_read:
                    self.looks.step(self.looks.next_at(), TickKind.STOP)
        finally:
            self.monitor.end()
            with self._look_under_way():
                self._ended = True
            self.inbox.stop()
            self.outbox.close(2.0)

    def _begun(self, caught_up: Callable[[Stepped], None]) -> bool:
        """The first look, at all that had come before; False if it has failed (a full disk) and must be tried again."""
        with self._look_under_way():
            try:
                stepped = self.catch_up(TickKind.START, START_PATIENCE_S, deferred=False)
            except sqlite3.OperationalError as error:
                self._stopping.wait(self.monitor.failed(error))
                return False
        self.monitor.looked(self.engine.tables)
        caught_up(stepped)
        return True

    def stop(self) -> None:
        """Finish the tick in hand and come to an end; may be called from any thread."""
        self._stopping.set()
        self._wake.set()
        self.outbox.stop()

    def wake(self) -> None:
        """Look again at once: somebody left an answer."""
        self._wake.set()

    @property
    def due(self) -> int | None:
        """The next moment at which time alone changes something."""
        return self.looks.due

    @contextmanager
    def before_a_look(self) -> Iterator[None]:
        """Do something while the running service does not look, then wait until it has: all of it is one tick.

        For a caller that moves a clock of its own. Returns at once if the service has ended.
        """
        with self._looking:
            yield
            before = self._looked
            self._wake.set()
            self._looking.wait_for(lambda: self._looked > before or self._ended)

    @contextmanager
    def _look_under_way(self) -> Iterator[None]:
        """One look, counted when it is done."""
        with self._looking:
            try:
                yield
            finally:
                self._looked += 1
                self._looking.notify_all()

    def _turn(self) -> None:
        """One round of waiting and looking."""
        with self._look_under_way():
            now, steady = self.clock.now(), self.clock.steady()
            try:
                called = self._wake.is_set() or self.looks.moments.jumped_s() or self.looks.inputs_wait()
                called = called or self.looks.reread_waits()
                if called or steady >= self.inbox.next_look_s or self.looks.is_due(now):
                    self._wake.clear()
                    self.looks.look()
                    if self.looks.again:
                        self._wake.set()
                    self.monitor.looked(self.engine.tables)
                self._reload()
                if self._sealing.look(self.yard.setup, self.yard.folder, now):
                    self.outbox.hurry()
            except Exception as error:  # one failing look must not end the watch; it is tried again
                self.store.integrity.raise_if_damaged(error)
                self._stopping.wait(self.monitor.failed(error))
            self.monitor.turn()
        self.store.integrity.raise_if_damaged()  # whichever thread met it: nothing more is decided on a damaged store
        left = min(LOOK_S, max(0.0, self.inbox.next_look_s - self.clock.steady()))
        until_due = float("inf") if self.due is None else self.due - self.clock.now()
        self._wake.wait(max(0.01, min(left, until_due)))

    def _reload(self) -> None:
        """Go by changed settings; a broken edit keeps the last good ones and says so once."""
        setup, secrets, sentence = self._edits.look(self.clock.steady())
        if setup is not None and secrets is not None:
            try:
                self._go_by(setup, secrets)
            except Exception as error:  # settings that nothing was found wrong with, and that cannot be worked with
                log.exception("the changed settings made the program fail")
                self.engine.use(self.yard.setup, undo=True)
                sentence = self._edits.refused(failed(error), self.clock.steady())
        if sentence:
            at = self.looks.next_at()
            self.looks.step(at, TickKind.RUN, [Entry(at, "rules-broken", body={"said": sentence})])
            self._heard(f"the settings have an error, the last good ones stay in use: {sentence}")

    def _go_by(self, setup: Setup, secrets: Secrets) -> None:
        """Decide by other settings from now on; if that fails nothing has changed."""
        at, inbox = self.looks.next_at(), self.inbox
        moved = inbox_of(self.yard.folder, setup.farm.inbox) != inbox.folder
        with self.store.writing():
            put_settings(self.store, at, setup.texts)
            self.engine.use(setup)
            self.looks.step(at, TickKind.RUN)
            if moved:
                inbox = self._make_inbox()
        if secrets.urls != self.yard.secrets.urls:
            self.outbox.use(secrets.urls)
        self.inbox.largest = setup.farm.one_file.size
        self.inbox.use(kept_by_name(setup))
        self.yard = Farmyard(self.yard.folder, setup, secrets, self.store)
        if moved:
            self.inbox.stop()
            self.looks.inbox = inbox
            self.inbox.start()

    # --- what is sent ------------------------------------------------------------------------------------

    @property
    def link(self) -> Callable[[int, str, int], str]:
        """Makes the link of an alert for a person, from the moment its notice was written; "" for none."""
        return self.outbox.link

    @link.setter
    def link(self, link: Callable[[int, str, int], str]) -> None:
        """From now on make links so."""
        self.outbox.link = link

    def drain(self, seconds: float) -> tuple[int, list[Outcome]]:
        """Send what is due and wait for it, for at most so long (for `sentinel once`); how many, and how they ended."""
        return self.outbox.drain(seconds)
