"""The exports' folder is a real network share (sshfs), whose server is killed, and whose server hangs.

The server is OpenSSH's `sftp-server` on a port of this machine, without a shell or a key. A hung one refuses nothing:
whoever asks waits, which a mount that was taken away cannot show. Needs root, sshfs and /dev/fuse.
"""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from faults.faced import Faced, most_memory_mb
from faults.real_farm import CLOCK, expect, fail_milking, health_of, make_farm, running, titles, until
from faults.share.gone_share import TITLE

from sentinel.demo.phone import Phone

SFTP = Path("/usr/lib/openssh/sftp-server")
TOLD_WITHIN_S = 240.0
"""After a minute of silence it is a trouble, and told when that has lasted two."""


def cannot() -> str:
    """Why no such share can be had here; "" if it can."""
    if os.geteuid() != 0 or not Path("/dev/fuse").exists():
        return "only root can mount one, and only with FUSE"
    return "" if shutil.which("sshfs") and SFTP.exists() else "sshfs and sftp-server are not on this machine"


class Server:
    """Serves the files of this machine to whoever connects; may be stopped in the middle, and killed."""

    def __init__(self) -> None:
        self._listening = socket.create_server(("127.0.0.1", 0))
        self.port = int(self._listening.getsockname()[1])
        self._serving: list[subprocess.Popen[bytes]] = []
        threading.Thread(target=self._accept, daemon=True).start()

    def _accept(self) -> None:
        with suppress(OSError):
            while True:
                asked, _ = self._listening.accept()
                with asked:
                    self._serving.append(subprocess.Popen([str(SFTP)], stdin=asked.fileno(), stdout=asked.fileno()))

    def signal(self, number: int) -> None:
        """Send all that serve a signal."""
        for one in self._serving:
            one.send_signal(number)

    def close(self) -> None:
        """Serve nobody any more."""
        self._listening.close()
        for one in self._serving:
            one.kill()
            one.wait(5)


@contextmanager
def served(folder: Path) -> Iterator[tuple[Path, Path, Server]]:
    """Where the share is to be mounted, where its files lie, and its server."""
    inbox, files = folder / "exports", folder / "server"
    for place in (inbox, files):
        place.mkdir(parents=True)
    server = Server()
    try:
        mount(inbox, files, server)
        yield inbox, files, server
    finally:
        subprocess.run(["umount", "--lazy", str(inbox)], check=False, capture_output=True)
        server.close()


def mount(inbox: Path, files: Path, server: Server) -> None:
    """Mount it; what lies there is looked for anew every second."""
    options = f"directport={server.port},dcache_timeout=1"
    subprocess.run(["sshfs", "-o", options, f"127.0.0.1:{files}", str(inbox)], check=True, capture_output=True)


@dataclass(frozen=True, slots=True)
class Hung:
    """What came of it: how often each failure rang, what was said while the server hung, and how soon all was well."""

    rang: dict[str, int]
    told: int
    over: int
    health: tuple[int, dict[str, object]]
    recovered_s: float
    memory_mb: float

    @property
    def faced(self) -> Faced:
        """As a line of the table."""
        lost = sum(not count for count in self.rang.values()) + (self.health[0] != 503) + (not self.told)
        doubled = sum(max(0, count - 1) for count in (*self.rang.values(), self.told, self.over))
        return Faced(
            "share whose server hangs (sshfs)", len(self.rang), lost, doubled, self.recovered_s, self.memory_mb
        )


def live_through(folder: Path) -> Hung:
    """Its server is killed and comes back; then it hangs until a person is told, and goes on."""
    cows: list[str] = []

    def write(cow: str) -> None:
        fail_milking(files, cow)
        cows.append(cow)

    def rung(phone: Phone, within_s: float = 60) -> float:
        begun = CLOCK.steady()
        until(lambda: all(f"Cow {cow}: 1 failure" in titles(phone) for cow in cows), within_s)
        return CLOCK.steady() - begun

    with Phone() as phone, served(folder) as (inbox, files, server):
        farm = make_farm(folder / "farm", {"phone": phone.url}, f"inbox: {inbox}\n")
        with running(farm, folder / "run.log") as process:
            write("before")
            rung(phone)
            server.signal(signal.SIGKILL)
            write("killed")
            until(lambda: False, 8)
            subprocess.run(["umount", "--lazy", str(inbox)], check=False, capture_output=True)
            mount(inbox, files, server)
            rung(phone)
            server.signal(signal.SIGSTOP)
            write("hung")
            expect(lambda: TITLE in titles(phone), TOLD_WITHIN_S, "nobody was told")
            health = health_of(folder / "run.log")
            server.signal(signal.SIGCONT)
            recovered_s = rung(phone)
            write("after")
            rung(phone)
            expect(lambda: f"Over: {TITLE}" in titles(phone), 90, "nobody was told that it is over")
            memory_mb = most_memory_mb(process.pid)
        came = titles(phone)
        rang = {cow: came.count(f"Cow {cow}: 1 failure") for cow in cows}
        return Hung(rang, came.count(TITLE), came.count(f"Over: {TITLE}"), health, recovered_s, memory_mb)


def hung_share(minutes: float, place: Path) -> Iterator[Faced]:
    """A real network share whose server is killed, and hangs; nothing where none can be had."""
    if not cannot():
        yield live_through(place / "hung").faced
