"""A real `sentinel run` with its page on a real port, asked over sockets by one who may hold back, cut off or go on.

On this machine 127.0.0.2 and its like are addresses as good as any other on Linux, so that one process can be many
strangers. 127.0.0.1 itself counts as a web server's: what comes from there is many phones.
"""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME, page_key
from sentinel.edges.store import Store
from sentinel.edges.store.access import PageAccess
from sentinel.edges.store.alerts import save_alerts
from sentinel.edges.web.auth.links import form_token, new_session, sign_session
from sentinel.flow.model import Alert

FARM = 'name: Test farm\nzone: UTC\nboxes: ["1"]\npage: {port: 0}\n'
STRANGER, OTHER = "127.0.0.2", "127.0.0.3"


@dataclass
class Besieged:
    """The process, its port, and what a person known to it carries."""

    process: subprocess.Popen[str]
    port: int
    cookie: str
    token: str
    folder: Path

    def open(self, source: str = OTHER) -> socket.socket:
        """A connection from an address of this machine."""
        return socket.create_connection(("127.0.0.1", self.port), 30, (source, 0))

    def ask(self, head: str, body: bytes = b"", source: str = OTHER) -> tuple[int, str]:
        """Ask something on a connection of its own: status and text of the answer."""
        with self.open(source) as asked:
            try:
                asked.sendall(self.head(head, len(body)) + body)
            except (BrokenPipeError, ConnectionResetError):
                pass  # refused before it was all sent
            return answer_on(asked)

    def head(self, first: str, length: int, known: bool = False, kind: str = "") -> bytes:
        """A request's head."""
        lines = [f"{first} HTTP/1.1", "Host: farm.test", f"Content-Length: {length}", "Connection: close"]
        lines += [f"Cookie: sentinel={self.cookie}", f"X-Form-Token: {self.token}"] if known else []
        lines += [f"Content-Type: {kind}"] if kind else []
        return "\r\n".join([*lines, "", ""]).encode()

    def send_photo(self, content: bytes, number: str) -> tuple[int, str]:
        """Send a photo by the alert's form."""
        fields = {"token": self.token, "number": number}
        parts = [
            f'--x\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n' for name, value in fields.items()
        ]
        file = '--x\r\nContent-Disposition: form-data; name="photo"; filename="p"\r\nContent-Type: image/png\r\n\r\n'
        body = "".join([*parts, file]).encode() + content + b"\r\n--x--\r\n"
        with self.open() as asked:
            kind = "multipart/form-data; boundary=x"
            try:
                asked.sendall(self.head("POST /alert/1/photo", len(body), known=True, kind=kind) + body)
            except (BrokenPipeError, ConnectionResetError):
                pass
            return answer_on(asked)

    def peak_mb(self) -> float:
        """The most memory that the process has held since `forget_peak`."""
        status = Path(f"/proc/{self.process.pid}/status").read_text()
        return int(re.findall(r"VmHWM:\s+(\d+) kB", status)[0]) / 1024

    def forget_peak(self) -> float:
        """Count the most memory anew; what it holds now."""
        Path(f"/proc/{self.process.pid}/clear_refs").write_text("5")
        return self.peak_mb()


def answer_on(asked: socket.socket) -> tuple[int, str]:
    """What comes back, to its end; (0, "") if nothing does."""
    came = b""
    try:
        while more := asked.recv(65_536):
            came += more
    except ConnectionResetError:
        pass
    found = re.match(rb"HTTP/1\.1 (\d+)", came)
    return (int(found[1]) if found else 0), came.decode("utf-8", "replace")


def seconds(since: float) -> float:
    """Seconds since a moment of the steady clock."""
    return time.monotonic() - since  # noqa: TID251


@contextmanager
def besieged_farm(folder: Path) -> Iterator[Besieged]:
    """`sentinel run` on a small farm with one alert, and one person's session."""
    (folder / "farm.yaml").write_text(FARM)
    (folder / "people.yaml").write_text("- person: Marit\n  channels: [marit]\n")
    (folder / "secrets.yaml").touch(0o600)
    (folder / "secrets.yaml").write_text('channels: {marit: "json://127.0.0.1:1/"}\n')
    for room in ("rules", "feeds", "exports"):
        (folder / room).mkdir()
    at, store, key = Clock().now(), Store(folder / STORE_NAME), page_key(folder)
    save_alerts(store, [Alert(1, "box-failures", "box:1", at - 60, at - 600, "now", "Box 1: 5 failed attachments")])
    session = new_session("Marit", PageAccess(store).make("Marit", False, at, at + 10**6).id, at)
    store.close()
    with (folder / "said").open("w") as said:
        process = subprocess.Popen(
            [sys.executable, "-m", "sentinel", "run", str(folder)],
            stdout=subprocess.PIPE,
            stderr=said,
            text=True,
            env={**os.environ, "PYTHONUNBUFFERED": "1", "COLUMNS": "200"},
            cwd=Path(__file__).parents[2],
        )
    with process:
        try:
            assert process.stdout is not None
            port = int(re.findall(r":(\d+)\s*$", process.stdout.readline())[0])
            yield Besieged(process, port, sign_session(session, key), form_token(session, key), folder)
        finally:
            process.send_signal(signal.SIGTERM)


def dripped(besieged: Besieged, first: bytes, drop: bytes, most_s: float) -> tuple[float, int]:
    """Send something and then a little more every half second: after how long it was ended, and how."""
    began = time.monotonic()  # noqa: TID251
    with besieged.open(STRANGER) as asked:
        asked.sendall(first)
        asked.settimeout(0.5)
        came = b""
        while seconds(began) < most_s:
            try:
                more = asked.recv(4096)
                came += more
                if not more:
                    break
            except TimeoutError:
                asked.sendall(drop)
            except ConnectionResetError:
                break
    found = re.match(rb"HTTP/1\.1 (\d+)", came)
    return seconds(began), int(found[1]) if found else 0


PATHS = ["/alert/1/photo", "/kept/photo", "/kept", "/alert/1", "/round", "/a/no-such-link", "/leave"]


def push(besieged: Besieged, head: bytes, source: str, megabytes: int = 16) -> int:
    """Send as much, and see what is said; 0 if the connection was cut."""
    with besieged.open(source) as asked:
        try:
            asked.sendall(head)
            for _ in range(megabytes):
                asked.sendall(bytes(1_000_000))
        except (BrokenPipeError, ConnectionResetError):
            pass
        return answer_on(asked)[0]
