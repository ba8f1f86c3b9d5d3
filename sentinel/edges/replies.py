"""A service's reply to a message, read within limits: a reply without an end must not stop sentinel.

The HTTP library's own limits are for each piece that comes. A service, or whatever stands in its place on the network,
that sends a byte each second holds a try for ever, and one that sends without end fills the memory within seconds.
"""

from __future__ import annotations

import http.client
import io
import threading
from contextvars import ContextVar
from typing import Any

MOST_BYTES = 1_000_000
"""Of a reply no more is read than this: what services reply is a few thousand bytes."""

MOST_PACKED_BYTES = 32_000
"""The same of a reply that is packed: a thousand times as much may come of it."""

_UNPACKED = ("gzip", "deflate", "identity")

given_up: ContextVar[threading.Event] = ContextVar("given_up")
"""Set for the thread of a try: once the event is, nothing more is read for it."""


class _Bounded(io.RawIOBase):
    """A socket's bytes as a file that ends after `left` bytes, and fails when the try was given up."""

    def __init__(self, inner: Any) -> None:
        self._inner = inner
        self.left = MOST_BYTES

    def readable(self) -> bool:
        """It is."""
        return True

    def readinto(self, buffer: Any) -> int:
        """Read what is there; 0 at the end."""
        over = given_up.get(None)
        if over is not None and over.is_set():
            raise TimeoutError("the reply took too long")
        room = memoryview(buffer)[: max(0, self.left)]
        count = int(self._inner.readinto(room) or 0) if len(room) else 0
        self.left -= count
        return count

    def fileno(self) -> int:
        """The socket's."""
        return int(self._inner.fileno())

    def close(self) -> None:
        """Close the socket's file as well."""
        if not self.closed:
            self._inner.close()
        super().close()


class Reply(http.client.HTTPResponse):
    """An HTTP response of which no more than `MOST_BYTES` are read, and nothing once its try was given up."""

    def __init__(self, sock: Any, *args: Any, **options: Any) -> None:
        super().__init__(sock, *args, **options)
        usual = self.fp
        self._bounded = _Bounded(sock.makefile("rb", buffering=0))
        self.fp = io.BufferedReader(self._bounded)
        usual.close()

    def begin(self) -> None:
        """Read the headers; what is packed more than once, or as it was not asked for, is not unpacked."""
        super().begin()
        packed = self.headers.get("Content-Encoding", "").strip().lower()
        if packed not in ("", "identity"):
            self._bounded.left = min(self._bounded.left, MOST_PACKED_BYTES)
            if packed not in _UNPACKED:
                del self.headers["Content-Encoding"]


def bound_replies() -> None:
    """From now on every reply over HTTP that Apprise's services read is a `Reply`."""
    import urllib3.connection  # noqa: PLC0415  loaded late: it is large

    urllib3.connection.HTTPConnection.response_class = Reply
