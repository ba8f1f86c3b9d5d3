"""Thirty days of a farm with everything going wrong in them, beside the same days with nothing going wrong.

    cd tests && python -m faults.soak [DAYS] [SEED]

A simulated herd's exports are given, at the moments at which they would have come, to a real `sentinel run` on a
story's clock (`story_process`): twice, once in peace and once with the process killed, exports that first come spoilt,
exports nobody has a map for, settings spoilt and put right, the store locked, the inbox gone, the disk full, a clock
that stands wrong for twenty seconds, a receiver that refuses for hours, and strangers at the page. The story stands
still while a fault lasts that is one of real seconds. After both, the alerts must be the same.

Left out of the comparison are the rules that tell of the faults themselves (`ABOUT_FAULTS`). A process that was killed
decides again after it has started, a second later than the one that was not: moments may differ by `APART_S`.
"""

from __future__ import annotations

import os
import random
import shutil
import socket
import subprocess
import sys
import tempfile
import threading
import urllib.error
import urllib.request
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from faults.faced import Faced, memory_mb
from faults.full_disk import Disk, disk
from faults.mutants import hostile
from faults.story_process import Moves, StoryProcess

from sentinel.demo.people import answer_by_link
from sentinel.demo.phone import Phone
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.replay import as_arrived, live_alerts
from sentinel.simulate import HerdSpec, simulate, write_farm

RULES = Path(__file__).parents[2] / "rules"
ABOUT_FAULTS = ("rows-set-aside", "cannot-tell")
APART_S = 5
DISK_BYTES = 400_000_000
HERD = HerdSpec(150, 3, 30, 5, "Europe/Dublin", date(2026, 10, 5))
"""Its days hold the autumn night on which the clocks go back."""

PEOPLE = """\
- person: Anna
  channels: [anna]
  hours: always
  next_after: 20 min
  at_most: 6 per hour
  worklist: yes
- person: Ben
  channels: [ben]
  hours: "06:00-21:00"
  at_most: 6 per hour
"""

Faults = Mapping[str, float]
"""How often a step of the story meets each fault."""

Told = tuple[str, str, int, int | None]
"""An alert: rule, subject, when it was raised and when it ended."""


@dataclass(slots=True)
class Lived:
    """What some days led to: the alerts, what people answered and what of that is known, and what it took."""

    alerts: list[Told]
    answered: Counter[str]
    known: Counter[str]
    numbers: Counter[str]
    undelivered: list[str]
    replayed: bool
    memory_mb: float
    at_rest_mb: float
    starts: int
    took: Counter[str]


# --- the days -------------------------------------------------------------------------------------------------


class Days:
    """A farm's days under way, with the faults that come to it."""

    def __init__(
        self,
        place: Path,
        source: Path,
        phone: Phone,
        room: Disk,
        dice: random.Random | None,
        faults: Faults,
        before: int,
    ) -> None:
        self.took: Counter[str] = Counter()
        self.answered: Counter[str] = Counter()
        self.at_rest_mb = 0.0
        self._dice = dice
        self._faults = faults
        self.phone = phone
        self._room = room
        self._heard = 0
        self._source = source / "exports"
        self.folder = room.path / "farm"
        self._inbox, self._aside = place / "exports", place / "aside"
        for folder in (self._inbox, self._aside):
            folder.mkdir(parents=True)
        self._port = _free_port()
        _make_farm(self.folder, source, self._inbox, self._port, phone)
        self._coming = sorted(
            ((round(one.stat().st_mtime), one.name) for one in self._source.iterdir()), key=lambda one: (one[0], one[1])
        )
        begin = self._coming[before][0]
        for before_it, after in self._ready([name for _, name in self._coming[:before]], begin - 120):
            os.replace(before_it, after)
        self._coming = self._coming[before:]
        self.process = StoryProcess(self.folder, place / "run.log", begin - 60)
        self._until = self._coming[-1][0] + 3600
        self._junk = hostile(7, 100_000)
        self._refuses_until = 0

    def live(self, told: Callable[[float], None]) -> None:
        """From the first export until an hour after the last."""
        self.process.start()
        begin, coming = self.process.at, self._coming
        while coming or self.process.at < self._until:
            arrival = coming[0][0] if coming else self._until
            due = self.process.due
            at = max(self.process.at, min(arrival, arrival if due is None else due))
            names = []
            while coming and coming[0][0] <= at:
                names.append(coming.pop(0)[1])
            fault = self._fault()
            if fault is None or self._refuses_until:
                self._go_on(at, self._ready(names, at))
            else:
                self.took[fault] += 1
                getattr(self, f"_{fault}")(at, names)
            if self._refuses_until and self._refuses_until <= self.process.at:
                self._refuse(False)
            self._answer()
            told((self.process.at - begin) / (self._until - begin))
        self._refuse(False)
        self._settle()
        self.at_rest_mb = memory_mb(self.process.pid)
        self.process.stop()

    def _settle(self) -> None:
        """Four hours in peace, so that what still waits to be sent is sent."""
        for at in range(self._until + 1800, self._until + 4 * 3600 + 1, 1800):
            while (due := self.process.due) is not None and self.process.at < due < at:
                self.process.step(due)
            self.process.step(at)

    def _fault(self) -> str | None:
        if self._dice is None:
            return None
        drawn = self._dice.random()
        for name, share in self._faults.items():
            drawn -= share
            if drawn < 0:
                return name
        return None

    # --- exports

    def _ready(self, names: list[str], at: int, content: bytes | None = None) -> list[tuple[str, str]]:
        """Files that are to get their names at a moment, made beside the inbox; with other content if that is given."""
        moves = []
        for name in names:
            made = self._aside / name
            if content is None:
                shutil.copyfile(self._source / name, made)
            else:
                made.write_bytes(content)
            os.utime(made, (at, at))
            moves.append((str(made), str(self._inbox / name)))
        return moves

    def _go_on(self, at: int, moves: Moves) -> None:
        for _ in range(60):
            if self.process.step(at, moves):
                return
            moves = ()
        raise AssertionError("it looks and fails for as long as one asks it")

    # --- answers

    def _answer(self) -> None:
        """People answer every other notice that has come by its link."""
        fresh = self.phone.messages[self._heard :]
        self._heard += len(fresh)
        for message in fresh:
            if message.link and int(message.notice or 0) % 2 == 0:
                note = f"seen by {message.to} as {message.notice}"
                with suppress(urllib.error.HTTPError):  # answered already, or over
                    answer_by_link(message.link, "nothing found", note)
                    self.answered[note] += 1

    # --- faults

    def _killed(self, at: int, names: list[str]) -> None:
        """kill -9 at any instant of a look; the files that had not got their names get them while nobody is there."""
        assert self._dice is not None
        moves = self._ready(names, at)
        self.process.ask(at, moves)
        threading.Event().wait(self._dice.choice((0.0, 0.01, 0.05, 0.1, 0.2)) * self._dice.random())
        self.process.kill()
        for before, after in moves:
            if Path(before).exists():
                os.replace(before, after)
        self.process.start()

    def _spoilt(self, at: int, names: list[str]) -> None:
        """The exports come spoilt, as a power cut or a full disk leaves them, are read, and then come whole."""
        assert self._dice is not None
        moves: list[tuple[str, str]] = []
        for name in names:
            whole = (self._source / name).read_bytes()
            spoils = (b"", bytes(len(whole)), whole[: self._dice.randrange(1, len(whole))], self._dice.randbytes(500))
            moves += self._ready([name], at, self._dice.choice(spoils))
        self._go_on(at, moves)
        self._go_on(at, self._ready(names, at + 1))

    def _unknown_files(self, at: int, names: list[str]) -> None:
        """Mutated exports for which there is no map come with the others."""
        moves = self._ready(names, at)
        for _ in range(5):
            name, content = next(self._junk)
            if isinstance(content, bytes):
                moves += self._ready([f"not ours {Path(name).name}"], at, content)
        self._go_on(at, moves)

    def _settings_spoilt(self, at: int, names: list[str]) -> None:
        """A rules file is garbage for a while."""
        assert self._dice is not None
        path = self._dice.choice(sorted((self.folder / "rules").glob("*.yaml")))
        good = path.read_bytes()
        path.write_bytes(
            self._dice.choice((b"\xff\xfe\x00", b"- rule: [", b"- rule: x\n  raise_over: 10 bananas\n", b""))
        )
        self._go_on(at, self._ready(names, at))
        path.write_bytes(good)
        self._go_on(at, ())

    def _locked(self, at: int, names: list[str]) -> None:
        """Another process holds the store for a second and a half."""
        script = "import sqlite3, sys, time; c = sqlite3.connect(sys.argv[1], isolation_level=None); "
        script += "c.execute('begin exclusive'); print(flush=True); time.sleep(1.5)"
        path = str(self.folder / STORE_NAME)
        with subprocess.Popen([sys.executable, "-c", script, path], stdout=subprocess.PIPE) as other:
            assert other.stdout is not None
            other.stdout.readline()
            self._go_on(at, self._ready(names, at))

    def _inbox_gone(self, at: int, names: list[str]) -> None:
        """The inbox is away for a look, with exports that came meanwhile when it is back."""
        elsewhere = self._inbox.with_name("elsewhere")
        self._inbox.rename(elsewhere)
        self.process.step(at)
        for before, after in self._ready(names, at):
            os.replace(before, elsewhere / Path(after).name)
        elsewhere.rename(self._inbox)
        for _ in range(100):  # it is looked for again after a while of real seconds
            self._go_on(at, ())
            if self._read(names):
                return
            threading.Event().wait(0.2)
        raise AssertionError(f"not read after the inbox was back: {names}")

    def _read(self, names: list[str]) -> bool:
        with _opened(self.folder) as store:
            return {row["name"] for row in store.seen()} >= set(names)

    def _disk_full(self, at: int, names: list[str]) -> None:
        """Nothing more fits for a look or two."""
        self._room.fill(self.process.pid)
        self.process.step(at, self._ready(names, at))
        self.process.step(at)
        self._room.make_room(self.process.pid)
        self._go_on(at, ())

    def _clock_wrong(self, at: int, names: list[str]) -> None:
        """The wall clock stands five hours ahead for twenty seconds."""
        self.process.step(at, self._ready(names, at), wrong_s=5 * 3600)
        self.process.step(at + 20, wrong_s=5 * 3600)
        self._go_on(at + 21, ())

    def _refusing(self, at: int, names: list[str]) -> None:
        """The receiver refuses everything for three hours."""
        self._refuse(True)
        self._refuses_until = at + 3 * 3600
        self._go_on(at, self._ready(names, at))

    def _refuse(self, yes: bool) -> None:
        self.phone.refuses = yes
        if not yes:
            self._refuses_until = 0

    def _strangers(self, at: int, names: list[str]) -> None:
        """Somebody tries the page while a look is made."""
        self.process.ask(at, self._ready(names, at))
        for path in ("/", "/a/²", "/alert/99999999999999999999", "/%00", "/../page.key", "/health", "/a/" + "x" * 9000):
            with suppress(OSError), socket.create_connection(("127.0.0.1", self._port), 5) as page:
                page.sendall(f"GET {path} HTTP/1.1\r\nHost: farm\r\nConnection: close\r\n\r\n".encode())
                page.settimeout(20)
                said = page.recv(64)
                assert said.split(b" ")[1:2] != [b"500"], (path, said)
        self.process.looked()
        self._go_on(at, ())


FAULTS: Faults = {
    "killed": 0.06,
    "spoilt": 0.04,
    "unknown_files": 0.03,
    "settings_spoilt": 0.02,
    "locked": 0.004,
    "inbox_gone": 0.008,
    "disk_full": 0.008,
    "clock_wrong": 0.01,
    "refusing": 0.003,
    "strangers": 0.03,
}


class Receiver(Phone):
    """A phone that can refuse everything for a while, as a server that is out of order does."""

    refuses = False

    def _receive(self, path: str, content: bytes) -> None:
        if self.refuses:
            raise ValueError("out of order")
        super()._receive(path, content)


def _make_farm(folder: Path, source: Path, inbox: Path, port: int, phone: Phone) -> None:
    """The simulated farm's folder with the rules that ship, two people, and a page."""
    shutil.copytree(source, folder, ignore=shutil.ignore_patterns("exports"))
    shutil.copytree(RULES, folder / "rules", dirs_exist_ok=True)
    farm = folder / "farm.yaml"
    lines = [line for line in farm.read_text().splitlines() if not line.startswith(("inbox:", "page:"))]
    farm.write_text("\n".join([*lines, f"inbox: {inbox}", f"page: {{port: {port}}}", "look_every: 1 s", ""]))
    (folder / "people.yaml").write_text(PEOPLE)
    secrets = folder / "secrets.yaml"
    secrets.touch(mode=0o600)
    secrets.write_text(f'channels:\n  anna: "{phone.url_for("Anna")}"\n  ben: "{phone.url_for("Ben")}"\n')


def _free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as free:
        return int(free.getsockname()[1])


@contextmanager
def _opened(folder: Path) -> Iterator[Store]:
    store = Store(folder / STORE_NAME)
    try:
        yield store
    finally:
        store.close()


# --- both lives -----------------------------------------------------------------------------------------------


def live(days: Days, told: Callable[[float], None] = lambda share: None) -> Lived:
    """Live through the days and gather what they led to."""
    try:
        days.live(told)
    finally:
        days.process.kill()
    with _opened(days.folder) as store:
        store.verify()
        alerts = [(one.rule, one.subject, one.raised_at, one.over_at) for one in store.alerts()]
        known = Counter(row["note"] for row in store.rows("select note from answers"))
        rows = store.rows("select notice, channel, outcome from deliveries where outcome != 'delivered'")
        return Lived(
            sorted(alerts, key=str),
            days.answered,
            Counter({note: known[note] for note in days.answered}),
            Counter(f"{one.to} {one.notice}" for one in days.phone.messages),
            [f"{row['notice']} by {row['channel']}: {row['outcome']}" for row in rows],
            as_arrived(store) == live_alerts(store),
            days.process.memory_mb,
            days.at_rest_mb,
            days.process.starts,
            days.took,
        )


def apart(peace: Lived, faults: Lived) -> tuple[list[Told], list[Told], int]:
    """Alerts of either life that the other has not, within `APART_S`; and how many differ by any second at all."""
    left = [one for one in faults.alerts if one[0] not in ABOUT_FAULTS]
    missing, moved = [], 0
    for one in peace.alerts:
        if one[0] in ABOUT_FAULTS:
            continue
        other = next((other for other in left if _alike(one, other)), None)
        if other is None:
            missing.append(one)
            continue
        left.remove(other)
        moved += one != other
    return missing, left, moved


def _alike(one: Told, other: Told) -> bool:
    if one[:2] != other[:2] or abs(one[2] - other[2]) > APART_S or (one[3] is None) != (other[3] is None):
        return False
    return one[3] is None or abs(one[3] - (other[3] or 0)) <= APART_S


@dataclass(frozen=True, slots=True)
class Soaked:
    """Both lives, and in what they differ: alerts of the first that the second has not, and the other way round."""

    peace: Lived
    faults: Lived
    missing: list[Told]
    more: list[Told]
    moved: int

    @property
    def lost(self) -> list[str]:
        """Whatever of the peaceful life the other one has not, and whatever it was told and does not know."""
        found = [f"alert {one}" for one in self.missing]
        found += [f"answer {one}" for one in self.faults.answered - self.faults.known]
        found += [f"notice {one}" for one in self.faults.undelivered]
        return found + (["told again it is another story"] if not self.faults.replayed else [])

    def __str__(self) -> str:
        calm, wild = self.peace, self.faults
        again = sum(wild.numbers.values()) - len(wild.numbers)
        lines = [
            f"{len(calm.alerts)} alerts in peace, {len(wild.alerts)} with faults; {self.moved} to another second",
            f"{wild.answered.total()} answers, {wild.starts} starts, {again} notices came again under their number",
            f"most memory {calm.memory_mb:.0f} MB in peace, {wild.memory_mb:.0f} MB with faults; "
            f"at the end {calm.at_rest_mb:.0f} and {wild.at_rest_mb:.0f} MB",
            ", ".join(f"{name} {many}" for name, many in sorted(wild.took.items())),
            *(f"lost: {one}" for one in self.lost),
            *(f"not in peace: {one}" for one in self.more),
        ]
        return "\n".join(lines)


def soak(
    place: Path, days: int = HERD.days, seed: int = 1, faults: Faults = FAULTS, before: int = 0,
    upto: int | None = None, told: Callable[[str], None] = lambda said: None,
) -> Soaked:  # fmt: skip
    """Both lives, one after the other, over so many days (of which only exports up to the `upto`-th).

    So many exports `before` are there already when watching begins.
    """
    source = place / "herd"
    write_farm(source, simulate(HerdSpec(HERD.cows, HERD.boxes, days, HERD.seed, HERD.zone, HERD.start)), False)
    if upto is not None:
        for path in sorted((source / "exports").iterdir(), key=lambda one: (one.stat().st_mtime, one.name))[upto:]:
            path.unlink()
    lives = []
    for name, dice in (("in peace", None), ("with faults", random.Random(seed))):
        steps = iter(range(10, 101, 10))
        ahead = next(steps)

        def progress(share: float, name: str = name, steps: Iterator[int] = steps) -> None:
            nonlocal ahead
            if share * 100 >= ahead:
                told(f"{name}: {ahead} %")
                ahead = next(steps, 1000)

        with disk(place / name / "disk", DISK_BYTES) as room, Receiver() as phone:
            lives.append(live(Days(place / name, source, phone, room, dice, faults, before), progress))
    return Soaked(*lives, *apart(*lives))


def faced(found: Soaked, days: int) -> Faced:
    """The line of the table."""
    most = max(found.peace.memory_mb, found.faults.memory_mb)
    tried = found.faults.took.total()
    return Faced(f"{days} days with all of it (faults)", tried, len(found.lost), len(found.more), 0.0, most)


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as made:
        _say(str(soak(Path(made), *(int(one) for one in sys.argv[1:]), told=_say)))
