"""The service: waits for exports, people and due moments, and makes a tick of whatever comes.

It holds the edges together and decides nothing itself: the inbox wakes it, the engine decides, the postman sends.
"""

from __future__ import annotations

import logging
import os
import sqlite3
import threading
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from filelock import FileLock, Timeout

from sentinel.edges.clock import Clock
from sentinel.edges.inbox import Inbox, Scan, Seen, UnderWay
from sentinel.edges.jumps import forget_later
from sentinel.edges.memory import give_back, settle
from sentinel.edges.postman import Outcome
from sentinel.edges.pulse import told_before
from sentinel.edges.settings import Secrets, inbox_of, read_secrets, read_settings
from sentinel.edges.store import Store
from sentinel.edges.write_lock import WAIT_S
from sentinel.errors import BusyError
from sentinel.flow.farm import check_ping
from sentinel.flow.model import Entry, Problem, Tick, TickKind
from sentinel.flow.people import check_channels
from sentinel.flow.setup import Setup, read_setup
from sentinel.runtime.engine import Engine, Stepped
from sentinel.runtime.events import heard_of
from sentinel.runtime.health.monitor import Watchman
from sentinel.runtime.intake import Intake
from sentinel.runtime.lookback import kept_by_name
from sentinel.runtime.reload import Edits, failed
from sentinel.runtime.sending.outbox import Outbox
from sentinel.runtime.tick_times import Moments

LOOK_S = 1.0
"""How often the store is asked whether another process left something; asking costs a few microseconds."""


LAST_S = 3.0
"""So long an end waits for another process that writes: it is only noted, and whoever stops sentinel waits for it."""

log = logging.getLogger("sentinel")


@dataclass(frozen=True, slots=True)
class Farmyard:
    """A farm folder opened for work: its settings, its secrets and its store."""

    folder: Path
    setup: Setup
    secrets: Secrets
    store: Store


def load_setup(folder: Path, environment: Mapping[str, str]) -> tuple[Setup | None, Secrets, list[Problem]]:
    """A farm folder's settings and secrets, and everything that is wrong with them.

    Raises FarmFolderError if there is no such folder.
    """
    texts, unread = read_settings(folder)
    # What rests on a file that cannot be read would only be told as wrong too.
    setup, problems = (None, unread) if unread else read_setup(texts)
    secrets, found = read_secrets(folder, environment)
    problems = [*problems, *found]
    if setup is not None:
        problems += check_channels(setup.people, secrets.urls)
        problems += check_ping(setup.farm, secrets.pings)
    return setup, secrets, problems


def lock(folder: Path) -> FileLock:
    """The farm folder's lock, taken; raises BusyError if another sentinel holds it."""
    taken = FileLock(folder / "sentinel.lock")
    try:
        taken.acquire(timeout=0)
    except Timeout as error:
        raise BusyError(
            f"another sentinel is working in {folder}; it takes what you said with its next look"
        ) from error
    return taken


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
        self._looks = threading.Condition()
        self._looked = 0
        self._ended = False
        self._due: int | None = None
        self._edits = Edits(yard.folder, lambda: load_setup(yard.folder, environment))
        self.moments = Moments(self.store, clock)
        self.outbox = Outbox(self.engine, clock, yard.secrets.urls, link, heard, told_before(yard.folder))
        self.watchman = Watchman(yard.folder, clock, environment, self.outbox, self._settings, self.store.last_known)
        self.intake = Intake(self.engine, self.watchman, heard)
        self.inbox = self._make_inbox()

    def _settings(self) -> tuple[Setup, Secrets]:
        return self.yard.setup, self.yard.secrets

    def _make_inbox(self) -> Inbox:
        farm = self.engine.setup.farm
        seen = {row["name"]: Seen(*tuple(row)) for row in self.store.seen()}
        folder = inbox_of(self.yard.folder, farm.inbox)
        quiet_s, sweep_s = float(farm.settle_s), float(farm.look_every_s)
        return Inbox(
            folder, seen, quiet_s, sweep_s, on_wake=self._wake.set, largest=farm.one_file.size,
            under_way=UnderWay(self.store.path and self.yard.folder), kept=kept_by_name(self.engine.setup),
            mount=self.intake.mount_of(os.path.abspath(folder)),
        )  # fmt: skip

    # --- one look ----------------------------------------------------------------------------------------

    def catch_up(self, kind: TickKind = TickKind.RUN, patience_s: float = 0.0, deferred: bool = True) -> Stepped:
        """Read everything that is complete now and decide once.

        Files that were written to a moment ago are waited for, at most `patience_s` real seconds. Without `deferred`
        what no decision looks back at is left to the next looks.
        """
        until = self.clock.steady() + patience_s
        self._follow_clock(self.moments.jumped_s() or self.moments.behind_s())
        self._read_again()
        at = self._next_at()
        self.store.put_settings(at, self.engine.setup.texts)
        entries: list[Entry] = []
        while True:
            scan = self._scan()
            self.intake.look(self.inbox, scan)
            entries += self.intake.take(self.inbox, at, scan)
            if scan.more or (deferred and scan.deferred) or self.intake.rereads:
                continue
            steady = self.clock.steady()
            if not scan.waiting or steady >= until:
                break
            self._stopping.wait(min(until, max(self.inbox.next_look_s, steady + 0.1)) - steady)
        return self._step(at, kind, entries)

    def _scan(self) -> Scan:
        """Look through the exports' folder."""
        with self.watchman.asking(self.inbox.folder):
            return self.inbox.scan(self.clock.steady(), self.clock.stamps())

    def _follow_clock(self, by_s: int) -> None:
        """If the clock was put ahead or back by `by_s`, make the tick after which time goes on from where it is now."""
        if by_s:
            self._step(self.moments.jump_at(by_s), TickKind.RUN, jumped_s=by_s)
            self.moments.followed()
            self._read_again()

    def _read_again(self) -> None:
        """Read again what a clock that stood behind set aside as dated later than its arrival, now that it is not."""
        names = forget_later(self.store, self.clock.now())
        self.inbox.forget(names)
        if names:
            self._heard(f"reading again what was dated later than its arrival: {len(names)} files, first {names[0]}")

    def _step(self, at: int, kind: TickKind, entries: Iterable[Entry] = (), jumped_s: int = 0) -> Stepped:
        """Take what people said, decide, and hand over what is to be sent."""
        with self.store.writing(LAST_S if kind is TickKind.STOP else WAIT_S):
            self.store.put_settings(at, self.engine.setup.texts)
            self.store.append(entries)
            answers, chores, deliveries = self.store.waiting_inputs()
            stepped = self.engine.step(Tick(at, kind, (), answers, chores, deliveries, jumped_s))
        self._due, self.watchman.stepped_at = stepped.due, at
        if stepped.notices:
            self.outbox.hurry()
        for said in map(heard_of, stepped.entries):
            if said is not None:
                self._heard(said)
        give_back(self.store.rows)
        return stepped

    def _next_at(self) -> int:
        return self.moments.next_at(self._stopping)

    # --- the long run ------------------------------------------------------------------------------------

    def run(self, caught_up: Callable[[Stepped], None] = lambda stepped: None) -> None:
        """Work until `stop` is called; `caught_up` is told what came of all that had come before the start."""
        self.outbox.get_ready()
        settle()
        self.outbox.start()
        with self.watchman.asking(self.inbox.folder):
            self.inbox.start()
        try:
            self.watchman.ready()
            while not (self._stopping.is_set() or self._begun(caught_up)):
                pass
            while not self._stopping.is_set():
                self._turn()
            with suppress(sqlite3.OperationalError):  # on a full disk, or a locked store, the end is not noted
                self._step(self._next_at(), TickKind.STOP)
        finally:
            self.watchman.end()
            with self._look_under_way():
                self._ended = True
            self.inbox.stop()
            self.outbox.close(2.0)

    def _begun(self, caught_up: Callable[[Stepped], None]) -> bool:
        """The first look, at all that had come before; False if it has failed (a full disk) and must be tried again."""
        with self._look_under_way():
            try:
                stepped = self.catch_up(TickKind.START, deferred=False)
            except sqlite3.OperationalError as error:
                self._stopping.wait(self.watchman.failed(error))
                return False
        self.watchman.looked(self.engine.tables)
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
        return self._due

    @contextmanager
    def before_a_look(self) -> Iterator[None]:
        """Do something while the running service does not look, then wait until it has: all of it is one tick.

        For whoever moves a clock of their own. Returns at once if the service has ended.
        """
        with self._looks:
            yield
            before = self._looked
            self._wake.set()
            self._looks.wait_for(lambda: self._looked > before or self._ended)

    @contextmanager
    def _look_under_way(self) -> Iterator[None]:
        """One look, counted when it is done."""
        with self._looks:
            try:
                yield
            finally:
                self._looked += 1
                self._looks.notify_all()

    def _turn(self) -> None:
        """One round of waiting and looking."""
        with self._look_under_way():
            now, steady = self.clock.now(), self.clock.steady()
            try:
                called = self._wake.is_set() or self.moments.jumped_s() or self._inputs_wait()
                if called or steady >= self.inbox.next_look_s or self._is_due(now):
                    self._wake.clear()
                    self._look()
                    self.watchman.looked(self.engine.tables)
                self._reload()
            except Exception as error:  # one failing look must not end the watch; it is tried again
                self.store.whole.raise_if_damaged(error)
                self._stopping.wait(self.watchman.failed(error))
            self.watchman.turn()
        self.store.whole.raise_if_damaged()  # whichever thread met it: nothing more is decided on a damaged store
        left = min(LOOK_S, max(0.0, self.inbox.next_look_s - self.clock.steady()))
        until_due = float("inf") if self._due is None else self._due - self.clock.now()
        self._wake.wait(max(0.01, min(left, until_due)))

    def _look(self) -> None:
        """Scan, and make a tick if anything came or is due."""
        self._follow_clock(self.moments.jumped_s())
        scan = self._scan()
        self.intake.look(self.inbox, scan)
        if not (scan.found or scan.problems or self._inputs_wait() or self._is_due(self.clock.now())):
            return
        at = self._next_at()
        self._step(at, TickKind.RUN, self.intake.take(self.inbox, at, scan))
        if scan.more or scan.deferred or self.intake.rereads:
            self._wake.set()

    def _is_due(self, now: int) -> bool:
        return self._due is not None and self._due <= now

    def _inputs_wait(self) -> bool:
        """Whether people said something, or letters ended; the latter may wait until a second is free for it."""
        answers, chores, deliveries = self.store.waiting_inputs()
        if answers or chores:
            return True
        return bool(deliveries) and self.clock.now() > (self.store.last_known() or 0)

    def _reload(self) -> None:
        """Go by changed settings; a broken edit keeps the last good ones and says so once."""
        setup, secrets, said = self._edits.look(self.clock.steady())
        if setup is not None and secrets is not None:
            try:
                self._go_by(setup, secrets)
            except Exception as error:  # settings that nothing was found wrong with, and that cannot be worked with
                log.exception("the changed settings made the program fail")
                self.engine.use(self.yard.setup, undo=True)
                said = self._edits.refused(failed(error), self.clock.steady())
        if said:
            at = self._next_at()
            self._step(at, TickKind.RUN, [Entry(at, "rules-broken", body={"said": said})])
            self._heard(f"the settings have an error, the last good ones stay in use: {said}")

    def _go_by(self, setup: Setup, secrets: Secrets) -> None:
        """Decide by other settings from now on; if that fails nothing has changed."""
        at, inbox = self._next_at(), self.inbox
        moved = inbox_of(self.yard.folder, setup.farm.inbox) != inbox.folder
        with self.store.writing():
            self.store.put_settings(at, setup.texts)
            self.engine.use(setup)
            self._step(at, TickKind.RUN)
            if moved:
                inbox = self._make_inbox()
        if secrets.urls != self.yard.secrets.urls:
            self.outbox.use(secrets.urls)
        self.inbox.largest = setup.farm.one_file.size
        self.inbox.use(kept_by_name(setup))
        self.yard = Farmyard(self.yard.folder, setup, secrets, self.store)
        if moved:
            self.inbox.stop()
            self.inbox = inbox
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
