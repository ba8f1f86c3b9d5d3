"""The page's web server: uvicorn in a thread beside the service."""

from __future__ import annotations

import asyncio
import socket
import threading
from functools import partial
from types import TracebackType
from typing import Any, cast

import uvicorn

from sentinel.edges.web.auth.door import HEAD_LENGTH, IDLE_S, Connection, Door
from sentinel.errors import UsageError

START_WITHIN_S = 10
STOP_WITHIN_S = 5


class _Server(uvicorn.Server):
    """A server that says when it listens, with somebody at its door."""

    def __init__(self, config: uvicorn.Config, door: Door) -> None:
        super().__init__(config)
        self.listening = threading.Event()
        self._door = door

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        self._door.sweep(asyncio.get_running_loop())
        self.listening.set()


class WebServer:
    """Serves an app on one address until it is stopped; `port` is the real one, also when 0 was asked for."""

    def __init__(self, app: Any, host: str, port: int) -> None:
        self.host = host
        self.port = port
        door = Door()
        # the access log would hold the links, and whoever holds a link can answer
        config = uvicorn.Config(
            app,
            http=cast(Any, partial(Connection, door)),
            ws="none",
            loop="asyncio",
            lifespan="off",
            log_config=None,
            access_log=False,
            server_header=False,
            proxy_headers=False,
            h11_max_incomplete_event_size=HEAD_LENGTH,
            timeout_keep_alive=IDLE_S,
            timeout_graceful_shutdown=2,
        )
        self._server = _Server(config, door)
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        """Begin to listen; returns when requests are answered. UsageError if the address cannot be used."""
        try:
            family = socket.AF_INET6 if ":" in self.host else socket.AF_INET
            listener = socket.create_server((self.host, self.port), family=family)
        except OSError as error:
            sentence = f"the page cannot listen on {self.host} port {self.port}: {error.strerror or error}"
            raise UsageError(f"{sentence}; choose another port in farm.yaml, or stop what uses it") from error
        self.port = listener.getsockname()[1]
        self._thread = threading.Thread(
            target=self._server.run, kwargs={"sockets": [listener]}, name="page", daemon=True
        )
        self._thread.start()
        if not self._server.listening.wait(START_WITHIN_S):
            listener.close()
            raise UsageError(f"the page did not begin to listen on {self.host} port {self.port}")

    def stop(self) -> None:
        """Answer what was asked, then stop listening."""
        self._server.should_exit = True
        if self._thread is not None:
            self._thread.join(STOP_WITHIN_S)
            self._thread = None

    def __enter__(self) -> WebServer:
        self.start()
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.stop()
