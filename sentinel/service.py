"""The service: waits for exports, people and due moments, and makes a tick of whatever comes.

It holds the edges together and decides nothing itself: the inbox wakes it, the engine decides, the postman sends.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import astuple, dataclass
from functools import partial
from pathlib import Path

from filelock import FileLock, Timeout

from sentinel.edges.clock import Clock
from sentinel.edges.inbox import Found, Inbox, Scan, Seen, Waiting
from sentinel.edges.memory import give_back, settle
from sentinel.edges.postman import Outcome
from sentinel.edges.settings import Secrets, inbox_of, read_secrets, read_texts, settings_stamp
from sentinel.edges.store import Store
from sentinel.engine import Engine, Stepped
from sentinel.errors import BusyError, FarmFolderError
from sentinel.flow.mapping import matches
from sentinel.flow.model import Entry, Export, Problem, Tick, TickKind
from sentinel.flow.people import check_channels
from sentinel.flow.setup import Setup, read_setup
from sentinel.outbox import Outbox
from sentinel.reading import absorb

LOOK_S = 1.0
"""How often the store is asked whether another process left something; asking costs a few microseconds."""

AHEAD_S = 1
"""A tick may stand so many seconds ahead of the clock: of two exports in one second the other one need not wait."""

PUT_BACK_S = 3
"""If the next tick would stand further ahead than this, the clock was put back, and is not waited for."""

NAMED = 3
"""So many files that are waited for at once for the same reason are named each; of more the first one is."""

SETTINGS_SETTLE_S = 1.0
"""Settings are read again when they have stood still this long: an editor empties a file before it fills it."""

log = logging.getLogger("sentinel")


@dataclass(frozen=True, slots=True)
class Read:
    """An export that was read: what it gave, and how many more are known to be waiting to be read."""

    name: str
    feed: str
    rows: int
    set_aside: int
    left: int

    def __str__(self) -> str:
        """In words."""
        aside = f", {self.set_aside} set aside" if self.set_aside else ""
        return f"read {self.name}: {self.rows} rows{aside}"


@dataclass(frozen=True, slots=True)
class Moved:
    """An alert that was raised, came again, presses more or ended, in words."""

    text: str

    def __str__(self) -> str:
        """In words."""
        return self.text


@dataclass(frozen=True, slots=True)
class Farmyard:
    """A farm folder opened for work: its settings, its secrets and its store."""

    folder: Path
    setup: Setup
    secrets: Secrets
    store: Store


def load_setup(folder: Path, environment: Mapping[str, str]) -> tuple[Setup | None, Secrets, list[Problem]]:
    """A farm folder's settings and secrets, and everything that is wrong with them."""
    setup, problems = read_setup(read_texts(folder))
    secrets, found = read_secrets(folder, environment)
    problems = [*problems, *found]
    if setup is not None:
        problems += check_channels(setup.people, secrets.urls)
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
        self._environment = environment
        self._heard = heard
        self._wake = threading.Event()
        self._stopping = threading.Event()
        self._looks = threading.Condition()
        self._looked = 0
        self._ended = False
        self._due: int | None = None
        self._said: dict[str, str] = {}
        self._stamp = settings_stamp(yard.folder)
        self._edited = (self._stamp, 0.0)
        self.outbox = Outbox(self.engine, clock, yard.secrets.urls, link, heard)
        self.inbox = self._make_inbox()

    def _make_inbox(self) -> Inbox:
        farm = self.engine.setup.farm
        seen = {row["name"]: Seen(*tuple(row)) for row in self.store.seen()}
        folder = inbox_of(self.yard.folder, farm.inbox)
        quiet_s, sweep_s = float(farm.settle_s), float(farm.look_every_s)
        return Inbox(folder, seen, quiet_s, sweep_s, on_wake=self._wake.set, largest=farm.one_file.size)

    # --- one look ----------------------------------------------------------------------------------------

    def catch_up(self, kind: TickKind = TickKind.RUN, patience_s: float = 0.0) -> Stepped:
        """Read everything that is complete now and decide once.

        Files that were written to a moment ago are waited for, at most `patience_s` real seconds.
        """
        until = self.clock.steady() + patience_s
        at = self._next_at()
        self.store.put_settings(at, self.engine.setup.texts)
        entries: list[Entry] = []
        while True:
            scan = self.inbox.scan(self.clock.steady(), self.clock.stamps())
            self._tell_waiting(scan.waiting, scan.gone)
            entries += self._problems(at, scan.problems)
            entries += self._absorb_all(at, scan)
            self._remember(scan.unchanged)
            if scan.more:
                continue
            steady = self.clock.steady()
            if not scan.waiting or steady >= until:
                break
            self._stopping.wait(min(until, max(self.inbox.next_look_s, steady + 0.1)) - steady)
        return self._step(at, kind, entries)

    def _step(self, at: int, kind: TickKind, entries: Iterable[Entry] = ()) -> Stepped:
        """Take what people said, decide, and hand over what is to be sent."""
        with self.store.writing():
            self.store.put_settings(at, self.engine.setup.texts)
            self.store.append(entries)
            answers, chores, deliveries = self.store.waiting_inputs()
            stepped = self.engine.step(Tick(at, kind, (), answers, chores, deliveries))
        self._due = stepped.due
        if stepped.notices:
            self.outbox.hurry()
        for entry in stepped.entries:
            self._tell(entry)
        give_back(self.store.rows)
        return stepped

    def _absorb_all(self, at: int, scan: Scan) -> list[Entry]:
        """Read and store what a scan found, in its order; the entries about what could not be."""
        left = scan.left + len(scan.found)
        return [entry for n, found in enumerate(scan.found, 1) for entry in self._absorb(at, found, left - n)]

    def _absorb(self, at: int, found: Found, left: int) -> list[Entry]:
        """Read one export and store it; an export for which there is no map is told once and left alone."""
        export = Export(found.name, found.content, found.modified_at, found.read_from)
        remember = partial(self.store.put_seen, astuple(found.seen))
        batch = absorb(self.engine, at, export, found.refused, remember)
        if batch is None:
            self._remember([found.seen])
            said = f"{found.name}: no feed map is for this file; `sentinel map` drafts one"
            return self._problems(at, [said])
        self.inbox.settled(found.name, found.seen)
        rows = sum(len(table.values) for table in batch.rows)
        self._heard(Read(found.name, batch.feed, rows, len(batch.set_aside), left))
        return []

    def _remember(self, seen: Iterable[Seen]) -> None:
        for one in seen:
            self.store.put_seen(astuple(one))
            self.inbox.settled(one.name, one)

    def _problems(self, at: int, said: Iterable[object]) -> list[Entry]:
        """Something is wrong at the edge: into the log and to whoever listens."""
        entries = [Entry(at, "problem", body={"said": str(one)}) for one in said]
        for entry in entries:
            self._heard(str(entry.body["said"]))
        return entries

    def _tell_waiting(self, waiting: Iterable[Waiting], gone: Iterable[str]) -> None:
        """Files still being written are waited for, and said so once each; so is one that goes before it is whole."""
        for name in gone:
            if any(matches(feed, name) for feed in self.engine.setup.feeds):  # a part file that gets its name may go
                self._heard(f"{name} was taken away before it was complete; nothing of it was read")
        now = {one.name: one.why for one in waiting}
        names: dict[str, list[str]] = {}
        for name, why in now.items():
            if self._said.get(name) != why:
                names.setdefault(why, []).append(name)
        for why, found in names.items():  # a folder that was just filled is one line, not seven hundred
            shown = found if len(found) <= NAMED else [f"{found[0]} and {len(found) - 1} more"]
            for name in shown:
                self._heard(f"waiting for {name}: {why}")
        self._said = now

    def _tell(self, entry: Entry) -> None:
        if entry.kind in ("raised", "again", "more-pressing"):
            self._heard(Moved(f"{entry.kind} {entry.alert}: {entry.body.get('text', entry.rule)}"))
        elif entry.kind in ("over", "answer", "reminder", "rules-changed", "rules-broken", "problem"):
            told = entry.body.get("said") or "; ".join(map(str, entry.body.get("changes", []))) or entry.subject
            said = f"{entry.kind} {entry.alert or ''} {entry.rule} {told}".replace("  ", " ")
            self._heard(Moved(said) if entry.kind in ("over", "reminder") else said)

    def _next_at(self) -> int:
        """The moment of the next tick: now, but after the last one, and not far ahead (a clock may be put back)."""
        last = self.store.last_known()
        while last is not None and AHEAD_S < last + 1 - self.clock.now() <= PUT_BACK_S:
            if self.clock.wait(self._stopping, self.clock.now() + 1):
                break
        return max(self.clock.now(), (last or 0) + 1)

    # --- the long run ------------------------------------------------------------------------------------

    def run(self, caught_up: Callable[[Stepped], None] = lambda stepped: None) -> None:
        """Work until `stop` is called; `caught_up` is told what came of all that had come before the start."""
        self.outbox.get_ready()
        settle()
        self.inbox.start()
        self.outbox.start()
        try:
            with self._look_under_way():
                stepped = self.catch_up(TickKind.START)
            caught_up(stepped)
            while not self._stopping.is_set():
                self._turn()
            self._step(self._next_at(), TickKind.STOP)
        finally:
            with self._look_under_way():
                self._ended = True
            self.inbox.stop()
            self.outbox.close(2.0)

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
            if self._wake.is_set() or steady >= self.inbox.next_look_s or self._inputs_wait() or self._is_due(now):
                self._wake.clear()
                try:
                    self._look()
                except Exception:  # one failing look must not end the watch; it is tried again
                    log.exception("this look at the exports failed; the next one tries again")
                    self._stopping.wait(5.0)
            self._reload()
        left = min(LOOK_S, max(0.0, self.inbox.next_look_s - self.clock.steady()))
        until_due = float("inf") if self._due is None else self._due - self.clock.now()
        self._wake.wait(max(0.01, min(left, until_due)))

    def _look(self) -> None:
        """Scan, and make a tick if anything came or is due."""
        scan = self.inbox.scan(self.clock.steady(), self.clock.stamps())
        self._tell_waiting(scan.waiting, scan.gone)
        self._remember(scan.unchanged)
        if not (scan.found or scan.problems or self._inputs_wait() or self._is_due(self.clock.now())):
            return
        at = self._next_at()
        entries = self._problems(at, scan.problems)
        entries += self._absorb_all(at, scan)
        self._step(at, TickKind.RUN, entries)
        if scan.more:
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
        stamp, steady = settings_stamp(self.yard.folder), self.clock.steady()
        self._edited = self._edited if stamp == self._edited[0] else (stamp, steady)
        if stamp == self._stamp or steady < self._edited[1] + SETTINGS_SETTLE_S:
            return
        self._stamp = stamp
        try:
            setup, secrets, problems = load_setup(self.yard.folder, self._environment)
        except FarmFolderError as error:
            setup, secrets, problems = None, self.yard.secrets, [error]  # type: ignore[list-item]
        at = self._next_at()
        if setup is None or problems:
            said = "; ".join(str(problem) for problem in problems)
            self._step(at, TickKind.RUN, [Entry(at, "rules-broken", body={"said": said})])
            self._heard(f"the settings have an error, the last good ones stay in use: {said}")
            return
        with self.store.writing():
            self.store.put_settings(at, setup.texts)
            self.engine.use(setup)
            self._step(at, TickKind.RUN)
        if secrets.urls != self.yard.secrets.urls:
            self.outbox.use(secrets.urls)
        self.inbox.largest = setup.farm.one_file.size
        inbox_moved = inbox_of(self.yard.folder, setup.farm.inbox) != self.inbox.folder
        self.yard = Farmyard(self.yard.folder, setup, secrets, self.store)
        if inbox_moved:
            self.inbox.stop()
            self.inbox = self._make_inbox()
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
