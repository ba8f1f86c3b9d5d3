"""A real `sentinel run` on a clock that goes many times faster than the real one, so that hours pass in minutes.

The process starts Python's `time.time`, `time.monotonic` and CLOCK_BOOTTIME off together, so no clock jumps, and then
is `sentinel` as anybody starts it. All that is counted by these clocks goes fast: the time of day, back-offs,
`give_up_after`, ceilings of pushes an hour, `look_every`, how long a trouble must last. What waits in the system stays
real: the turns of the service (a second) and of the outbox (a fifth), the limits of connections and answers, the ten
seconds after which a try is given up, SQLite's wait for a lock. A try that hangs so takes ten times `factor` seconds of
the process's time: the slower half of a real farm, never the quicker one.
"""

from __future__ import annotations

import os
import runpy
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from faults.real_farm import CLOCK, running

HERE = Path(__file__).resolve()


@dataclass(frozen=True, slots=True)
class FastClock:
    """A clock that showed the true time at `origin` and goes `factor` times faster since."""

    factor: float
    origin: float

    @classmethod
    def started(cls, factor: float) -> FastClock:
        """One that is right now."""
        return cls(factor, CLOCK.stamps())

    def now(self) -> float:
        """What it shows, in UTC seconds."""
        return self.origin + (CLOCK.stamps() - self.origin) * self.factor

    def real_s(self, seconds: float) -> float:
        """So many of its seconds in real ones."""
        return seconds / self.factor


def drop(exports: Path, name: str, rows: list[tuple[str, float, str]], now: float) -> None:
    """An export of milkings (cow, start, outcome), closed at `now` of whichever clock, moved into the folder whole."""
    unfinished = exports / f"{name}.part"
    lines = [f"{cow};{datetime.fromtimestamp(start, UTC):%Y-%m-%d %H:%M:%S};1;{how}\n" for cow, start, how in rows]
    unfinished.write_text("".join(["Cow;Start;Box;Outcome\n", *lines]), encoding="utf-8")
    os.utime(unfinished, (now, now))
    unfinished.replace(exports / f"{name}.csv")


@contextmanager
def running_fast(folder: Path, log: Path, clock: FastClock) -> Iterator[subprocess.Popen[bytes]]:
    """A real `sentinel run` of a farm folder on a fast clock, once it has looked for the first time."""
    path = os.pathsep.join([str(HERE.parents[2]), str(HERE.parents[1])])
    command = [str(HERE), str(clock.factor), str(clock.origin)]
    with running(folder, log, environment={"PYTHONPATH": path}, sentinel=command) as process:
        yield process


def be_sentinel(factor: float, origin: float, arguments: list[str]) -> None:
    """Become `sentinel` with these arguments, on clocks that all go `factor` times faster."""
    true_time, true_run, true_get = time.time, time.monotonic, time.clock_gettime  # noqa: TID251
    boot = getattr(time, "CLOCK_BOOTTIME", None)
    begun_run, begun_boot = true_run(), true_get(boot) if boot is not None else 0.0

    def get(which: int) -> float:
        true = true_get(which)
        return begun_boot + (true - begun_boot) * factor if which == boot else true

    time.time = lambda: origin + (true_time() - origin) * factor  # noqa: TID251
    time.monotonic = lambda: begun_run + (true_run() - begun_run) * factor  # noqa: TID251
    time.clock_gettime = get
    sys.argv = ["sentinel", *arguments]
    runpy.run_module("sentinel", run_name="__main__", alter_sys=True)


if __name__ == "__main__":
    be_sentinel(float(sys.argv[1]), float(sys.argv[2]), sys.argv[3:])
