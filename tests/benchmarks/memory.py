"""What `sentinel run` holds in memory at rest, and after a year has gone by."""

from __future__ import annotations

import pickle
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path

from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.flow.model import HOUR_S

from .figures import Figure
from .latency import memory_mb
from .year import Year, other_batches, visit_batches

GOAL_MB = 150
TOP = Path(__file__).parents[2]


def memory(folder: Path, path: Path, year: Year, told: Callable[[str], None]) -> list[Figure]:
    """Both figures."""
    told("memory at rest")
    rest = _at_rest(_farm(folder / "at_rest", year, path), year)
    told("a year goes by, a tick a day")
    after = _after_a_year(_farm(folder / "goes_by", year, None), year)
    beside = f"its window full: {len(year.tables.cows['cow'].unique())} cows"
    return [
        Figure(f"`run` at rest, {beside}", rest[0], goal=GOAL_MB, unit="MB"),
        Figure("the most it held while starting", rest[1], unit="MB"),
        Figure("after the year has gone by, a tick a day (without its page)", after[0], goal=GOAL_MB, unit="MB"),
    ]


def _farm(folder: Path, year: Year, path: Path | None) -> Path:
    """A farm folder with the year's settings, and its store if there is one."""
    (folder / "exports").mkdir(parents=True)
    for name, text in year.setup.texts.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    if path is not None:
        store = Store(path)
        store.backup(folder / STORE_NAME)
        store.close()
    return folder


def _at_rest(folder: Path, year: Year) -> tuple[float, float]:
    """MB of a `run` that has looked once and then waited a while; and the most it held."""
    now = year.until + HOUR_S
    with _process(folder, str(now)) as process:
        clock, pause = Clock(), threading.Event()
        until = clock.steady() + 180
        while not _looked(folder) and process.poll() is None and clock.steady() < until:
            pause.wait(0.5)
        pause.wait(5.0)
        found = memory_mb(process.pid)
        process.terminate()
        process.wait(30)
    return found


def _looked(folder: Path) -> bool:
    store = Store(folder / STORE_NAME)
    try:
        return store.last_tick() is not None
    finally:
        store.close()


def _after_a_year(folder: Path, year: Year) -> tuple[float, float]:
    """MB of a service that was given the year day by day; and the most it held."""
    recorded = folder / "days.pickle"
    with recorded.open("wb") as file:
        by_day: dict[int, list[object]] = {stamp: [] for stamp in year.days}
        for batch in (*other_batches(year), *visit_batches(year)):
            by_day[batch.complete_until or 0].append(batch)
        for stamp, batches in by_day.items():
            pickle.dump((stamp + 60, tuple(batches)), file)
    with _process(folder, str(recorded)) as process:
        assert process.stdout is not None
        process.stdout.readline()
        found = memory_mb(process.pid)
        process.communicate()
    return found


def _process(folder: Path, what: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "tests.benchmarks.at_rest", str(folder), what]
    return subprocess.Popen(
        command, cwd=TOP, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    )
