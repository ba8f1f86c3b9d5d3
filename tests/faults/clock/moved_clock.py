"""A real `sentinel run` whose clock another process puts ahead and back: what is lost, told twice, and for how long.

    cd tests && python -m faults.clock.moved_clock       the table of all cases, on this machine's own clock

Each case is a farm of its own with a process of its own. That process starts Python's `time.time` off a number of
seconds that stands in a file, and then is `sentinel` as anybody starts it: nothing inside the package is replaced, and
files keep the true time, as those of a herd computer do whose clock is right.
"""

from __future__ import annotations

import contextlib
import os
import re
import runpy
import signal
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from sentinel.demo.phone import Message, Phone
from sentinel.demo.play import wait_until
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.edges.store.exports.feeds import rows_set_aside
from sentinel.edges.store.log import log_entries
from sentinel.runtime.record.replay import as_arrived, live_alerts

HERE = Path(__file__).resolve()
HOUR_S, YEAR_S = 3600, 365 * 86400
RINGS_WITHIN_S = 60.0
"""So soon after the clock is right a box that fails must have rung the phone."""

FILES = {
    "farm.yaml": "name: Tinfield\nzone: UTC\nboxes: ['1', '2', '3']\nsettle: 1 s\nlook_every: 2 s\n",
    "people.yaml": "- person: Anna\n  channels: [anna]\n  at_most: 6 per hour\n",
    "feeds/milkings.yaml": """
feed: milkings
files: "*.csv"
form: delimited
delimiter: ";"
times: "%Y-%m-%d %H:%M:%S"
tables:
  visits: {cow: Cow, start: Start, box: Box, outcome: {column: Ended, words: {done: milked, missed: failed}}}
""",
    "rules/rules.yaml": """
- rule: box-failures
  measure: failed_attachments
  per: box
  options: {within: 6 h}
  raise_over: 2 failures
  urgency: now
  remind_every: 1 h
  remind_most: 3 times
  say: "Box {box}: {value} of {visits}"
- rule: feed-quiet
  measure: feed_quiet_min
  raise_over: 90 min
  urgency: now
  say: "Feed {feed}: no new rows for {value}"
""",
}


@dataclass(frozen=True)
class Case:
    """What is done to the clock: the process runs `by_s` off for `for_s` seconds, and then right.

    `boot`: it is started like that, else it is running when the clock goes wrong. `ran`: it had run before, rightly.
    """

    name: str
    by_s: int
    for_s: float
    boot: bool
    ran: bool = True


CASES = (
    Case("5 h ahead for 20 s", 5 * HOUR_S, 20, boot=False),
    Case("started 5 h ahead, right after 20 s", 5 * HOUR_S, 20, boot=True),
    Case("1 h ahead from the first start on, put back", HOUR_S, 30, boot=True, ran=False),
    Case("a year ahead for a minute", YEAR_S, 60, boot=False),
    Case("10 years behind at boot, right after a minute", -10 * YEAR_S, 60, boot=True),
    Case("the same at the very first start", -10 * YEAR_S, 60, boot=True, ran=False),
)


@dataclass(frozen=True)
class Outcome:
    """What came of a case. `rang_s`: per box the seconds from the right clock to its ring (0: it had rung before)."""

    case: Case
    rang_s: dict[str, float | None]
    pushes: int
    doubled: int
    jumps_s: tuple[int, ...]
    set_aside: int
    ahead: int
    verified: int
    replay_equals_live: bool
    memory_mb: float
    said: str

    @property
    def lost(self) -> int:
        """Boxes that failed and did not ring."""
        return sum(seconds is None for seconds in self.rang_s.values())

    @property
    def recovered_s(self) -> float:
        """Seconds from the right clock until the last box had rung."""
        return max((seconds for seconds in self.rang_s.values() if seconds is not None), default=0.0)


class MovedFarm:
    """A farm folder, its phone, and a real process on a clock that stands off by as much as its file says."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.phone = Phone(show=lambda message: self.arrived.append((time.monotonic(), message)))  # noqa: TID251
        self.arrived: list[tuple[float, Message]] = []
        self.process: subprocess.Popen[str] | None = None
        self._listener: threading.Thread | None = None
        self.said: list[str] = []
        self.memory_mb = 0.0
        self._offset = folder.parent / f"{folder.name}.offset"
        for room in ("feeds", "rules", "exports"):
            (folder / room).mkdir(parents=True)
        for name, text in FILES.items():
            (folder / name).write_text(text)
        (folder / "secrets.yaml").touch(mode=0o600)
        (folder / "secrets.yaml").write_text(f'channels: {{anna: "{self.phone.url}"}}\n')
        self.put_off(0)

    def put_off(self, seconds: float) -> None:
        """From now on the process's clock stands off so far."""
        written = self._offset.with_suffix(".new")
        written.write_text(str(seconds))
        written.replace(self._offset)

    def start(self) -> None:
        """Start the process, and wait until it watches."""
        command = [
            sys.executable,
            str(HERE),
            "--sentinel",
            str(self._offset),
            "run",
            str(self.folder),
            "--no-page",
            "-v",
        ]
        path = os.pathsep.join([str(HERE.parents[3]), str(HERE.parents[2])])
        self.process = subprocess.Popen(
            command, env={**os.environ, "PYTHONPATH": path}, text=True, stdout=subprocess.PIPE, stderr=subprocess.STDOUT
        )
        self._listener = threading.Thread(target=self._listen, args=(self.process,), daemon=True)
        self._listener.start()
        begun = len(self.kinds("start"))
        if not wait_until(lambda: len(self.kinds("start")) > begun, 60, 0.2):
            raise RuntimeError("it did not start: " + "".join(self.said))

    def _listen(self, process: subprocess.Popen[str]) -> None:
        assert process.stdout is not None
        with process.stdout:
            for line in process.stdout:
                self.said.append(line)

    def stop(self) -> None:
        """Stop the process as a service manager does."""
        if self.process is None:
            return
        with contextlib.suppress(OSError):
            status = Path(f"/proc/{self.process.pid}/status").read_text()
            peak = re.search(r"VmHWM:\s+(\d+) kB", status)
            self.memory_mb = max(self.memory_mb, int(peak[1]) / 1000 if peak else 0.0)
        self.process.send_signal(signal.SIGTERM)
        if self.process.wait(30) != 0:
            raise RuntimeError("it ended badly: " + "".join(self.said))
        self._hear_the_end()

    def close(self) -> None:
        """End whatever still runs."""
        if self.process is not None:
            self.process.kill()
            self.process.wait(10)
            self._hear_the_end()
        self.phone.close()

    def _hear_the_end(self) -> None:
        """All that the process said is there."""
        if self._listener is not None:
            self._listener.join(10)
        self.process = self._listener = None

    def drop(self, name: str, box: str, ended: str) -> None:
        """An export of three visits to a box within the last minute, moved in whole."""
        now = time.time()  # noqa: TID251  (the true one: the boxes' clocks are right)
        rows = [f"{box}{n};{datetime.fromtimestamp(now - 50 + 15 * n, UTC):%F %T};{box};{ended}" for n in range(3)]
        written = self.folder / name
        written.write_text("\n".join(["Cow;Start;Box;Ended", *rows, ""]))
        written.rename(self.folder / "exports" / name)

    def kinds(self, kind: str) -> list[int]:
        """The moments of the entries of a kind in the log, in its order."""
        with self.store() as store:
            return [] if store is None else [one.entry.at for one in log_entries(store, kind=kind)]

    @contextlib.contextmanager
    def store(self) -> Iterator[Store | None]:
        """The store, read beside the process."""
        path = self.folder / STORE_NAME
        if not path.exists():
            yield None
            return
        store = Store(path)
        try:
            yield store
        finally:
            store.close()

    def rang(self, box: str) -> float | None:
        """When the phone first rang for a box, in steady seconds; None if it has not."""
        found = (at for at, one in list(self.arrived) if f"Box {box}" in f"{one.title} {one.body}")
        return next(found, None)


def try_case(case: Case, folder: Path) -> Outcome:
    """Do to a farm what the case says, let two boxes fail, and see what comes of it."""
    farm = MovedFarm(folder)
    try:
        return _tried(case, farm)
    finally:
        farm.close()


def _tried(case: Case, farm: MovedFarm) -> Outcome:
    pause = threading.Event()
    farm.drop("0.csv", "3", "done")
    if case.ran:
        farm.start()
        if case.boot:
            farm.stop()
    farm.put_off(case.by_s)
    if case.boot:
        farm.start()
    wrong_since = time.monotonic()  # noqa: TID251
    pause.wait(case.for_s / 2)
    farm.drop("1.csv", "1", "missed")  # a box fails while the clock is wrong
    pause.wait(max(0.0, wrong_since + case.for_s - time.monotonic()))  # noqa: TID251
    farm.put_off(0)
    right_since = time.monotonic()  # noqa: TID251
    farm.drop("2.csv", "2", "missed")  # and another as it is put right
    wait_until(lambda: all(farm.rang(box) is not None for box in "12"), RINGS_WITHIN_S + 15, 0.2)
    pause.wait(max(0.0, right_since + 45 - time.monotonic()))  # noqa: TID251  (what floods comes later)
    farm.stop()
    numbers = Counter(message.notice for _, message in farm.arrived)
    with farm.store() as store:
        assert store is not None
        now = time.time()  # noqa: TID251
        ahead = fetch(store, "select count(*) from notices where at > ? union all select count(*) from alerts where raised_at > ?", (now + 5, now + 5))  # fmt: skip # noqa: E501
        rang = {box: farm.rang(box) for box in "12"}
        return Outcome(
            case,
            {box: None if at is None else max(0.0, at - right_since) for box, at in rang.items()},
            len(farm.arrived),
            sum(count - 1 for count in numbers.values()),
            tuple(int(one.entry.body["by_s"]) for one in log_entries(store, kind="clock-jump")),
            len(rows_set_aside(store)),
            sum(row[0] for row in ahead),
            store.verify()[0],
            as_arrived(store) == live_alerts(store),
            farm.memory_mb,
            "".join(farm.said),
        )


def try_all(folder: Path, cases: tuple[Case, ...] = CASES) -> list[Outcome]:
    """Every case at the same time: they mostly wait."""
    with ThreadPoolExecutor(len(cases)) as pool:
        return list(pool.map(lambda one: try_case(one[1], folder / f"farm{one[0]}"), enumerate(cases)))


def table(outcomes: list[Outcome]) -> str:
    """One line a case, for people."""
    lines = [f"{'fault':46} {'lost':>4} {'doubled':>7} {'recovered in':>12} {'pushes':>6} {'memory':>7}  jumps told"]
    for one in outcomes:
        lines.append(
            f"{one.case.name:46} {one.lost:4} {one.doubled:7} {one.recovered_s:10.0f} s {one.pushes:6} "
            f"{one.memory_mb:4.0f} MB  {', '.join(f'{by:+,} s' for by in one.jumps_s) or 'none'}"
        )
    return "\n".join(lines)


def be_sentinel(offset: Path, arguments: list[str]) -> None:
    """Become `sentinel` with these arguments, on a clock that stands off by what the file says."""
    true_time: Callable[[], float] = time.time  # noqa: TID251
    time.time = lambda: true_time() + float(offset.read_text())  # noqa: TID251
    sys.argv = ["sentinel", *arguments]
    runpy.run_module("sentinel", run_name="__main__", alter_sys=True)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--sentinel"]:
        be_sentinel(Path(sys.argv[2]), sys.argv[3:])
    else:
        with TemporaryDirectory() as made:
            sys.stdout.write(table(try_all(Path(made))) + "\n")
