"""The exports' folder is a share that goes and comes back while a real `sentinel run` watches it.

Where this process may mount, the inbox is a folder of a tmpfs bound into its place, taken away by `umount`, also
lazily; elsewhere the inbox itself is renamed away. `Share.kind` says which of the two it is. A server that hangs is
in `hung_share`.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from faults.faced import Faced, most_memory_mb
from faults.real_farm import CLOCK, expect, fail_milking, health_of, make_farm, running, titles, until

from sentinel.demo.phone import Phone
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.runtime.record.replay import as_arrived, live_alerts

AWAY_S = 30.0
TOLD_WITHIN_S = 180.0
"""A share that is away for two minutes is told; this is when it must have been."""

TITLE = "The exports cannot be reached"


class Share:
    """A share that is seen at `inbox` while it is connected; its files lie in a folder of `server`.

    `files`: where they can be written, whether or not it is connected.
    """

    def __init__(self, inbox: Path, server: Path, kind: Literal["mount", "rename"]) -> None:
        self.inbox = inbox
        self.kind = kind
        self._server = server
        self.files = self.folder("files")

    def folder(self, name: str) -> Path:
        """A folder of the server, made if it is not there."""
        path = self._server / name
        path.mkdir(exist_ok=True)
        return path

    def connect(self, name: str = "files") -> None:
        """Let the files of one of the server's folders be seen."""
        self.files = self.folder(name)
        if self.kind == "rename":
            self.files = self.files.rename(self.inbox)
            return
        subprocess.run(["mount", "--bind", str(self.files), str(self.inbox)], check=True)

    def disconnect(self, lazily: bool = False) -> None:
        """Take it away."""
        if self.kind == "rename":
            self.files = self.inbox.rename(self._server / "files")
            return
        subprocess.run(["umount", *(["--lazy"] if lazily else []), str(self.inbox)], check=True)


@contextmanager
def share(folder: Path, *, renamed: bool = False) -> Iterator[Share]:
    """A share at `folder/exports`, not connected yet."""
    inbox, server = folder / "exports", folder / "server"
    server.mkdir(parents=True)
    mount = ["mount", "-t", "tmpfs", "-o", "size=20m", "tmpfs", str(server)]
    may = not renamed and os.geteuid() == 0
    mounted = may and subprocess.run(mount, check=False, capture_output=True).returncode == 0
    if mounted:
        inbox.mkdir()
    try:
        yield Share(inbox, server, "mount" if mounted else "rename")
    finally:
        if mounted:
            for path in (inbox, server):
                subprocess.run(["umount", "--lazy", str(path)], check=False, capture_output=True)


@dataclass(frozen=True, slots=True)
class Back:
    """What came of a share that was away: the notices, how soon after it was back all had rung, what was said of it.

    `health`: status and troubles while it was away. `changed`: files of the share that are not as they were written.
    """

    name: str
    rang: dict[str, int]
    told: tuple[str, ...]
    health: tuple[int, tuple[str, ...]]
    status: str
    recovered_s: float
    rows_twice: int
    changed: int
    replay_equals_live: bool
    memory_mb: float

    @property
    def faced(self) -> Faced:
        """As a line of the table."""
        lost = sum(not count for count in self.rang.values()) + self.changed + (not self.replay_equals_live)
        doubled = sum(max(0, count - 1) for count in self.rang.values()) + self.rows_twice
        return Faced(self.name, len(self.rang), lost, doubled, self.recovered_s, self.memory_mb)


class Shared:
    """A farm whose inbox is a share, and what was written to it."""

    def __init__(self, folder: Path, phone: Phone, one: Share) -> None:
        self.folder, self.phone, self.share = folder, phone, one
        self.farm = make_farm(folder / "farm", {"phone": phone.url}, f"inbox: {one.inbox}\n")
        self.log = folder / "run.log"
        self.cows: list[str] = []
        self.written: dict[str, bytes] = {}
        self.health: tuple[int, tuple[str, ...]] = (0, ())
        self.status = ""
        self.pid = 0

    def write(self, cow: str) -> None:
        """A failed milking is written on the server, whether or not the share is connected."""
        path = fail_milking(self.share.files, cow)
        self.written[path.name] = path.read_bytes()
        self.cows.append(cow)

    def begin(self, cow: str) -> Callable[[], None]:
        """Begin to write a failed milking through the share itself; what writes the rest."""
        whole = fail_milking(self.folder, cow)
        content, name = whole.read_bytes(), whole.name
        file = (self.share.inbox / name).open("wb", buffering=0)
        file.write(content[:30])
        until(lambda: False, 1)  # the service has seen it

        def end() -> None:
            with file:
                file.write(content[30:])
            self.written[name] = content
            self.cows.append(cow)

        return end

    def rung(self, within_s: float = 30) -> float:
        """Wait until all that was written has rung; how long that took, in s."""
        begun = CLOCK.steady()
        until(lambda: all(f"Cow {cow}: 1 failure" in titles(self.phone) for cow in self.cows), within_s)
        return CLOCK.steady() - begun

    def away(self, seconds: float) -> None:
        """Let it be away for a while, once the service has looked; what is said of it meanwhile."""
        expect(lambda: health_of(self.log)[1]["last_look_s_ago"] is not None, 60, "it has not looked")
        until(lambda: False, seconds)
        status, body = health_of(self.log)
        troubles = body["troubles"]
        assert isinstance(troubles, list)
        self.health = status, tuple(map(str, troubles))
        asked = [sys.executable, "-m", "sentinel", "status", str(self.farm)]
        self.status = subprocess.run(asked, capture_output=True, text=True, check=False).stdout

    @contextmanager
    def running(self) -> Iterator[None]:
        """The service runs."""
        with running(self.farm, self.log) as process:
            self.pid = process.pid
            yield

    def come_of(self, name: str, recovered_s: float) -> Back:
        """Look at what came of it; the service still runs."""
        until(lambda: False, 3)  # what comes twice would come now
        came = titles(self.phone)
        there = {path.name: path.read_bytes() for path in self.share.files.iterdir()}
        changed = sum(there.get(name) != content for name, content in self.written.items())
        changed += len(there.keys() - self.written.keys())
        store = Store(self.farm / STORE_NAME)
        try:
            store.verify()
            rows = fetch(store, "select count(*), count(distinct cow) from visits")[0]
            same = as_arrived(store) == live_alerts(store)
        finally:
            store.close()
        rang = {cow: came.count(f"Cow {cow}: 1 failure") for cow in self.cows}
        told = tuple(one for one in came if TITLE in one)
        memory_mb = most_memory_mb(self.pid)
        said = f"share {name} ({self.share.kind})"
        return Back(
            said, rang, told, self.health, self.status, recovered_s, rows[0] - rows[1], changed, same, memory_mb
        )


@contextmanager
def shared(folder: Path, renamed: bool = False) -> Iterator[Shared]:
    """A farm with a share of its own."""
    with Phone() as phone, share(folder, renamed=renamed) as one:
        yield Shared(folder, phone, one)


def and_back(folder: Path, away_s: float = AWAY_S, *, lazily: bool = False, renamed: bool = False) -> Back:
    """It goes while the service runs, is written to meanwhile, and comes back.

    Lazily: while one of its files is being written, which the service finds whole when it is back.
    """
    with shared(folder, renamed) as farm:
        farm.share.connect()
        with farm.running():
            farm.write("before")
            farm.rung()
            half = farm.begin("half") if lazily else None
            farm.share.disconnect(lazily)
            farm.write("meanwhile")
            farm.away(away_s)
            if half is not None:
                half()
            farm.share.connect()
            farm.write("after")
            recovered_s = farm.rung()
            return farm.come_of(f"away for {away_s:.0f} s{', lazily' if lazily else ''}", recovered_s)


def told(folder: Path) -> Back:
    """It stays away until a person is told, and is told over once it is back."""
    with shared(folder) as farm:
        farm.share.connect()
        with farm.running():
            farm.write("before")
            farm.rung()
            farm.share.disconnect()
            farm.write("meanwhile")
            expect(lambda: TITLE in titles(farm.phone), TOLD_WITHIN_S, "nobody was told")
            farm.away(0)
            farm.share.connect()
            recovered_s = farm.rung()
            expect(lambda: f"Over: {TITLE}" in titles(farm.phone), 90, "nobody was told that it is over")
            return farm.come_of("away until told", recovered_s)


def gone_at_start(folder: Path, away_s: float = AWAY_S) -> Back:
    """It was there at the last run, is not connected when the service is started, and comes later."""
    with shared(folder) as farm:
        farm.share.connect()
        with farm.running():
            farm.write("before")
            farm.rung()
        farm.share.disconnect()
        farm.write("meanwhile")
        farm.log = folder / "again.log"
        with farm.running():
            farm.away(away_s)
            farm.share.connect()
            recovered_s = farm.rung()
            return farm.come_of("gone at the start", recovered_s)


def back_otherwise(folder: Path, away_s: float = AWAY_S) -> Back:
    """It comes back empty for a while, then with all its files anew: other inodes, other times, the same content."""
    with shared(folder) as farm:
        farm.share.connect()
        with farm.running():
            for number in range(20):
                farm.write(f"before{number}")
            farm.rung()
            farm.share.disconnect()
            until(lambda: False, 3)
            farm.share.connect("empty")
            farm.away(away_s)
            farm.share.disconnect()
            farm.share.files = farm.share.folder("files")
            farm.write("meanwhile")
            for path in sorted(farm.share.files.iterdir()):
                shutil.copyfile(path, farm.share.folder("anew") / path.name)
            farm.share.connect("anew")
            recovered_s = farm.rung()
            return farm.come_of("back empty, then with files anew", recovered_s)


def gone_share(minutes: float, place: Path) -> Iterator[Faced]:
    """The inbox is a share that goes and comes back; also one renamed away, as where nothing may be mounted."""
    yield and_back(place / "a").faced
    yield and_back(place / "b", lazily=True).faced
    yield told(place / "c").faced
    yield gone_at_start(place / "d").faced
    yield back_otherwise(place / "e").faced
    yield and_back(place / "f", renamed=True).faced
