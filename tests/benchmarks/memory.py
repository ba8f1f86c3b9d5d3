"""What `sentinel run` holds in memory at rest, and after a year has gone by."""

from __future__ import annotations

import pickle
import socket
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path

from sentinel.demo.phone import Phone
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.flow.model import HOUR_S

from .figures import Figure
from .latency import memory_mb
from .waiting import PEOPLE
from .year import Year, other_batches, visit_batches

GOAL_MB = 150
DAYS = 5
"""How many days' exports are read at once while the year goes by."""
TOP = Path(__file__).parents[2]


def memory(folder: Path, path: Path, year: Year, told: Callable[[str], None]) -> list[Figure]:
    """Both figures."""
    told("memory at rest")
    with Phone(show=lambda message: None) as phone:
        rest = _at_rest(_farm(folder / "at_rest", year, path, phone), year, phone)
    told("a year goes by, five days at a time")
    after = _after_a_year(_farm(folder / "goes_by", year), year)
    beside = f"its window full: {len(year.tables.cows['cow'].unique())} cows"
    return [
        Figure(f"`run` at rest, {beside}", rest[0], goal=GOAL_MB, unit="MB"),
        Figure("the most it held while starting", rest[1], unit="MB"),
        Figure("after the year has gone by, five days at a time (without its page)", after[0], goal=GOAL_MB, unit="MB"),
    ]


def _farm(folder: Path, year: Year, path: Path | None = None, phone: Phone | None = None) -> Path:
    """A farm folder with the year's settings, its store if there is one, and a person to tell if there is a phone."""
    (folder / "exports").mkdir(parents=True)
    texts = dict(year.setup.texts)
    with socket.create_server(("127.0.0.1", 0)) as free:  # for the page: another may be listening at the usual one
        texts["farm.yaml"] += f"page: {{port: {free.getsockname()[1]}}}\n"
    if phone is not None:
        texts |= {"people.yaml": PEOPLE, "secrets.yaml": f'channels:\n  phone: "{phone.url_for("phone")}"\n'}
    for name, text in texts.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
        (folder / name).chmod(0o600)
    if path is not None:
        store = Store(path)
        store.backup(folder / STORE_NAME)
        store.close()
    return folder


def _at_rest(folder: Path, year: Year, phone: Phone) -> tuple[float, float]:
    """MB of a `run` that has looked, told a phone of what stands, and then waited a while; and the most it held."""
    now = year.until + 6 * HOUR_S  # its feeds have been quiet for hours, and somebody hears of it
    with _process(folder, str(now)) as process:
        assert phone.wait_for(1, 120), "nobody was told anything"
        threading.Event().wait(5.0)
        found = memory_mb(process.pid)
        process.terminate()
        process.wait(30)
    return found


def _after_a_year(folder: Path, year: Year) -> tuple[float, float]:
    """MB of a service that was given the year, some days at a time; and the most it held."""
    recorded = folder / "days.pickle"
    with recorded.open("wb") as file:
        looks: dict[int, list[object]] = {}
        for batch in (*other_batches(year), *visit_batches(year)):
            day = year.days.index(batch.complete_until or 0)
            looks.setdefault(year.days[min(day - day % DAYS + DAYS, len(year.days)) - 1], []).append(batch)
        for stamp, batches in sorted(looks.items()):
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
