"""Another process holds the store, for seconds or minutes, while a real `sentinel run` is at work or begins.

    cd tests && python -m faults --minutes 1 store_locked

A box fails and somebody answers on the page meanwhile. What holds the store does so as a tool does that edits it
(`begin immediate`, `begin exclusive`), as one that keeps it to itself (`locking_mode = exclusive`: then nobody reads
either), or only reads for a long time, so that the write-ahead log cannot be taken into the file.
"""

from __future__ import annotations

import re
import subprocess
import sys
import threading
import urllib.error
import urllib.parse
import urllib.request
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path

from faults.faced import Faced, most_memory_mb
from faults.real_farm import CLOCK, expect, fail_milking, health_of, make_farm, running, until

from sentinel.demo.phone import Phone
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.edges.store.log import log_entries

LASTS_S = 120
"""Of a store held for so long a person must have been told, once, and once of its end."""

ASKED_BEFORE_S = 10
"""So long before its end it is asked how things stand."""

TOLD = "Sentinel's store cannot be written"
OVER = f"Over: {TOLD}"[:20]
CASES = (
    ("immediate", 3, False),
    ("immediate", 60, False),
    ("exclusive", 300, False),
    ("long reader", 60, False),
    ("immediate", 60, True),
    ("to itself", 150, True),
)
"""How the store is held, for how many seconds, and whether the service begins meanwhile; to itself only what was there
first can have it."""

_HOLDER = """
import sqlite3, sys
conn = sqlite3.connect(sys.argv[1], timeout=60, isolation_level=None)
if sys.argv[2] == "to itself":
    conn.execute("pragma locking_mode = exclusive")
conn.execute("begin exclusive" if sys.argv[2] in ("exclusive", "to itself") else "begin immediate"
             if sys.argv[2] == "immediate" else "begin")
conn.execute("select count(*) from log").fetchall()
print("held", flush=True)
sys.stdin.read()
conn.execute("rollback")
conn.close()
"""


class Holder:
    """Another process that holds the store so, until `let_go`."""

    def __init__(self, store: Path, way: str) -> None:
        command = [sys.executable, "-c", _HOLDER, str(store), way]
        self._other = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        assert self._other.stdout is not None
        if self._other.stdout.readline().strip() != "held":
            raise AssertionError("the store could not be held")

    def let_go(self) -> None:
        """Hold it no longer; nothing happens if it is let go already."""
        assert self._other.stdin is not None and self._other.stdout is not None
        if self._other.stdin.closed:
            return
        self._other.stdin.close()
        self._other.wait(60)
        self._other.stdout.close()


@dataclass(frozen=True, slots=True)
class Said:
    """What the page replied: status, seconds, and its text."""

    status: int
    took_s: float
    text: str


@dataclass(frozen=True, slots=True)
class Locked:
    """What a held store led to.

    `answered`: the reply to an answer on the page, and whether it is in the log at the end, once or more often;
    `page`: the page opened meanwhile; `health`, `status`: as it is said at the end of the time.
    """

    way: str
    seconds: float
    titles: tuple[str, ...]
    answered: Said | None
    in_log: int
    page: Said | None
    health: tuple[int, dict[str, object]] | None
    status: tuple[int, str]
    recovered_s: float
    wal_mb: float
    memory_mb: float
    said: str

    @property
    def told(self) -> tuple[int, int]:
        """How often a person was told of it, and of its end."""
        return self.titles.count(TOLD), sum(one.startswith(OVER) for one in self.titles)

    @property
    def lost(self) -> int:
        """Cows nobody was told of; an answer taken that is not in the log; a long hold that nobody was told of."""
        cows = sum(f"Cow {cow}: 1 failure" not in self.titles for cow in (7, 8))
        taken = self.answered is not None and self.answered.status < 400
        silent = self.seconds >= LASTS_S and self.way != "long reader" and self.told != (1, 1)
        return cows + (taken and not self.in_log) + silent

    @property
    def doubled(self) -> int:
        """What came again; an answer that was refused and is in the log all the same."""
        again = sum(n - 1 for n in Counter(self.titles).values())
        refused = self.answered is not None and self.answered.status >= 400
        return again + max(0, self.in_log - 1) + (refused and self.in_log > 0)

    def faced(self, fault: str) -> Faced:
        """As a line of the table."""
        return Faced(fault, 2 + (self.answered is not None), self.lost, self.doubled, self.recovered_s, self.memory_mb)


def live_through(folder: Path, way: str, seconds: float, at_start: bool = False) -> Locked:
    """A cow fails and is told of; the store is held so for so long, and another cow fails meanwhile."""
    folder.mkdir(parents=True, exist_ok=True)
    with Phone() as phone:
        farm = make_farm(folder / "farm", {"phone": phone.url})
        store, log = farm / STORE_NAME, folder / "run.log"
        with running(farm, folder / "before.log" if at_start else log) as process:
            fail_milking(farm / "exports", "7")
            expect(lambda: len(phone.messages) == 1, 30, "nothing came while all was well")
            until(lambda: _noted(store), 10)
            if not at_start:
                return _held(process, farm, log, phone, Holder(store, way), (way, seconds))
        holder = Holder(store, way)
        with running(farm, log, ready=False) as process:
            return _held(process, farm, log, phone, holder, (way, seconds))


def _held(
    process: subprocess.Popen[bytes], farm: Path, log: Path, phone: Phone, holder: Holder, case: tuple[str, float]
) -> Locked:
    """What comes of it, from the moment on at which the store is held."""
    (way, seconds), begun = case, CLOCK.steady()
    link = phone.messages[0].link
    page = answered = None
    asking = ThreadPoolExecutor(2)
    try:
        fail_milking(farm / "exports", "8")
        until(lambda: False, min(1.0, seconds / 3))
        begun_before = "listens on" in log.read_text(encoding="utf-8")
        port = re.search(r"listens on http://[^:]+:(\d+)", log.read_text(encoding="utf-8"))
        link = re.sub(r":\d+/", f":{port[1]}/", link, count=1) if port else link
        if begun_before:
            page, answered = asking.submit(_ask, link), asking.submit(_ask, link, finding="", note="looked")
        for n in range(40 if way == "long reader" else 0):
            fail_milking(farm / "exports", f"1{n}", how="milked")
        until(lambda: process.poll() is not None, seconds - ASKED_BEFORE_S - (CLOCK.steady() - begun))
        ending = threading.Timer(max(0.0, seconds - (CLOCK.steady() - begun)), holder.let_go)
        ending.start()  # asking takes seconds itself on a busy machine, and the hold is not to last the longer for it
        health = health_of(log) if begun_before else None
        status = _status(farm)
        ending.join()
    finally:
        holder.let_go()
        asking.shutdown()
    begun = CLOCK.steady()
    until(lambda: any(one.title == "Cow 8: 1 failure" for one in phone.messages), 90)
    recovered_s = CLOCK.steady() - begun
    if any(one.title == TOLD for one in phone.messages):
        until(lambda: any(one.title.startswith(OVER) for one in phone.messages), 90)
    until(lambda: _noted(farm / STORE_NAME), 30)
    until(lambda: False, 3)  # what comes twice comes later
    wal = farm / f"{STORE_NAME}-wal"
    wal_mb = wal.stat().st_size / 1e6 if wal.exists() else 0.0
    memory_mb = most_memory_mb(process.pid)
    with closing(Store(farm / STORE_NAME)) as store:
        store.verify()
        in_log = len(log_entries(store, kind="answer"))
    titles = tuple(one.title for one in phone.messages)
    return Locked(
        way,
        seconds,
        titles,
        answered and answered.result(),
        in_log,
        page and page.result(),
        health,
        status,
        recovered_s,
        wal_mb,
        memory_mb,
        log.read_text(encoding="utf-8"),
    )


def _ask(link: str, **form: str) -> Said:
    """Open a link, or send a form to it."""
    content = urllib.parse.urlencode(form).encode() if form else None
    begun, status, text = CLOCK.steady(), 0, ""
    try:
        with urllib.request.urlopen(link, content, timeout=60) as reply:
            status, text = reply.status, reply.read().decode()
    except urllib.error.HTTPError as error:
        status, text = error.code, error.read().decode()
    except OSError as error:
        text = str(error)
    return Said(status or 599, CLOCK.steady() - begun, re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", text)))


def _status(farm: Path) -> tuple[int, str]:
    """What `sentinel status` says, and its exit code."""
    done = subprocess.run(
        [sys.executable, "-m", "sentinel", "status", str(farm)], capture_output=True, text=True, check=False
    )
    return done.returncode, done.stdout + done.stderr


def _noted(path: Path) -> bool:
    """Whether the store knows that everything was delivered."""
    with suppress(Exception), closing(Store(path)) as store:
        return not fetch(store, "select 1 from deliveries where outcome = 'waiting'")
    return False
