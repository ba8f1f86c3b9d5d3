"""A phone stand-in for the demo and for trying a farm out: a real receiver on this machine's loopback.

It takes the JSON that a `json://` channel posts, keeps each message, and shows it as a phone would: narrow, with
the time, the title, the text, the link to answer by, and the notice's id in small print.
"""

from __future__ import annotations

import json
import re
import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from zoneinfo import ZoneInfo

from rich import box
from rich.console import Console, Group
from rich.panel import Panel
from rich.text import Text

from sentinel.edges.clock import Clock
from sentinel.flow.visible import visible

WIDTH = 44
"""Letters across: about what a phone shows of a notice."""

MOST_BYTES = 1_000_000
"""A message longer than this is refused."""

_LINK = re.compile(r"https?://\S+")
_ID = re.compile(r"#\S+")


@dataclass(frozen=True, slots=True)
class Message:
    """One message as it arrived: when (UTC seconds), for whom (the end of the address), and its parts.

    `link` and `notice` are taken from the end of the text, where the sender puts them; `""` if they are not there.
    `kind` is the sender's own word for it: `info`, `warning`.
    """

    at: int
    to: str
    title: str
    body: str
    link: str = ""
    notice: str = ""
    kind: str = "info"


class _Server(ThreadingHTTPServer):
    """A server that leaves many senders at the same moment in line."""

    daemon_threads = True
    request_queue_size = 128


class Phone:
    """Listens on 127.0.0.1 from the moment it is made until `close`; `messages` holds what arrived, in order.

    `show` is called with each message as it arrives, from the receiver's thread; `now` gives the time it is stamped
    with (this machine's if left out); `port` 0 takes a free one.
    """

    def __init__(
        self,
        port: int = 0,
        show: Callable[[Message], None] = lambda message: None,
        now: Callable[[], int] | None = None,
    ) -> None:
        self.messages: list[Message] = []
        self._show = show
        self._now = now or Clock().now
        self._arrived = threading.Condition()
        self._server = _Server(("127.0.0.1", port), _receiver(self._receive))
        self._thread = threading.Thread(target=self._server.serve_forever, args=(0.05,), daemon=True, name="phone")
        self._thread.start()

    def __enter__(self) -> Phone:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def port(self) -> int:
        """The port it listens on."""
        return int(self._server.server_address[1])

    @property
    def url(self) -> str:
        """The channel's address, as it would stand in `secrets.yaml`."""
        return f"json://127.0.0.1:{self.port}/"

    def url_for(self, person: str) -> str:
        """An address of its own for a person, so that one phone can stand in for several (`Message.to`)."""
        return f"{self.url}{person}"

    def wait_for(self, count: int, timeout_s: float) -> bool:
        """Wait until that many messages have arrived in all; False if they have not after `timeout_s`."""
        with self._arrived:
            return self._arrived.wait_for(lambda: len(self.messages) >= count, timeout_s)

    def close(self) -> None:
        """Stop listening."""
        self._server.shutdown()
        self._server.server_close()
        self._thread.join(5)

    def _receive(self, path: str, content: bytes) -> None:
        """Keep and show one posted message; ValueError if it is not one."""
        message = read_message(content, to=path.strip("/"), at=self._now())
        with self._arrived:
            self.messages.append(message)
            self._show(message)
            self._arrived.notify_all()


def read_message(content: bytes, to: str, at: int) -> Message:
    """The message in a JSON post; ValueError if it is not one."""
    posted: Any = json.loads(content)
    if not isinstance(posted, dict) or "message" not in posted:
        raise ValueError("not a message: a JSON object with title, message and type is expected")
    lines = str(posted["message"]).strip().split("\n")
    notice = lines.pop()[1:] if _ID.fullmatch(lines[-1].strip()) else ""
    link = lines.pop().strip() if lines and _LINK.fullmatch(lines[-1].strip()) else ""
    body = "\n".join(lines).strip()
    return Message(at, to, str(posted.get("title", "")), body, link, notice, str(posted.get("type", "info")))


def as_phone(message: Message, zone: str = "UTC", width: int = WIDTH) -> Panel:
    """The message as a phone would show it, with its time in the farm's zone."""
    shown = datetime.fromtimestamp(message.at, ZoneInfo(zone))
    urgent = message.kind == "warning"
    parts = [Text(visible(message.title), style="bold")]
    if message.body:
        parts.append(Text("\n".join(map(visible, message.body.split("\n")))))
    if message.link:
        link = visible(message.link)
        room = width - 4 - len("answer: ")
        shown_link = link if len(link) <= room else link[: room - 1] + "…"
        parts.append(Text("answer: ", style="dim").append(shown_link, style=f"underline link {link}"))
    return Panel(
        Group(*parts),
        box=box.ROUNDED,
        width=width,
        title=Text(f"{shown:%a %H:%M}" + (f"  {visible(message.to)}" if message.to else "")),
        title_align="left",
        subtitle=Text(f"#{visible(message.notice)}", style="dim") if message.notice else None,
        subtitle_align="right",
        border_style="red" if urgent else "blue",
    )


def show_on(console: Console, zone: str = "UTC") -> Callable[[Message], None]:
    """A `show` that prints each message on a terminal."""
    return lambda message: console.print(as_phone(message, zone))


def _receiver(receive: Callable[[str, bytes], None]) -> type[BaseHTTPRequestHandler]:
    """The request handler that hands each posted message to `receive`."""

    class Receiver(BaseHTTPRequestHandler):
        """Answers 200 to a message, 400 to anything else that is posted, 413 to what is too long."""

        timeout = 10

        def do_POST(self) -> None:
            """Take one message."""
            size = int(self.headers.get("Content-Length") or 0)
            if not 0 <= size <= MOST_BYTES:
                self.send_error(413)
                return
            try:
                receive(self.path, self.rfile.read(size))
            except ValueError:
                self.send_error(400)
                return
            self.send_response(200)
            self.send_header("Content-Length", "0")
            self.end_headers()

        def log_message(self, format: str, *args: Any) -> None:
            """Say nothing of its own on the terminal."""

    return Receiver
