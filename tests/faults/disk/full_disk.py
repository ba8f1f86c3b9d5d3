"""A disk that is really full, and has room again when it is told.

Where this process may mount, the disk is a tmpfs of its own filled to the last byte: what is written fails with
ENOSPC and SQLite says that the disk is full. Elsewhere (CI, no root) a limit on the size of any file that a process
writes does nearly the same: no file can grow, what is written fails with EFBIG, and SQLite calls it a disk I/O error.
`Disk.kind` says which of the two it is.
"""

from __future__ import annotations

import os
import resource
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from faults.faced import Faced, most_memory_mb
from faults.real_farm import CLOCK, PEOPLE, expect, fail_milking, health_of, make_farm, running, titles, until

from sentinel.demo.phone import Phone
from sentinel.edges.pulse import read
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch

TWO = PEOPLE + "- person: Onno\n  channels: [mail]\n  hours: always\n"

WATCHED_S = 12
"""So long the full disk is watched after the notice was delivered: without a memory, sixty copies."""

SIZE = 48_000_000
"""The tmpfs's bytes; it takes that much memory only while it is full."""


class Disk:
    """A disk at `path` on which a farm folder may be made; `kind` is `tmpfs` or `limit`."""

    def __init__(self, path: Path, kind: Literal["tmpfs", "limit"]) -> None:
        self.path = path
        self.kind = kind
        self._filler = path / "filler"

    def fill(self, *pids: int) -> None:
        """Let nothing more fit; a limit is laid on these processes."""
        if self.kind == "limit":
            for pid in pids:
                _, hard = resource.prlimit(pid, resource.RLIMIT_FSIZE)
                resource.prlimit(pid, resource.RLIMIT_FSIZE, (1, hard))
            return
        with self._filler.open("ab", buffering=0) as file:
            for length in (1_000_000, 4096, 1):
                with suppress(OSError):
                    while True:
                        file.write(b"x" * length)

    def make_room(self, *pids: int) -> None:
        """Let everything fit again."""
        if self.kind == "limit":
            for pid in pids:
                _, hard = resource.prlimit(pid, resource.RLIMIT_FSIZE)
                resource.prlimit(pid, resource.RLIMIT_FSIZE, (hard, hard))
            return
        self._filler.unlink()


@contextmanager
def disk(path: Path, size: int = SIZE) -> Iterator[Disk]:
    """A disk of its own at `path`, an empty folder: a tmpfs of so many bytes if one may be mounted."""
    path.mkdir(parents=True, exist_ok=True)
    mount = ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(path)]
    try:
        mounted = os.geteuid() == 0 and subprocess.run(mount, check=False, capture_output=True).returncode == 0
    except OSError:
        mounted = False
    try:
        yield Disk(path, "tmpfs" if mounted else "limit")
    finally:
        if mounted:
            subprocess.run(["umount", "--lazy", str(path)], check=False, capture_output=True)


TOLD = ("The disk of the farm's computer is full", "Sentinel's store cannot be written")
"""What a person is told of it, by what the disk says of itself."""


@dataclass(frozen=True, slots=True)
class FullDisk:
    """What a full disk led to: what each receiver got, in order, and how long each thing took in real seconds."""

    kind: str
    phone: tuple[str, ...]
    mail: tuple[str, ...]
    noted: bool
    recovered_s: float
    memory_mb: float
    health: tuple[int, dict[str, object]]
    state: dict[str, object]

    @property
    def faced(self) -> Faced:
        """As a line of the table: of two failed milkings each is to be told, once."""
        came = [self.phone.count(f"Cow {cow}: 1 failure") for cow in (7, 8)]
        doubled = sum(max(0, count - 1) for count in came)
        return Faced(f"disk full ({self.kind})", 2, came.count(0), doubled, self.recovered_s, self.memory_mb)


def live_through(folder: Path, limited: bool = False) -> FullDisk:
    """A notice waits as its phone is off; the disk fills; the phone comes on; there is room again."""
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        port = int(taken.getsockname()[1])
    exports = folder / "exports"
    exports.mkdir(parents=True)
    with disk(folder / "disk") as full, Phone() as mail:
        full.kind = "limit" if limited else full.kind
        channels = {"phone": f"json://127.0.0.1:{port}/", "mail": mail.url}
        farm = make_farm(full.path / "farm", channels, f"inbox: {exports}\n", TWO)
        with running(farm, folder / "run.log") as process:
            fail_milking(exports, "7")
            expect(lambda: any(attempts for _, _, attempts in outbox(farm)), 30, "no notice was tried")
            full.fill(process.pid)
            with Phone(port) as phone:
                fail_milking(exports, "8")
                expect(lambda: "Cow 7: 1 failure" in titles(phone), 90, "the waiting notice did not come")
                expect(lambda: any(one in TOLD for one in (*titles(phone), *titles(mail))), 60, "nobody was told")
                until(lambda: False, WATCHED_S)
                health, state = health_of(folder / "run.log"), read(farm)
                full.make_room(process.pid)
                begun = CLOCK.steady()
                expect(lambda: "Cow 8: 1 failure" in titles(phone), 90, "what came meanwhile was never told")
                noted = until(lambda: all(outcome == "delivered" for _, outcome, _ in outbox(farm)), 60)
                recovered_s = CLOCK.steady() - begun
                over = {f"Over: {one}"[:40] for one in TOLD}
                both = lambda: {one[:20] for one in (*titles(phone), *titles(mail))}  # noqa: E731
                expect(lambda: bool(both() & {one[:20] for one in over}), 90, "nobody was told that it is over")
                memory_mb = most_memory_mb(process.pid)
        store = Store(farm / STORE_NAME)
        store.verify()
        store.close()
        return FullDisk(full.kind, titles(phone), titles(mail), noted, recovered_s, memory_mb, health, state)


@dataclass(frozen=True, slots=True)
class Started:
    """What a start on a full disk led to: how often it was told, what `status` said, and when all was well again."""

    told: int
    status: tuple[int, str]
    titles: tuple[str, ...]
    recovered_s: float


def start_on_a_full_disk(folder: Path) -> Started:
    """A farm ran before; it is started while its disk is full, and an export came meanwhile."""
    exports = folder / "exports"
    exports.mkdir(parents=True)
    with disk(folder / "disk") as full, Phone() as phone:
        farm = make_farm(full.path / "farm", {"phone": phone.url}, f"inbox: {exports}\n")
        with running(farm, folder / "before.log"):
            pass
        full.fill()
        fail_milking(exports, "8")
        with running(farm, folder / "run.log", ready=False) as process:
            expect(lambda: any(one in TOLD for one in titles(phone)), 60, "nobody was told")
            said = subprocess.run(
                [sys.executable, "-m", "sentinel", "status", str(farm)], capture_output=True, text=True, check=False
            )
            full.make_room()
            begun = CLOCK.steady()
            expect(lambda: "Cow 8: 1 failure" in titles(phone), 60, "it did not begin")
            recovered_s = CLOCK.steady() - begun
            assert process.poll() is None
        told = sum(one in TOLD for one in titles(phone))
        return Started(told, (said.returncode, said.stdout), titles(phone), recovered_s)


def outbox(farm: Path) -> list[tuple[str, str, int]]:
    """The outbox: channel, outcome, attempts."""
    store = Store(farm / STORE_NAME)
    try:
        rows = fetch(store, "select channel, outcome, attempts from deliveries order by notice, channel")
        return [(row["channel"], row["outcome"], row["attempts"]) for row in rows]
    finally:
        store.close()
