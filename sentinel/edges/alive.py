"""Telling the outside that sentinel is alive, so that silence is noticed: systemd's watchdog, and a ping.

Both are one-way: nothing that comes back is read. An address may hold a token and is never shown.
"""

from __future__ import annotations

import contextlib
import logging
import socket
import threading
import urllib.request
from collections.abc import Callable, Mapping
from urllib.error import HTTPError

PING_TIMEOUT_S = 10.0

log = logging.getLogger("sentinel")


def notify_systemd(state: str, environment: Mapping[str, str]) -> bool:
    """Send systemd a state (`READY=1`, `WATCHDOG=1`), if it started this process; whether it was sent."""
    address = environment.get("NOTIFY_SOCKET", "")
    if not address or not hasattr(socket, "AF_UNIX"):
        return False
    if address.startswith("@"):  # a name in the abstract namespace begins with a zero byte
        address = "\0" + address[1:]
    with contextlib.suppress(OSError), socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as gate:
        gate.settimeout(1.0)
        gate.sendto(state.encode(), address)
        return True
    return False


class Ping:
    """Asks for an address now and then, on a thread of its own; at most one request is under way.

    `works`: whether the last one was answered; None before the first.
    """

    def __init__(self, every_s: float, steady: Callable[[], float]) -> None:
        self.works: bool | None = None
        self._every_s = every_s
        self._steady = steady
        self._next_s = float("-inf")
        self._under_way = threading.Lock()

    def now_and_then(self, address: str) -> None:
        """Ping, unless there is no address, the last one was too short a time ago, or it still hangs."""
        if not address or self._steady() < self._next_s or not self._under_way.acquire(blocking=False):
            return
        self._next_s = self._steady() + self._every_s
        threading.Thread(target=self._ping, args=(address,), name="ping", daemon=True).start()

    def _ping(self, address: str) -> None:
        try:
            request = urllib.request.Request(address, headers={"User-Agent": "sentinel"})
            with urllib.request.urlopen(request, timeout=PING_TIMEOUT_S):
                works, why = True, ""
        except HTTPError as error:
            works, why = False, f"it answered {error.code}"
        except Exception as error:  # whatever an address does; it is never shown
            works, why = False, type(error).__name__
        finally:
            self._under_way.release()
        if works != self.works and (self.works is not None or not works):
            log.log(
                logging.INFO if works else logging.ERROR, "the ping %s", "works again" if works else f"fails: {why}"
            )
        self.works = works
