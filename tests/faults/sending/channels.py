"""A channel that is bad for hours, beside a healthy one, under a real `sentinel run` on a fast clock.

    cd tests && python -m faults --minutes 1 bad_channels

Cleo has both channels, Bo only the bad one, and is told what Cleo has not answered. While it is bad four cows fail: one
alert goes on standing, one is answered, one ends, and one comes so late that it is not given up when the channel works
again. Then Bo is to hear of the first and the last, and of nothing else.
"""

from __future__ import annotations

import os
import threading
from collections import Counter
from collections.abc import Callable
from contextlib import closing, suppress
from dataclasses import dataclass, field
from pathlib import Path

from faults.faced import Faced, most_memory_mb
from faults.fast_clock import FastClock, drop, running_fast
from faults.real_farm import CLOCK, expect, make_farm, until
from faults.sending.bad_receiver import BadReceiver

from sentinel.demo.phone import Message
from sentinel.edges.pulse import read
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.inputs import put_answer
from sentinel.flow.model import HOUR_S, Answer

PEOPLE = """\
- person: Cleo
  channels: [good, bad-cleo]
  hours: always
  next_after: 5 min
  at_most: 1000 per hour
- person: Bo
  channels: [bad-bo]
  hours: always
  next_after: never
  at_most: 1000 per hour
"""
STANDS, ANSWERED, ENDS, LATE = "11", "12", "13", "14"
SPACE_S = 12.0
"""A healthy channel must have an urgent alert so soon, in real seconds: two turns and what a loaded machine takes."""


@dataclass(slots=True)
class Watched:
    """What a process holds and does, looked at from outside twice a second."""

    threads: int = 0
    sockets: int = 0
    longest_look_s: float = 0.0
    _looked: tuple[object, float] = (None, 0.0)

    def look(self, pid: int, farm: Path) -> None:
        """Look once."""
        self.threads = max(self.threads, held(pid)[0])
        self.sockets = max(self.sockets, held(pid)[1])
        looked, now = read(farm).get("looked_at"), CLOCK.steady()
        if looked != self._looked[0]:
            self._looked = (looked, now)
        self.longest_look_s = max(self.longest_look_s, now - self._looked[1])


@dataclass(frozen=True, slots=True)
class BadChannel:
    """What came of one way of being bad.

    `late_s`: real seconds from each closed export to the healthy channel. `meanwhile`: what the bad one read whole
    while it was bad; `after`: what it got once it worked again. `rest` and `held`: threads and sockets before, and at
    most. Where it floods it says that it takes each notice, so that it owes nothing afterwards.
    """

    way: str
    late_s: dict[str, float | None]
    good: tuple[Message, ...]
    meanwhile: tuple[Message, ...]
    after: tuple[Message, ...]
    recovered_s: float | None
    looks_s: float
    rest: tuple[int, int]
    held: tuple[int, int]
    memory_mb: float
    said: str = field(repr=False)

    @property
    def copies(self) -> dict[tuple[str, str], int]:
        """How often each notice was read whole while the outcome was unknown, always under the same id."""
        return dict(Counter((one.to, one.notice) for one in self.meanwhile))

    @property
    def lost(self) -> int:
        """Alerts that the healthy channel never had, or late; and those that stood and the bad one was not told of."""
        late = sum(one is None or one > SPACE_S for one in self.late_s.values())
        had = self.after + (self.meanwhile if self.way == "floods" else ())
        return late + sum(not told(had, to, cow) for cow in (STANDS, LATE) for to in ("bo", "cleo"))

    @property
    def doubled(self) -> int:
        """Notices that came again where nothing had gone wrong, and those of what was settled before."""
        had = self.meanwhile if self.way == "floods" else ()
        again = Counter((one.to, one.notice) for one in (*self.good, *had, *self.after))
        titles = Counter((one.to, one.title) for one in self.good)
        gone = 0 if had else sum(told(self.after, "", cow) for cow in (ANSWERED, ENDS))
        return sum(n - 1 for n in (*again.values(), *titles.values())) + gone

    @property
    def faced(self) -> Faced:
        """As a line of the table."""
        recovered_s = -1.0 if self.recovered_s is None else self.recovered_s
        return Faced(f"channel {self.way}", len(self.late_s), self.lost, self.doubled, recovered_s, self.memory_mb)


def told(messages: tuple[Message, ...], to: str, cow: str) -> int:
    """How many of these messages, to one receiver or to all, name a cow."""
    return sum(to in ("", one.to) and f"Cow {cow}:" in f"{one.title}\n{one.body}" for one in messages)


def held(pid: int) -> tuple[int, int]:
    """How many threads and sockets a process has."""
    sockets = 0
    for one in Path(f"/proc/{pid}/fd").iterdir():
        with suppress(OSError):
            sockets += os.readlink(one).startswith("socket:")
    status = Path(f"/proc/{pid}/status").read_text(encoding="ascii")
    return int(status.partition("Threads:")[2].split()[0]), sockets


def live_through(folder: Path, way: str, hours: float = 3.0, factor: float = 60.0) -> BadChannel:
    """The bad channel is so for some hours of a fast clock, longer than `give_up_after`, and then works again."""
    clock = FastClock.started(factor)
    folder.mkdir(parents=True)
    with BadReceiver(clock.now) as good, BadReceiver(clock.now, good.url_for("elsewhere")) as bad:
        channels = {"good": good.url_for("good"), "bad-cleo": bad.url_for("cleo"), "bad-bo": bad.url_for("bo")}
        give_up = f"give_up_after: {round(hours * 40)} min\n"
        farm = make_farm(folder / "farm", channels, give_up, PEOPLE)
        with running_fast(farm, folder / "run.log", clock) as process:
            return _lived(farm, folder, process.pid, clock, (good, bad), way, hours * HOUR_S)


def _lived(
    farm: Path,
    folder: Path,
    pid: int,
    clock: FastClock,
    receivers: tuple[BadReceiver, BadReceiver],
    way: str,
    for_s: float,
) -> BadChannel:
    good, bad = receivers
    late: dict[str, float | None] = {}
    watched = Watched()

    def wait(seconds: float, wanted: Callable[[], bool] = lambda: False) -> bool:
        end = clock.now() + seconds
        while clock.now() < end and not wanted():
            watched.look(pid, farm)
            threading.Event().wait(0.2)
        return wanted()

    def fail(cow: str) -> float:
        begun, start = CLOCK.steady(), clock.now() - 60
        drop(farm / "exports", f"cow_{cow}", [(cow, start, "failed")], clock.now())
        there = until(lambda: bool(told(tuple(good.delivered()), "good", cow)), SPACE_S * 2)
        late[cow] = CLOCK.steady() - begun if there else None
        return start

    fail("10")
    expect(lambda: bool(told(tuple(bad.delivered()), "bo", "10")), 60, "Bo was not told while all was well")
    before, rest = len(bad.arrived), held(pid)
    bad.be(way)
    ends = clock.now() + for_s
    wait(for_s / 60)
    fail(STANDS)
    wait(for_s / 60)
    fail(ANSWERED)
    started = fail(ENDS)
    wait(for_s / 3)
    with closing(Store(farm / STORE_NAME)) as store:
        [number] = [one.id for one in all_alerts(store) if one.subject == f"cow:{ANSWERED}"]
        put_answer(store, Answer(number, int(clock.now()), "Cleo", "", "looked"))
    drop(farm / "exports", "corrected", [(ENDS, started, "milked")], clock.now())
    wait(ends - clock.now() - for_s / 6)
    fail(LATE)
    wait(ends - clock.now())
    bad.be("works")
    begun = CLOCK.steady()

    def all_told() -> bool:
        after = tuple(one.message for one in bad.arrived[before:] if one.way in ("works", "floods"))
        return all(told(after, to, cow) for cow in (STANDS, LATE) for to in ("bo", "cleo"))

    recovered = wait(HOUR_S, all_told)
    recovered_s = CLOCK.steady() - begun if recovered else None
    wait(for_s / 6)  # what comes twice comes later
    meanwhile = tuple(one.message for one in bad.arrived if one.way != "works")
    with closing(Store(farm / STORE_NAME)) as store:
        store.verify()
    return BadChannel(
        way,
        late,
        tuple(good.delivered()),
        meanwhile,
        tuple(bad.delivered()[before:]),
        recovered_s,
        watched.longest_look_s,
        rest,
        (watched.threads, watched.sockets),
        most_memory_mb(pid),
        (folder / "run.log").read_text(encoding="utf-8"),
    )
