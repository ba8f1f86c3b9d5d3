"""A receiver of notices, on raw sockets, that works or is bad in one of the ways in which real ones are."""

from __future__ import annotations

import socket
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import Self

from sentinel.demo.phone import Message, read_message

WAYS = ("hangs", "refuses", "drips", "drips headers", "redirects", "answers 500", "answers 429", "closes", "floods")
"""Ways of being bad; `works` is the other one. `floods` answers without end, as fast as it can."""

LONGEST = 1_000_000
_OK = b"HTTP/1.1 200 OK\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
_ELSEWHERE = b"HTTP/1.1 302 Found\r\nLocation: %s\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
_STATUS = b"HTTP/1.1 %d Not now\r\nRetry-After: 60\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"


@dataclass(frozen=True, slots=True)
class Arrived:
    """One message that was read whole: when (of the clock given), how the receiver was, and what it says."""

    at: float
    way: str
    message: Message


class BadReceiver:
    """Listens on 127.0.0.1; `be` says how it is from now on. A connection stays as it was when it began.

    `elsewhere`: where it sends those who come while it redirects. `arrived`: every message read whole, whatever was
    answered: a real service may have shown it.
    """

    def __init__(self, now: Callable[[], float], elsewhere: str = "http://127.0.0.1:9/") -> None:
        self.arrived: list[Arrived] = []
        self.begun = 0
        self._now = now
        self._elsewhere = elsewhere.encode()
        self._way = "works"
        self._closed = threading.Event()
        self._socket: socket.socket | None = None
        self._holds: set[socket.socket] = set()
        with socket.create_server(("127.0.0.1", 0)) as taken:
            self.port = int(taken.getsockname()[1])
        self.be("works")

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def url_for(self, name: str) -> str:
        """The address of a channel of its own: `Message.to` says which one was used."""
        return f"json://127.0.0.1:{self.port}/{name}"

    def be(self, way: str) -> None:
        """Be so from now on; what hangs or drips goes on doing so."""
        self._way = way
        if way == "refuses":
            self._stop_listening()
        elif self._socket is None:
            self._socket = socket.create_server(("127.0.0.1", self.port), backlog=128)
            threading.Thread(target=self._accept, args=(self._socket,), daemon=True, name="receiver").start()

    def close(self) -> None:
        """Stop listening, and end what hangs."""
        self._closed.set()
        self._stop_listening()
        for one in list(self._holds):
            with suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)

    def delivered(self, to: str = "", way: str = "works") -> list[Message]:
        """What arrived while it was so, in order; of one channel or of all."""
        return [one.message for one in list(self.arrived) if one.way == way and to in ("", one.message.to)]

    def _stop_listening(self) -> None:
        if self._socket is not None:
            with suppress(OSError):
                self._socket.shutdown(socket.SHUT_RDWR)
            self._socket.close()
            self._socket = None

    def _accept(self, listening: socket.socket) -> None:
        with suppress(OSError):
            while True:
                one, _ = listening.accept()
                self._holds.add(one)
                threading.Thread(target=self._serve, args=(one, self._way), daemon=True, name="caller").start()

    def _serve(self, one: socket.socket, way: str) -> None:
        self.begun += 1
        with one, suppress(OSError, ValueError):
            one.settimeout(30)
            if way == "closes":
                one.recv(64)
                return
            self._keep(way, *_request(one))
            self._answer(one, way)
        self._holds.discard(one)

    def _keep(self, way: str, path: str, content: bytes) -> None:
        at = self._now()
        self.arrived.append(Arrived(at, way, read_message(content, path.strip("/"), int(at))))

    def _answer(self, one: socket.socket, way: str) -> None:
        match way:
            case "works":
                one.sendall(_OK)
            case "hangs":
                self._closed.wait()
            case "drips":
                one.sendall(b"HTTP/1.1 200 OK\r\nContent-Length: 900000\r\n\r\n")
                self._drip(one, b"x")
            case "drips headers":
                one.sendall(b"HTTP/1.1 200 OK\r\nX-Long: ")
                self._drip(one, b"x")
            case "redirects":
                one.sendall(_ELSEWHERE % self._elsewhere)
            case "floods":
                one.sendall(b"HTTP/1.1 200 OK\r\nContent-Type: text/plain\r\nConnection: close\r\n\r\n")
                while not self._closed.is_set():
                    one.sendall(b"x" * 65_536)
            case _:
                one.sendall(_STATUS % int(way.rpartition(" ")[2]))

    def _drip(self, one: socket.socket, byte: bytes) -> None:
        while not self._closed.wait(1.0):
            one.sendall(byte)


def _request(one: socket.socket) -> tuple[str, bytes]:
    """The path and the body of one posted request; ValueError if it is none."""
    read = b""
    while b"\r\n\r\n" not in read:
        more = one.recv(65_536)
        if not more or len(read) > LONGEST:
            raise ValueError("no whole request")
        read += more
    head, _, body = read.partition(b"\r\n\r\n")
    lines = head.decode("latin-1").split("\r\n")
    length = next((int(line.partition(":")[2]) for line in lines if line.lower().startswith("content-length:")), 0)
    while len(body) < length <= LONGEST:
        more = one.recv(65_536)
        if not more:
            raise ValueError("no whole request")
        body += more
    return lines[0].split(" ")[1], body
