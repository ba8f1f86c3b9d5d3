"""A simulated herd's days lived through by a real `sentinel run`, in peace or with a fault at every so-many-th step.

The exports come at the moments at which they would have, on a story's clock (`story_process`). Each fault is a method
of `Days`, and `FAULTS` says how often it comes. The story stands still while one lasts that is of real seconds.
"""

from __future__ import annotations

import os
import random
import shutil
import socket
import subprocess
import sys
import threading
import urllib.error
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from faults.days.story_process import Moves, StoryProcess
from faults.disk.full_disk import Disk
from faults.faced import memory_mb
from faults.files.mutants import hostile

from sentinel.demo.people import answer_by_link
from sentinel.demo.phone import Phone
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.exports.feeds import seen_files

RULES = Path(__file__).parents[3] / "rules"

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
        with opened(self.folder) as store:
            return {row.name for row in seen_files(store)} >= set(names)

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
def opened(folder: Path) -> Iterator[Store]:
    store = Store(folder / STORE_NAME)
    try:
        yield store
    finally:
        store.close()
