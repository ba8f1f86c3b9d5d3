"""Real servers on this machine that a channel may lead to, and a message for them."""

from __future__ import annotations

import json
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from sentinel.edges.notifier import Message

SECRET = "tk_9f3c1e77abcdefghij0123456789xy"
OK = b"HTTP/1.1 200 OK\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
LINK = "http://farm.example/a/x1?b=c&d"


def message(notice: str = "n17", channel: str = "anna-phone", urgency: str = "now", **more: str) -> Message:
    """A message with the usual words."""
    texts = {"title": "Box 2", "body": "9 of 20 failed", "link": LINK} | more
    return Message(notice, channel, "anna", urgency=urgency, **texts)


class Server:
    """A real server on loopback whose behaviour is given: `answer(connection)` may do what it likes."""

    def __init__(self, answer: Callable[[socket.socket], None]) -> None:
        self.requests: list[bytes] = []
        self.ending = threading.Event()
        self._answer = answer
        self._socket = socket.create_server(("127.0.0.1", 0))
        self.port = self._socket.getsockname()[1]
        self._threads = [threading.Thread(target=self._accept, daemon=True)]
        self._threads[0].start()

    @property
    def url(self) -> str:
        """Its address with a secret in it."""
        return f"json://127.0.0.1:{self.port}/{SECRET}/"

    def _accept(self) -> None:
        while not self.ending.is_set():
            try:
                connection, _ = self._socket.accept()
            except OSError:
                return
            thread = threading.Thread(target=self._serve, args=(connection,), daemon=True)
            self._threads.append(thread)
            thread.start()

    def _serve(self, connection: socket.socket) -> None:
        with connection:
            try:
                self.requests.append(read_request(connection))
                self._answer(connection)
            except OSError:
                pass  # the other side gave up

    def bodies(self) -> list[dict[str, str]]:
        """The JSON that was posted."""
        return [json.loads(request.partition(b"\r\n\r\n")[2]) for request in self.requests]

    def close(self) -> None:
        """End it and everything that still hangs on it."""
        self.ending.set()
        self._socket.shutdown(socket.SHUT_RDWR)
        self._socket.close()
        for thread in self._threads:
            thread.join(5)


def read_request(connection: socket.socket) -> bytes:
    """One HTTP request, head and body."""
    got = b""
    while b"\r\n\r\n" not in got:
        part = connection.recv(65536)
        if not part:
            return got
        got += part
    head, _, body = got.partition(b"\r\n\r\n")
    length = next((int(h.split(b":")[1]) for h in head.split(b"\r\n") if h.lower().startswith(b"content-length:")), 0)
    while len(body) < length:
        body += connection.recv(65536)
    return head + b"\r\n\r\n" + body


@contextmanager
def serving(answer: Callable[[socket.socket], None] | bytes) -> Iterator[Server]:
    """A server that answers so, or always these bytes."""
    server = Server(answer if callable(answer) else lambda connection: connection.sendall(answer))
    try:
        yield server
    finally:
        server.close()


@contextmanager
def hanging() -> Iterator[Server]:
    """A server that takes the message and never answers, but keeps the connection alive with a drip of bytes."""

    def drip(connection: socket.socket) -> None:
        connection.sendall(b"HTTP/1.1 200 OK\r\nX-Drip: ")
        while not server.ending.wait(0.1):
            connection.sendall(b".")

    with serving(drip) as server:
        yield server
