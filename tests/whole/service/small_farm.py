"""A small farm with a real `sentinel run` in it: files that others drop, its log, and what a browser sends."""

from __future__ import annotations

import json
import socket
import subprocess
import sys
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sentinel.demo.play import wait_until
from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.log import log_entries

FARM = """\
name: Test farm
zone: UTC
boxes: ["1", "2"]
settle: 2 s
look_every: 2 s
page: {{port: {port}}}
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
RULES = """\
- rule: box-failures
  measure: failed_attachments
  per: box
  options: {within: 6 h}
  raise_over: 5 failures
  urgency: now
  say: "Box {box}: {value} in 6 h"
  look_first: [Put the box out of operation first.]
  findings: [arm out of line, nothing found]
"""
COW_RULES = """\
- rule: cow-failures
  measure: failed_attachments
  per: cow
  options: {within: 24 h}
  raise_over: 0 failures
  urgency: now
  say: "Cow {cow}: {value} in 24 h"
"""
PEOPLE = """\
- person: Anna
  channels: [{channels}]
  next_after: never
  at_most: 500 per hour
"""
DROP = """\
import os, sys
text = sys.stdin.read()
with open(sys.argv[1] + ".part", "w") as file:
    file.write(text)
os.replace(sys.argv[1] + ".part", sys.argv[1])
"""


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.create_server(("127.0.0.1", 0)) as found:
        return int(found.getsockname()[1])


def make_farm(folder: Path, channels: dict[str, str], rules: str = RULES) -> Path:
    """A small farm folder whose one person has these channels."""
    for room in ("feeds", "rules", "exports"):
        (folder / room).mkdir(parents=True)
    (folder / "farm.yaml").write_text(FARM.format(port=free_port()))
    (folder / "people.yaml").write_text(PEOPLE.format(channels=", ".join(channels)))
    (folder / "feeds" / "milkings.yaml").write_text(FEED)
    (folder / "rules" / "boxes.yaml").write_text(rules)
    secrets = folder / "secrets.yaml"
    secrets.touch(mode=0o600)
    secrets.write_text("channels:\n" + "".join(f'  {name}: "{url}"\n' for name, url in channels.items()))
    return folder


def export(*visits: tuple[str, int, str, str]) -> str:
    """An export with these visits: cow, seconds ago, box, outcome."""
    now = Clock().now()
    lines = [
        f"{cow};{datetime.fromtimestamp(now - ago, UTC):%Y-%m-%d %H:%M:%S};{box};{how}" for cow, ago, box, how in visits
    ]
    return "\n".join(["Cow;Start;Box;Outcome", *lines, ""])


def failures(box: str, count: int, begin: int = 0) -> list[tuple[str, int, str, str]]:
    """So many failed visits at a box, of a different cow each (numbered from `begin`), a minute apart."""
    return [(str(begin + n), 60 * (count - n), box, "failed") for n in range(count)]


def by_another_process(program: str, text: str, *given: Path) -> None:
    """Run a small program of its own that writes files, and wait for it."""
    subprocess.run([sys.executable, "-c", program, *map(str, given)], input=text, text=True, check=True, timeout=60)


@contextmanager
def running(folder: Path) -> Iterator[subprocess.Popen[bytes]]:
    """A `sentinel run` process; killed at the end if it is still there."""
    with (folder / "run.log").open("ab") as log:
        process = subprocess.Popen(
            [sys.executable, "-W", "error", "-m", "sentinel", "run", str(folder)], stdout=log, stderr=log
        )
        try:
            yield process
        finally:
            process.kill()
            process.wait(10)


def sentinel(*given: str | Path) -> str:
    """What a command prints; it must end well."""
    command = [sys.executable, "-m", "sentinel", *map(str, given)]
    result = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    assert result.returncode == 0, result.stderr
    return result.stdout


def history(folder: Path, *given: str) -> list[dict[str, Any]]:
    """The entries of `sentinel history --json`."""
    return [json.loads(line) for line in sentinel("history", folder, "--json", *given).splitlines()]


def entries(folder: Path, kind: str) -> list[dict[str, Any]]:
    """The log's entries of one kind, read beside the running process; none while there is no store."""
    if not (folder / STORE_NAME).is_file():
        return []
    store = Store(folder / STORE_NAME)
    try:
        return [{"alert": e.entry.alert, **e.entry.body} for e in log_entries(store, kind=kind)]
    finally:
        store.close()


def soon(what: Callable[[], bool], seconds: float = 40) -> None:
    """Wait for something that must come true."""
    assert wait_until(what, seconds, every_s=0.1), "it did not happen in time"


def post(link: str, **form: str) -> tuple[int, str]:
    """Send a form as a browser would; the status and the page."""
    data = urllib.parse.urlencode(form).encode()
    try:
        with urllib.request.urlopen(link, data=data, timeout=10) as answer:
            return answer.status, answer.read().decode()
    except urllib.error.HTTPError as error:
        with error:
            return error.code, error.read().decode()
