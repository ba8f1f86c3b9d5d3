"""A farm folder and a real `sentinel run` in it, for whatever is to be broken: its receiver is a real HTTP server.

`make_farm` writes a folder in which each failed milking of a cow rings; `fail_milking` drops an export with one;
`running` starts the process and ends it; `titles` and `health_of` are what a receiver and the page know of it.
"""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import threading
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from sentinel.demo.phone import Phone
from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.history import last_tick

CLOCK = Clock()

FARM = """\
name: A farm to be broken
zone: UTC
boxes: ["1", "2"]
rounds: []
settle: 0 s
look_every: 2 s
page: {port: 0}
"""
PEOPLE = """\
- person: Marit
  channels: [phone]
  hours: always
  at_most: 1000 per hour
"""
FEED = """\
feed: milkings
files: "*.csv"
form: delimited
delimiter: ";"
times: "%Y-%m-%d %H:%M:%S"
tables:
  visits:
    cow: Cow
    start: Start
    box: Box
    outcome: {column: Outcome, words: {milked: milked, failed: failed}}
"""
RULE = """\
- rule: any-failure
  measure: failed_attachments
  per: cow
  options: {within: 24 h}
  raise_over: 0 failures
  urgency: now
  say: "Cow {cow}: {value}"
"""


def make_farm(folder: Path, channels: Mapping[str, str], farm: str = "", people: str = PEOPLE) -> Path:
    """A farm folder with these channels' addresses; `farm` are further lines of farm.yaml."""
    for room in ("feeds", "rules", "exports"):
        (folder / room).mkdir(parents=True, exist_ok=True)
    (folder / "farm.yaml").write_text(FARM + farm, encoding="utf-8")
    (folder / "people.yaml").write_text(people, encoding="utf-8")
    (folder / "feeds" / "milkings.yaml").write_text(FEED, encoding="utf-8")
    (folder / "rules" / "any.yaml").write_text(RULE, encoding="utf-8")
    secrets = folder / "secrets.yaml"
    secrets.touch(mode=0o600)
    lines = "".join(f'  {name}: "{address}"\n' for name, address in channels.items())
    secrets.write_text(f"channels:\n{lines}", encoding="utf-8")
    return folder


def fail_milking(exports: Path, cow: str, minutes_ago: int = 1, how: str = "failed") -> Path:
    """An export with one milking of a cow, moved into the folder whole."""
    start = datetime.fromtimestamp(CLOCK.now() - 60 * minutes_ago, UTC)
    path = exports / f"cow_{cow}_{how}_{CLOCK.stamps():.6f}.csv"
    unfinished = path.with_suffix(".part")
    unfinished.write_text(f"Cow;Start;Box;Outcome\n{cow};{start:%Y-%m-%d %H:%M:%S};1;{how}\n", encoding="utf-8")
    os.replace(unfinished, path)
    return path


def until(wanted: Callable[[], bool], seconds: float) -> bool:
    """Wait until something is so, at most so long; whether it is."""
    end = CLOCK.steady() + seconds
    while not wanted():
        if CLOCK.steady() > end:
            return False
        threading.Event().wait(0.05)
    return True


def expect(wanted: Callable[[], bool], seconds: float, said: str) -> None:
    """Wait until something is so; AssertionError if it is not after so long."""
    if not until(wanted, seconds):
        raise AssertionError(said)


def watching(folder: Path) -> bool:
    """Whether a service has done its first look."""
    if not (folder / STORE_NAME).is_file():
        return False
    store = Store(folder / STORE_NAME)
    try:
        return last_tick(store) is not None
    finally:
        store.close()


@contextmanager
def running(
    folder: Path,
    log: Path,
    *,
    ready: bool = True,
    environment: Mapping[str, str] | None = None,
    sentinel: Sequence[str] = ("-m", "sentinel"),
) -> Iterator[subprocess.Popen[bytes]]:
    """A real `sentinel run` of a farm folder, once it has looked for the first time; ended by Ctrl-C.

    `sentinel`: how the interpreter is told to be sentinel.
    """
    with log.open("ab") as said:
        process = subprocess.Popen(
            [sys.executable, *sentinel, "run", str(folder)],
            stdout=said,
            stderr=said,
            env={**os.environ, **(environment or {})},
        )
        try:
            if ready and not until(lambda: watching(folder) or process.poll() is not None, 30):
                raise AssertionError("the service has not looked within half a minute")
            yield process
        finally:
            process.send_signal(signal.SIGINT)
            try:
                process.wait(20)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait(5)


def titles(phone: Phone) -> tuple[str, ...]:
    """What a receiver got."""
    return tuple(message.title for message in phone.messages)


def health_of(log: Path) -> tuple[int, dict[str, object]]:
    """What /health of the service with this log answers: status and body."""
    expect(lambda: "listens on http" in log.read_text(encoding="utf-8"), 30, "its page was not opened")
    found = re.search(r"listens on (http://\S+)", log.read_text(encoding="utf-8"))
    assert found is not None
    try:
        with urllib.request.urlopen(f"{found[1]}/health", timeout=10) as answer:
            return answer.status, json.load(answer)
    except urllib.error.HTTPError as error:
        return error.code, json.load(error)
