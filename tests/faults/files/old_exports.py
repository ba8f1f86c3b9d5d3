"""Years of old exports at once, at a first start and while a farm is watched: what happens now need not wait for them.

The old exports are hourly files of 20 to 63 rows, each with the time at which it was written. Meanwhile boxes fail, one
after the other, and each is to ring; no failure among the old rows is.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from faults.faced import Faced, most_memory_mb
from faults.real_farm import CLOCK, RULE, expect, fail_milking, health_of, make_farm, running, titles, until

from sentinel.demo.phone import Phone
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.runtime.record.replay import as_arrived, live_alerts

HOUR_S = 3600
OLDEST, NEWEST = 20, 63
"""Rows of an old export: at least and at most."""

TOLD_AGAIN = 5_000
"""Up to so many exports all is told again out of the store: replaying more takes longer than reading them did."""

QUIET = '- rule: feed-quiet\n  measure: feed_quiet_min\n  raise_over: 3 h\n  urgency: now\n  say: "{feed}: {value}"\n'


@dataclass(frozen=True, slots=True)
class Waited:
    """What came of so many old exports: how long each new failure took to ring, from its closed file, in s.

    `missing`: rows that are not in the store at the end; `flood`: notices of what is old; `read_s`: until all were
    read; `shown`: lines that said how far it had come; `lines`: all that the process said meanwhile.
    """

    files: int
    rang_s: tuple[float | None, ...]
    doubled: int
    missing: int
    flood: int
    read_s: float
    shown: int
    lines: int
    healthy: bool
    replay_equals_live: bool
    memory_mb: float

    def faced(self, name: str) -> Faced:
        """As a line of the table."""
        lost = sum(seconds is None for seconds in self.rang_s) + self.missing + self.flood
        lost += (not self.healthy) + (not self.replay_equals_live)
        slowest = max((seconds for seconds in self.rang_s if seconds is not None), default=0.0)
        return Faced(name, self.files, lost, self.doubled, slowest, self.memory_mb)


def old_exports(folder: Path, count: int, every_h: int = 1) -> int:
    """Write so many exports into a folder, one `every_h`, the newest an hour ago; how many rows they hold.

    One in each that is older than three days is a failed milking, as there always are: old news by then.
    """
    rows = 0
    newest = CLOCK.now() // HOUR_S * HOUR_S - HOUR_S
    for number in range(count):
        end = newest - (count - 1 - number) * every_h * HOUR_S
        size = OLDEST + number % (NEWEST - OLDEST + 1)
        is_old = end < newest - 72 * HOUR_S
        lines = ["Cow;Start;Box;Outcome"]
        for row in range(size):
            start = datetime.fromtimestamp(end - HOUR_S + 50 * row, UTC)
            lines.append(
                f"{row};{start:%Y-%m-%d %H:%M:%S};{1 + row % 2};{'failed' if is_old and not row else 'milked'}"
            )
        path = folder / f"visits_{number:06}.csv"
        path.write_text("\n".join([*lines, ""]), encoding="ascii")
        os.utime(path, (end, end))
        rows += size
    return rows


def at_the_start(folder: Path, count: int, every_h: int = 1) -> Waited:
    """So many lie in the inbox when the service is started for the first time."""
    with Phone() as phone:
        farm = _farm(folder, phone)
        rows = old_exports(farm / "exports", count, every_h)
        with running(farm, folder / "run.log", ready=False) as process:
            return _watched(farm, phone, process.pid, count, rows, "start", folder / "run.log")


def while_running(folder: Path, count: int, every_h: int = 1) -> Waited:
    """So many are moved into the inbox while the service runs and the newest export is of now."""
    with Phone() as phone:
        farm = _farm(folder, phone)
        outside = farm / "outside"
        outside.mkdir()
        rows = old_exports(outside, count, every_h)
        with running(farm, folder / "run.log") as process:
            fail_milking(farm / "exports", "before")
            expect(lambda: "Cow before: 1 failure" in titles(phone), 30, "nothing rang before")
            for path in sorted(outside.iterdir()):
                path.rename(farm / "exports" / path.name)
            return _watched(farm, phone, process.pid, count, rows + 1, "running", folder / "run.log")


def _farm(folder: Path, phone: Phone) -> Path:
    farm = make_farm(folder, {"phone": phone.url})
    (farm / "rules" / "any.yaml").write_text(RULE + QUIET, encoding="utf-8")
    return farm


def _watched(farm: Path, phone: Phone, pid: int, count: int, rows: int, name: str, log: Path) -> Waited:
    """Let a milking fail every few seconds until all is read, and see what came of it."""
    begun, dropped = CLOCK.steady(), list[str]()
    rang: dict[str, float | None] = {}
    healthy = True
    while not (all_read := _rows(farm) >= rows + len(dropped)) and CLOCK.steady() < begun + 60 + count / 50:
        cow = f"{name}{len(dropped)}"
        dropped.append(cow)
        fail_milking(farm / "exports", cow, 0)
        closed = CLOCK.steady()
        came = until(lambda: f"Cow {cow}: 1 failure" in titles(phone), 120)  # noqa: B023
        rang[cow] = CLOCK.steady() - closed if came else None
        healthy &= len(dropped) == 1 or health_of(log)[0] == 200
        until(lambda: _rows(farm) >= rows + len(dropped), 3)
    read_s = CLOCK.steady() - begun
    until(lambda: False, 3)  # what rings for the old ones would come now
    memory_mb = most_memory_mb(pid)
    mine = {f"Cow {cow}: 1 failure" for cow in (*dropped, "before")}
    came = titles(phone)
    store = Store(farm / STORE_NAME)
    try:
        store.verify()
        missing = rows + len(dropped) - fetch(store, "select count(*) from visits")[0][0]
        same = count > TOLD_AGAIN or as_arrived(store) == live_alerts(store)
    finally:
        store.close()
    said = log.read_text(encoding="utf-8").splitlines()
    shown = sum(bool(re.search(r"read \d+ of \d+ exports|exports? more to read", line)) for line in said)
    return Waited(
        count,
        tuple(rang.values()),
        sum(came.count(one) - 1 for one in mine if one in came),
        abs(missing),
        sum(one not in mine for one in came),
        read_s if all_read else float("inf"),
        shown,
        len(said),
        healthy,
        same,
        memory_mb,
    )


def _rows(farm: Path) -> int:
    if not (farm / STORE_NAME).is_file():
        return 0
    store = Store(farm / STORE_NAME)
    try:
        return int(fetch(store, "select count(*) from visits")[0][0])
    finally:
        store.close()


def flooded(minutes: float, place: Path) -> Iterator[Faced]:
    """Fifty thousand old exports at a first start, and as many again into a running farm."""
    for name, live in (("first start", at_the_start), ("running", while_running)):
        folder = place / name.replace(" ", "-")
        done = live(folder, 50_000)
        yield done.faced(f"50,000 old exports, {name} (read in {done.read_s:.0f} s)")
