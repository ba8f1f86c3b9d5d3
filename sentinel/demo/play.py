"""Plays the invented farm's week: a real service, a real inbox, real notices to a phone stand-in, and two people.

Only the clock is the story's own. It goes from one arrival, due moment or action to the next, as fast as the service
has done its tick, and at most as fast as the pace allows.
"""

from __future__ import annotations

import heapq
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from sentinel.demo.clock import StoryClock
from sentinel.demo.farm import MARIT, arrivals, drop, make_farm
from sentinel.demo.people import Action, Operator, answer_by_link
from sentinel.demo.phone import Message, Phone
from sentinel.demo.tell import Teller
from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import alerts_with
from sentinel.edges.store.outbox import deliveries_due, notice_with
from sentinel.edges.store.rows import count_rows
from sentinel.edges.terminal import Screen
from sentinel.errors import SentinelError
from sentinel.flow.model import Notice
from sentinel.flow.tables import VISITS
from sentinel.runtime.farm_folder import Farmyard, load_setup
from sentinel.runtime.inputs import leave_answer, leave_chore
from sentinel.runtime.service import Service
from sentinel.runtime.web_server import link_maker, serve

DELIVER_WITHIN_S = 10.0
"""Real seconds in which the phone stand-in must have got what was sent to it."""

Progress = Callable[[float, str, int], None]
"""Told how much of the week is over (0 to 1), the farm's day and hour, and how many exports have appeared."""


@dataclass(frozen=True, slots=True)
class Played:
    """What is left when the week is over: the farm, its moment, and what the phone stand-in got."""

    yard: Farmyard
    at: int
    exports: int
    messages: tuple[Message, ...]


class Week:
    """The week under way."""

    def __init__(
        self, yard: Farmyard, service: Service, clock: StoryClock, phone: Phone, teller: Teller, operator: Operator
    ) -> None:
        self._yard = yard
        self._service = service
        self._clock = clock
        self._phone = phone
        self._teller = teller
        self._operator = operator
        self._shown = 0
        self._actions: list[Action] = operator.habits()
        heapq.heapify(self._actions)

    def play(self, week: dict[int, list[str]], pace: Callable[[int], None], progress: Progress) -> None:
        """From one moment at which something happens to the next, until the last export has been read."""
        coming = sorted(week, reverse=True)
        start, until = self._clock.now(), coming[0]
        zone = ZoneInfo(self._yard.setup.farm.zone)
        inbox = self._service.inbox.folder
        exports = len(list(inbox.iterdir()))
        while coming or self._clock.now() < until:
            moment = self._next(coming[-1] if coming else until, until)
            pace(moment)
            with self._service.before_a_look():
                self._clock.move_to(moment)
                while coming and coming[-1] <= self._clock.now():
                    names = week[coming.pop()]
                    exports += len(names)
                    for name in names:
                        drop(inbox, name, min(moment, self._clock.stamps() - 60))
            self._show_news()
            self._act()
            now = min(self._clock.now(), until)
            progress((now - start) / (until - start), f"{datetime.fromtimestamp(now, zone):%a %H:%M}", exports)

    def _next(self, arrival: int, until: int) -> int:
        """The next moment at which something arrives, is due, or is done; it may have come already."""
        due = self._service.due
        action = self._actions[0].at if self._actions else None
        return min(m for m in (arrival, due, action, until) if m is not None)

    def _act(self) -> None:
        """Everything that people do by now, each seen to by the service before the next."""
        while self._actions and self._actions[0].at <= self._clock.now():
            action = heapq.heappop(self._actions)
            if action.how == "link":
                tapped = action.what or "Seen, I will look"
                self._teller.line(action.at, MARIT, f"opens the link and taps “{tapped}”: {action.note}", "bold cyan")
                answer_by_link(action.link, action.what, action.note)
            elif action.how == "answer":
                command = f'sentinel answer {action.alert} --finding "{action.what}" --note "{action.note}"'
                self._teller.line(action.at, MARIT, command, "bold cyan")
                leave_answer(self._yard, action.alert, MARIT, action.what, action.note, action.at)
            else:
                if not action.quiet:
                    command = f'sentinel done {action.what} --box {action.place} --note "{action.note}"'
                    self._teller.line(action.at, MARIT, command, "bold cyan")
                leave_chore(self._yard, action.what, action.place, MARIT, action.note, action.at)
            if not (self._actions and self._actions[0].at == action.at):  # what is done together is one tick
                with self._service.before_a_look():
                    pass
                self._show_news()

    def _show_news(self) -> None:
        """Wait until the phones have what was sent, show it, and let people make up their minds."""
        store = self._yard.store
        wait_until(lambda: not deliveries_due(store, self._clock.now()), DELIVER_WITHIN_S)
        fresh: list[tuple[Message, Notice]] = []
        for message in sorted(self._phone.messages[self._shown :], key=lambda one: int(one.notice)):
            notice = notice_with(store, int(message.notice))
            assert notice is not None
            fresh.append((message, notice))
        self._shown += len(fresh)
        self._teller.news()
        self._teller.messages(fresh)
        for message, notice in fresh:
            about = {alert.id: alert for alert in alerts_with(store, notice.alerts)}
            alerts = [about[number] for number in notice.alerts if number in about]
            for action in self._operator.reads(message, notice, alerts):
                heapq.heappush(self._actions, action)


def play(folder: Path, console: Screen, seconds: float, progress: Progress) -> Played:
    """Play the whole week into a new farm folder in about `seconds` real ones (0: as fast as it goes).

    Raises UsageError if the folder is not empty; the caller closes the store of what is returned.
    """
    week = arrivals()
    start, until = min(week), max(week)
    clock = StoryClock(start)
    with ExitStack() as stack, Phone(now=clock.now) as phone:
        make_farm(folder, phone)
        yard = _open(folder)
        stack.callback(yard.store.close)
        for name in week.pop(start):
            drop(folder / "exports", name, min(start, clock.stamps() - 60))
        service = Service(yard, clock, {}, heard=lambda event: None)
        page = serve(service, clock)
        stack.callback(page.stop)
        service.link = link_maker(yard, page.port)
        with running(service):
            with service.before_a_look():
                pass
            rows = count_rows(yard.store, VISITS)
            console.print(f"Read the weeks before: {rows:,} visits. Now the week begins.")
            zone = yard.setup.farm.zone
            operator = Operator(start, until, zone)
            story = Week(yard, service, clock, phone, Teller(console, yard.store, zone), operator)
            story.play(week, _pace(clock, seconds, start, until), progress)
        page.stop()
        stack.pop_all()  # the store stays open for whoever shows what is left
        return Played(yard, clock.now(), len(list((folder / "exports").iterdir())), tuple(phone.messages))


def _open(folder: Path) -> Farmyard:
    """The farm folder just made, opened; what is wrong with it would be a fault of the demo's own."""
    setup, secrets, problems = load_setup(folder, {})
    if setup is None or problems:
        raise SentinelError("; ".join(map(str, problems)))
    return Farmyard(folder, setup, secrets, Store(folder / STORE_NAME))


def _pace(clock: StoryClock, seconds: float, start: int, until: int) -> Callable[[int], None]:
    """Waits before each moment until its share of the real seconds has gone by; never if the ticks took longer."""
    began = clock.steady()
    standing = threading.Event()

    def wait_for(moment: int) -> None:
        left = began + seconds * (moment - start) / (until - start) - clock.steady()
        if seconds and left > 0:
            standing.wait(left)

    return wait_for


@contextmanager
def running(service: Service) -> Iterator[None]:
    """The service at work on a thread of its own; what ends it early is raised here."""
    failed: list[BaseException] = []

    def work() -> None:
        try:
            service.run()
        except BaseException as error:
            failed.append(error)

    thread = threading.Thread(target=work, name="service", daemon=True)
    thread.start()
    try:
        yield
    finally:
        service.stop()
        thread.join(30)
    if failed:
        raise failed[0]


def wait_until(settled: Callable[[], bool], seconds: float, every_s: float = 0.005) -> bool:
    """Wait real time until something is so, asking so often; False if it is not after so many seconds."""
    clock, pause = Clock(), threading.Event()
    until = clock.steady() + seconds
    while not settled():
        if clock.steady() >= until:
            return False
        pause.wait(every_s)
    return True
