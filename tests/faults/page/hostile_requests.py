"""Hostile requests to the page of a real `sentinel run`: odd ones, bad HTTP, half requests, slow and huge ones.

What is odd is drawn as in the tests of the page (`odd_requests`), what besieges it is done as there (`besieged`), over
real sockets. Meanwhile somebody known to the page asks for it and answers an alert, again and again.
"""

from __future__ import annotations

import re
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import quote

from besieged import OTHER, PATHS, STRANGER, Besieged, answer_on, besieged_farm, dripped, push
from faults.faced import Faced, most_memory_mb
from faults.real_farm import CLOCK
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st
from odd_requests import KINDS_OF_BODY, Asked, addresses, forms, headers, kept, noise, routes, taking
from page_farm import InMemory

from sentinel.edges.settings import page_key
from sentinel.edges.web import make_app, sign_link
from sentinel.edges.web.forms.photos import PHOTO_LENGTH

A_DRAW = 40
"""So many requests are drawn at once, and then it is looked whether the time is over."""

ANSWERS = re.compile(rb"HTTP/1\.[01] (\d+)")

BAD_HTTP = (
    *(
        b"",
        b"\r\n\r\n",
        b"GET\r\n\r\n",
        b"GET / HTTP/9.9\r\n\r\n",
        b"GET / HTTP/1.1\r\n\r\n",
        b"\x16\x03\x01\x02\x00\x01",
    ),
    *(
        b"GET http://[ HTTP/1.1\r\nHost: [\r\n\r\n",
        b"GET /%zz%00 HTTP/1.1\r\nHost: a\r\n\r\n",
        b"PRI * HTTP/2.0\r\n\r\n",
    ),
    b"POST /kept HTTP/1.1\r\nHost: a\r\nContent-Length: -1\r\n\r\n",
    b"POST /kept HTTP/1.1\r\nHost: a\r\nContent-Length: 99999999999999999999\r\n\r\n",
    b"POST /kept HTTP/1.1\r\nHost: a\r\nContent-Length: 5\r\nContent-Length: 6\r\n\r\nabcdef",
    b"POST /kept HTTP/1.1\r\nHost: a\r\nTransfer-Encoding: chunked\r\n\r\nffffffffffffffff\r\nabc",
    b"POST /kept HTTP/1.1\r\nHost: a\r\nTransfer-Encoding: chunked\r\nContent-Length: 3\r\n\r\n0\r\n\r\nGET / HTTP/1.1"
    b"\r\n\r\n",
    b"GET / HTTP/1.1\r\nHost: a\r\n" + b"X: y\r\n" * 5000 + b"\r\n",
    b"GET /" + b"a" * 70_000 + b" HTTP/1.1\r\nHost: a\r\n\r\n",
    b"GET / HTTP/1.1\r\nHost: a\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Key: x\r\n\r\n",
    b"GET / HTTP/1.1\r\nHost: a\r\nX: \x00\xff\r\n\r\n",
    b"GET / HTTP/1.1\nHost: a\n\n",
    b"GET /health HTTP/1.1\r\nHost: a\r\n\r\n" * 200,
)
"""What is no request, or one that means two things."""


@dataclass
class Stood:
    """How the page stood it: requests, answers of 500 and more by what was asked, and the good person's waiting.

    `unanswered`: good requests that were refused or not answered. `longest_s`: the longest that one waited.
    """

    asked: int = 0
    failed: list[str] = field(default_factory=list)
    good: int = 0
    unanswered: list[str] = field(default_factory=list)
    longest_s: float = 0.0
    memory_mb: float = 0.0
    traceback: str = ""

    def faced(self, name: str) -> Faced:
        """As a line of the table; recovered in: the longest that a good request waited."""
        lost = len(self.failed) + len(self.unanswered) + bool(self.traceback)
        return Faced(name, self.asked, lost, 0, self.longest_s, self.memory_mb)


class Siege:
    """One page, what is done to it, and what came of it."""

    def __init__(self, page: Besieged) -> None:
        self.page = page
        self.stood = Stood()
        self._over = threading.Event()
        self._counting = threading.Lock()

    def put(self, asked: Asked) -> None:
        """Send an odd request as it is, and read what comes."""
        told = {"host": "farm.test", **{name.replace("_", "-").lower(): text for name, text in asked.headers.items()}}
        if asked.known:
            told = {"cookie": f"sentinel={self.page.cookie}", "x-form-token": self.page.token, **told}
        target = quote(asked.path, safe="/%") + (f"?{asked.query}" if asked.query else "")
        lines = [f"{asked.method} {target or '/'} HTTP/1.1", "Connection: close", f"Content-Length: {len(asked.body)}"]
        lines += [f"{name}: {text}" for name, text in told.items()]
        head = "\r\n".join([*lines, "", ""]).encode("latin-1", "replace")
        self.send(head + asked.body, f"{asked.method} {asked.path[:200]}?{asked.query[:200]} {asked.body[:300]!r}")

    def send(self, content: bytes, said: str, source: str = OTHER) -> None:
        """Send bytes, end the sending side, and read what comes."""
        came = b""
        with suppress(OSError), self.page.open(source) as asked:
            with suppress(OSError):
                asked.sendall(content)
                asked.shutdown(socket.SHUT_WR)
            asked.settimeout(30)
            while more := asked.recv(65_536):
                came += more
        self.count(came, said)

    def count(self, came: bytes, said: str) -> None:
        """Count a request, and whether it made the page fail: 503 is what /health says where it is the truth."""
        found = ANSWERS.match(came)
        status = int(found[1]) if found else 0
        with self._counting:
            self.stood.asked += 1
            if status >= 500 and not (status == 503 and "/health" in said):
                self.stood.failed.append(f"{status}: {said}")

    def while_good(self, hostile: Callable[[], None]) -> Stood:
        """Do something hostile while somebody known goes on using the page."""
        person = threading.Thread(target=self._use)
        person.start()
        try:
            hostile()
        finally:
            self._over.set()
            person.join(60)
        self.stood.memory_mb = most_memory_mb(self.page.process.pid)
        if "Traceback" in (said := (self.page.folder / "said").read_text(encoding="utf-8", errors="replace")):
            self.stood.traceback = said[said.index("Traceback") :][:3000]
        if self.page.process.poll() is not None:
            self.stood.unanswered.append("the process has ended")
        return self.stood

    def _use(self) -> None:
        """Look at the page, at an alert, and answer it; nothing of it may be refused or take half a minute."""
        number = 0
        while not self._over.wait(0.2):
            number += 1
            body = f"token={self.page.token}&kind=answer&finding=&note=seen+{number}&number=good-{number:08}".encode()
            form = "application/x-www-form-urlencoded"
            for first, content, right in (
                ("GET /", b"", (200,)),
                ("GET /alert/1", b"", (200,)),
                ("POST /alert/1", body, (200, 303)),
            ):
                begun, status = CLOCK.steady(), 0
                with suppress(OSError):
                    with self.page.open("127.0.0.1") as asked:
                        asked.sendall(
                            self.page.head(first, len(content), known=True, kind=form if content else "") + content
                        )
                        status, _ = answer_on(asked)
                self.stood.good += 1
                self.stood.longest_s = max(self.stood.longest_s, CLOCK.steady() - begun)
                if status not in right:
                    self.stood.unanswered.append(f"{status}: {first}")

    # --- what is hostile ---------------------------------------------------------------------------------

    def odd(self, seconds: float) -> None:
        """Draw odd requests and send them."""
        notice = sign_link("", page_key(self.page.folder), 1, "Marit", CLOCK.now())
        app = make_app(InMemory(), "no key of this farm, but long enough", CLOCK.now)
        bodies = st.builds(
            lambda path, body, kind, known: Asked("POST", path, "", body, {"content_type": kind}, known),
            st.sampled_from(taking(notice)),
            noise,
            st.sampled_from(KINDS_OF_BODY),
            st.booleans(),
        )
        any_of_them: st.SearchStrategy[Any] = st.one_of(
            addresses(routes(app)), forms(self.page.token, notice), kept().map(lambda both: both[0]), bodies, headers()
        )
        end, number = CLOCK.steady() + seconds, 0
        while CLOCK.steady() < end:
            number += 1
            drawn(number, any_of_them, self.put)

    def bad_http(self, seconds: float) -> None:
        """Send what is no request, requests cut off in the middle, and noise."""
        whole = self.page.head("POST /kept", 300, known=True, kind="application/json")
        cut = st.integers(0, len(whole) + 20).map(lambda n: (whole + b'{"items": [' + b"1, " * 20)[:n])
        spoilt = st.tuples(st.integers(0, len(whole) - 1), st.binary(min_size=1, max_size=4)).map(
            lambda both: whole[: both[0]] + both[1] + whole[both[0] + 1 :]
        )
        any_of_them = st.one_of(st.sampled_from(BAD_HTTP), cut, spoilt, st.binary(max_size=300))
        end, number = CLOCK.steady() + seconds, 0
        while CLOCK.steady() < end:
            number += 1
            drawn(number, any_of_them, lambda content: self.send(content, repr(content[:300])))

    def slow_and_huge(self, seconds: float) -> None:
        """Heads and bodies letter by letter, bodies without end, and connections that ask nothing; twelve at a time."""
        end = CLOCK.steady() + seconds

        def again(number: int) -> None:
            known = self.page.head("POST /alert/1", 60_000, known=True)
            while CLOCK.steady() < end:
                begun = (
                    known,
                    b"GET / HTTP/1.1\r\nX-Long: ",
                    b"G",
                    b"POST /kept HTTP/1.1\r\nContent-Length: 9\r\n\r\n{",
                )[number % 4]
                status = 0
                with suppress(OSError):
                    if number % 3:
                        status = dripped(self.page, begun, b"a", min(60, end - CLOCK.steady()))[1]
                    else:
                        kind = "multipart/form-data; boundary=x"
                        path = PATHS[number // 3 % len(PATHS)]
                        head = self.page.head(f"POST {path}", PHOTO_LENGTH, known=number % 2 == 0, kind=kind)
                        status = push(self.page, head, STRANGER)
                self.count(f"HTTP/1.1 {status}".encode(), f"slow or huge {number}")

        threads = [threading.Thread(target=again, args=(number,)) for number in range(12)]
        idle = [self.page.open("127.0.0.4") for _ in range(100)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(seconds + 120)
        for one in idle:
            one.close()


def drawn(number: int, of: st.SearchStrategy[Any], use: Callable[[Any], None]) -> None:
    """Draw some things, other ones for each number, and use each."""

    @seed(number)
    @settings(
        max_examples=A_DRAW,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(of)
    def each(one: Any) -> None:
        use(one)

    each()


def besiege(folder: Path, seconds: float) -> Iterator[tuple[str, Stood]]:
    """Do all of it to a page, each for so long, on a process of its own."""
    for name in ("odd", "bad_http", "slow_and_huge"):
        place = folder / name
        place.mkdir(parents=True)
        with besieged_farm(place) as page:
            siege = Siege(page)
            yield name.replace("_", " "), siege.while_good(lambda: getattr(siege, name)(seconds))  # noqa: B023


def hostile_requests(minutes: float, place: Path) -> Iterator[Faced]:
    """Hostile requests to a real page, each kind for a third of the minutes, and for half a minute at least."""
    for name, stood in besiege(place, max(30.0, 20.0 * minutes)):
        yield stood.faced(f"requests {name}")
