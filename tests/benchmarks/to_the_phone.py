"""From a closed export to the phone: a real `sentinel run`, a real receiver over HTTP, the real clock.

    python -m tests.benchmarks.to_the_phone [--times 30] [--settle 2]

A farm folder is made as `sentinel init` makes it, with the rules that ship and one that rings for each failed cow.
Exports with one failure each then appear in the ways in which programs drop them, at moments that stand in no relation
to the clock's seconds:

- closed: written under its own name and closed;
- moved in: written elsewhere on the same disk and renamed into the folder;
- renamed: written in the folder under a name that is not read, and renamed.

The time runs from the moment before the close, or before the rename, until the receiver has the whole message. Beside
it stands its ratio to the quiet wait (`settle`), which a file on a share that tells no changes still takes. Prints
figures; asserts nothing.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from statistics import median, quantiles

from sentinel.demo.phone import Message, Phone
from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.history import last_tick

FARM = """\
name: A farm to be timed
zone: UTC
boxes: ["1", "2"]
rounds: ["06:30", "16:30"]
settle: {settle} s
page: {{port: 0}}
"""
PEOPLE = """\
- person: Marit
  channels: [phone]
  hours: always
  at_most: 5000 per hour
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
FIRST_COW = 9001
CLOCK = Clock()


def closed(path: Path, aside: Path, content: bytes) -> float:
    """Written under its own name and closed; the moment before the close."""
    with path.open("wb") as file:
        file.write(content)
        file.flush()
        begun = CLOCK.steady()
    return begun


def moved_in(path: Path, aside: Path, content: bytes) -> float:
    """Renamed into the folder from elsewhere; the moment before the rename."""
    (aside / path.name).write_bytes(content)
    begun = CLOCK.steady()
    os.replace(aside / path.name, path)
    return begun


def renamed(path: Path, aside: Path, content: bytes) -> float:
    """Renamed within the folder; the moment before the rename."""
    unfinished = path.with_suffix(".part")
    unfinished.write_bytes(content)
    begun = CLOCK.steady()
    os.replace(unfinished, path)
    return begun


WAYS: dict[str, Callable[[Path, Path, bytes], float]] = {"closed": closed, "moved in": moved_in, "renamed": renamed}


def make_farm(folder: Path, phone: Phone, settle_s: float) -> None:
    """A farm folder as `init` makes it, with a feed, the rule that rings, and a day of milkings to begin with."""
    subprocess.run([sys.executable, "-m", "sentinel", "init", str(folder)], check=True, stdout=subprocess.DEVNULL)
    (folder / "farm.yaml").write_text(FARM.format(settle=settle_s), encoding="utf-8")
    (folder / "people.yaml").write_text(PEOPLE, encoding="utf-8")
    (folder / "feeds" / "milkings.yaml").write_text(FEED, encoding="utf-8")
    (folder / "rules" / "timed.yaml").write_text(RULE, encoding="utf-8")
    (folder / "secrets.yaml").write_text(f'channels:\n  phone: "{phone.url}"\n', encoding="utf-8")
    visits = [(str(100 + n % 60), 86400 - 300 * n, "1", "milked") for n in range(280)]
    (folder / "exports" / "day.csv").write_bytes(export(*visits))
    os.utime(folder / "exports" / "day.csv", (CLOCK.stamps() - 60,) * 2)


def export(*visits: tuple[str, int, str, str]) -> bytes:
    """An export with these visits: cow, seconds ago, box, outcome."""
    now = CLOCK.now()
    lines = [
        f"{cow};{datetime.fromtimestamp(now - ago, UTC):%Y-%m-%d %H:%M:%S};{box};{how}" for cow, ago, box, how in visits
    ]
    return "\n".join(["Cow;Start;Box;Outcome", *lines, ""]).encode()


def one(how: Callable[[Path, Path, bytes], float], folder: Path, arrived: dict[str, float], cow: int) -> float:
    """Seconds from one export to its message at the receiver; infinite if it has not come after 20."""
    aside = folder / "aside"
    aside.mkdir(exist_ok=True)
    begun = how(folder / "exports" / f"cow_{cow}.csv", aside, export((str(cow), 60, "1", "failed")))
    while f"Cow {cow}" not in arrived and CLOCK.steady() < begun + 20:
        threading.Event().wait(0.001)
    return arrived.get(f"Cow {cow}", float("inf")) - begun


def watching(folder: Path) -> bool:
    """Whether the service has done its first look."""
    if not (folder / STORE_NAME).is_file():
        return False
    store = Store(folder / STORE_NAME)
    try:
        return last_tick(store) is not None
    finally:
        store.close()


def measured(times: int, settle_s: float, ways: list[str]) -> dict[str, list[float]]:
    """Per way the seconds of each export, in the order in which they came."""
    arrived: dict[str, float] = {}

    def note(message: Message) -> None:
        arrived.setdefault(message.title.split(":")[0], CLOCK.steady())

    found: dict[str, list[float]] = {way: [] for way in ways}
    pauses = random.Random(1)
    with tempfile.TemporaryDirectory() as scratch, Phone(show=note) as phone:
        folder = Path(scratch) / "farm"
        make_farm(folder, phone, settle_s)
        with (folder / "run.log").open("wb") as said:
            process = subprocess.Popen([sys.executable, "-m", "sentinel", "run", str(folder)], stdout=said, stderr=said)
        try:
            while not watching(folder) and process.poll() is None:
                threading.Event().wait(0.2)
            threading.Event().wait(3.0)
            for number in range(times * len(ways)):
                way = ways[number % len(ways)]
                found[way].append(one(WAYS[way], folder, arrived, FIRST_COW + number))
                threading.Event().wait(pauses.uniform(1.0, 3.0))
        finally:
            process.send_signal(signal.SIGINT)
            process.wait(20)
    return found


def main() -> None:
    """Measure and print."""
    options = argparse.ArgumentParser(
        "python -m tests.benchmarks.to_the_phone",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    options.add_argument("--times", type=int, default=30, help="exports of each way")
    options.add_argument("--settle", type=float, default=2, help="the quiet wait, in seconds")
    options.add_argument("--ways", default=",".join(WAYS), help="some of " + ", ".join(WAYS))
    given = options.parse_args()
    found = measured(given.times, given.settle, given.ways.split(","))
    sys.stdout.write(f"from an export to the phone, seconds; settle is {given.settle:g} s\n")
    for way, seconds in found.items():
        highest = quantiles(seconds, n=20)[-1] if len(seconds) > 1 else seconds[0]
        sys.stdout.write(
            f"{way:9} {len(seconds):3} times: first {seconds[0]:.2f}  median {median(seconds):.2f}  "
            f"95 % {highest:.2f}  most {max(seconds):.2f}  median is {median(seconds) / given.settle:.2f} of the wait\n"
        )


if __name__ == "__main__":
    main()
