"""How many connections the page takes, from one address and in all, and how long each one may take.

uvicorn and h11 bound the length of a request's head and end a connection that asked something and then nothing more.
They have no time for a first head, for a head that comes letter by letter, or for a body, and no limit per address;
and uvicorn's `limit_concurrency` counts every open connection as work, so that 63 which ask nothing lock everybody
out. So this stands between the socket and uvicorn's own protocol and watches over what that does.

A connection that asks nothing costs little and may go: if there are too many, the one that has waited longest makes
room, of the address that has most. So whoever asks something is answered, also from the address (a farm's router, a
machine on which many have a name) from which somebody else opens connections without end. What is never ended to make
room is a request under way.
"""

from __future__ import annotations

import asyncio
import ipaddress
import logging
from collections import Counter
from typing import Any

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

from sentinel.edges.web.auth.guard import PROXIES

IN_ALL = 200
FROM_ONE = 32
"""Connections at once. A browser opens six. A web server on this machine is many phones: only all are counted."""

HEAD_LENGTH = 16_384
"""Bytes of a request's head: addresses and cookies of the page have some hundred."""

HEAD_S = 10
"""From when a connection is open, or its last answer was sent, until the next head is there whole."""

IDLE_S = 5
"""A connection on which nothing at all is asked after an answer is ended after so long."""

BODY_S = 20
BODY_BYTES_PER_S = 1_000
"""A body may take so long, and a second more for each so many bytes that have come: slower than any phone's signal."""

DRAIN_S = 5
"""What is still sent after the answer to it was, is let come, and forgotten, for so long."""

STUCK_S = 60
"""An answer of which nothing more is taken for so long is given up."""

SWEEP_S = 0.5
"""How often is looked for what takes too long."""

TOLD_EVERY_S = 60
FULL = b"HTTP/1.1 503 Service Unavailable\r\nRetry-After: 5\r\nConnection: close\r\nContent-Length: 0\r\n\r\n"
TOO_SLOW = b"HTTP/1.1 408 Request Timeout\r\nConnection: close\r\nContent-Length: 0\r\n\r\n"

log = logging.getLogger("sentinel.page")


class Connection(H11Protocol):
    """One connection: uvicorn's, which tells the door what it is at."""

    def __init__(self, door: Door, **given: Any) -> None:
        super().__init__(**given)
        self.door = door
        self.address = ""
        self.received = 0
        self.at: tuple[str, int] = ("head", 0)
        self.since = 0.0
        self.unsent = 0
        self.unsent_since = 0.0

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Come in, if there is room or somebody who waits can make some."""
        super().connection_made(transport)
        self.address = group_of(self.client[0] if self.client else "")
        self.since = self.unsent_since = self.loop.time()
        if not self.door.let_in(self):
            transport.write(FULL)
            transport.close()

    def connection_lost(self, exc: Exception | None) -> None:
        """Leave."""
        self.door.left(self)
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Count what comes, then let uvicorn read it."""
        self.received += len(data)
        super().data_received(data)

    def doing(self) -> str:
        """`head`: none is there yet. `body`: one is coming in. `drain`: it is refused already. `answer`: it is ours."""
        if self.transport.is_closing():
            return "closing"
        coming = self.conn.their_state is h11.SEND_BODY
        if self.cycle is None or self.cycle.response_complete:
            return "drain" if coming else "head"
        return "body" if coming and not self.flow.read_paused else "answer"

    def too_long(self, now: float) -> bool:
        """Whether what it does now has taken too long; asked every SWEEP_S."""
        doing = self.doing()
        if doing == "answer" and self.at == ("body", id(self.cycle)):  # the page is not ready for more: its own time
            self.since += SWEEP_S
            return False
        if (doing, id(self.cycle)) != self.at:
            self.at, self.since, self.received = (doing, id(self.cycle)), now, 0
        allowed = {"head": HEAD_S, "body": BODY_S + self.received / BODY_BYTES_PER_S, "drain": DRAIN_S}
        return now - self.since > allowed.get(doing, float("inf"))

    def stuck(self, now: float) -> bool:
        """Whether something is to be sent of which nothing has been taken for too long."""
        left = self.transport.get_write_buffer_size()
        if left != self.unsent or not left:
            self.unsent, self.unsent_since = left, now
        return now - self.unsent_since > STUCK_S

    def end(self) -> None:
        """End it, saying so where something was asked and nothing answered yet."""
        if self.cycle is not None and not self.cycle.response_started and not self.transport.is_closing():
            self.transport.write(TOO_SLOW)
        self.transport.close()


class Door:
    """The connections that are open."""

    def __init__(self) -> None:
        self._inside: dict[Connection, None] = {}  # in the order in which they came
        self._told_at = float("-inf")

    def let_in(self, new: Connection) -> bool:
        """Take in a connection, whose place another may have to make free; False if there is no room."""
        open_now = [one for one in self._inside if not one.transport.is_closing()]
        counted = Counter(one.address for one in open_now)
        if new.address not in PROXIES and counted[new.address] >= FROM_ONE:
            crowd = [new.address]
        elif len(open_now) >= IN_ALL:
            crowd = [address for address, _ in counted.most_common()]
        else:
            self._inside[new] = None
            return True
        self._tell(new, crowd[0])
        for address in crowd:
            waiting = [one for one in open_now if one.address == address and one.doing() == "head"]
            if waiting:
                min(waiting, key=lambda one: one.since).end()
                self._inside[new] = None
                return True
        return False

    def left(self, connection: Connection) -> None:
        """A connection is no more."""
        self._inside.pop(connection, None)

    def sweep(self, loop: asyncio.AbstractEventLoop) -> None:
        """End what takes too long; again and again for as long as the loop runs."""
        loop.call_later(SWEEP_S, self.sweep, loop)
        now = loop.time()
        for one in list(self._inside):
            if one.stuck(now):
                one.transport.abort()
            elif one.too_long(now):
                one.end()

    def _tell(self, new: Connection, address: str) -> None:
        """Say now and then that it is crowded: a crowd must not fill the log, too."""
        now = new.loop.time()
        if now - self._told_at >= TOLD_EVERY_S:
            self._told_at = now
            log.warning(
                "more connections than the page keeps open (%d from one address, %d in all), most of them from %s",
                FROM_ONE,
                IN_ALL,
                address,
            )


def group_of(host: str) -> str:
    """The address by which somebody is counted: for IPv6 the network, as anyone with one address has all of it."""
    try:
        address = ipaddress.ip_address(host.partition("%")[0])
    except ValueError:
        return host
    if isinstance(address, ipaddress.IPv6Address):
        if address.ipv4_mapped:
            return str(address.ipv4_mapped)
        if str(address) not in PROXIES:
            return str(ipaddress.ip_network((address, 64), strict=False))
    return str(address)
