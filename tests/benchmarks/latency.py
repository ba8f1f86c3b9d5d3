"""How long it takes from a closed export file to the phone, and how much memory the service needs at rest.

    python tests/benchmarks/latency.py [--times 50]

A farm folder with the demo's whole week is made, and the service is run on it in a process of its own, as `sentinel
run` does, but with its clock put to the week's end, so that its window is as full as it would be. Then exports with
one failed attachment of a new cow each are renamed in, a second and a half apart, and a rule rings the phone for each.
The time runs from just before the rename until the receiver has the message. Prints figures; asserts nothing.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import threading
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from sentinel.demo.farm import arrivals, drop, make_farm
from sentinel.demo.phone import Message, Phone
from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.exports.feeds import feed_state
from sentinel.edges.store.history import last_tick
from sentinel.runtime.farm_folder import Farmyard, load_setup
from sentinel.runtime.service import Service
from sentinel.runtime.web_server import link_maker, serve

RULE = """\
- rule: any-failure
  measure: failed_attachments
  per: cow
  options: {within: 24 h}
  raise_over: 0 failures
  urgency: now
  where: {cow: [%s]}
  say: "Cow {cow}: {value}"
"""
PAUSE_S = 1.5
FIRST_COW = 9001


class ClockPutBack(Clock):
    """This machine's clock, put back or ahead by a fixed number of seconds."""

    def __init__(self, now: float) -> None:
        self._off = super()._wall() - now
        super().__init__()

    def _wall(self) -> float:
        return super()._wall() - self._off


def opened(folder: Path) -> Farmyard:
    """The farm folder, opened."""
    setup, secrets, problems = load_setup(folder, {})
    if setup is None or problems:
        sys.exit("\n".join(map(str, problems)))
    return Farmyard(folder, setup, secrets, Store(folder / STORE_NAME))


def run(folder: Path) -> None:
    """What `sentinel run` does, with the clock put to the week's end."""
    yard = opened(folder)
    clock = ClockPutBack(max(arrivals()) + 60)
    service = Service(yard, clock, {}, heard=lambda said: None)
    page = serve(service, clock)
    service.link = link_maker(yard, page.port)
    threading.Thread(target=lambda: (sys.stdin.read(), service.stop()), daemon=True).start()
    service.run()
    page.stop()


def prepare(folder: Path, phone: Phone, times: int) -> None:
    """The demo's farm with its whole week in the export folder, and the rule that rings for each measurement."""
    make_farm(folder, phone)
    people = folder / "people.yaml"
    people.write_text(people.read_text(encoding="utf-8").replace("6 per hour", "500 per hour"), encoding="utf-8")
    cows = ", ".join(f'"{FIRST_COW + n}"' for n in range(times))
    (folder / "rules" / "latency.yaml").write_text(RULE % cows, encoding="utf-8")
    for moment, names in arrivals().items():
        for name in names:
            drop(folder / "exports", name, min(moment, Clock().stamps() - 60))


def memory_mb(process: int) -> tuple[float, float]:
    """What a process holds in memory now, and the most it ever held, in MB."""
    text = Path(f"/proc/{process}/status").read_text(encoding="ascii")
    found = {line.split(":")[0]: line.split()[1] for line in text.splitlines() if line.startswith(("VmRSS", "VmHWM"))}
    return float(found["VmRSS"]) / 1024, float(found["VmHWM"]) / 1024


def one_failure(folder: Path, cow: int, zone: str, at: int) -> str:
    """An export of the demo's milkings with one visit, in which a cow was not attached."""
    sample = folder / "exports" / "milkings_20260504_0100.csv"
    titles = sample.read_text(encoding="cp1252").split("\n", 1)[0].strip().split(";")
    came = f"{datetime.fromtimestamp(at, ZoneInfo(zone)):%d.%m.%Y %H:%M:%S}"
    cells = {"Came in": came, "Stand": "1", "Cow no": str(cow), "Ended": "no cups"}
    return ";".join(titles) + "\n" + ";".join(cells.get(title, "") for title in titles) + "\n"


def measure(folder: Path, phone: Phone, arrived: dict[str, float], times: int) -> list[float]:
    """Seconds from the rename to the receiver, for each export."""
    clock, pause = Clock(), threading.Event()
    yard = opened(folder)
    zone = yard.setup.farm.zone
    states = feed_state(yard.store).values()
    known = min(until for tables, until in states if "visits" in tables and until is not None)
    yard.store.close()
    found = []
    for cow in range(FIRST_COW, FIRST_COW + times):
        moment = datetime.fromtimestamp(known, ZoneInfo(zone))
        unfinished = folder / "exports" / f".{cow}.part"
        unfinished.write_text(one_failure(folder, cow, zone, known - 30), encoding="cp1252")
        target = folder / "exports" / f"milkings_{moment:%Y%m%d}_{moment:%H%M}_{cow}.csv"
        begun = clock.steady()
        os.replace(unfinished, target)
        while f"Cow {cow}" not in arrived and clock.steady() < begun + 20:
            pause.wait(0.001)
        found.append(arrived.get(f"Cow {cow}", float("nan")) - begun)
        pause.wait(PAUSE_S)
    return found


def main() -> None:
    """Prepare, run, measure, print."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--times", type=int, default=50)
    options.add_argument("--serve", type=Path, help=argparse.SUPPRESS)
    given = options.parse_args()
    if given.serve:
        run(given.serve)
        return
    clock, arrived = Clock(), {}

    def note(message: Message) -> None:
        arrived.setdefault(message.title.split(":")[0], clock.steady())

    with tempfile.TemporaryDirectory() as scratch, Phone(show=note) as phone:
        folder = Path(scratch) / "farm"
        prepare(folder, phone, given.times)
        begun = clock.steady()
        command = [sys.executable, __file__, "--serve", str(folder)]
        with subprocess.Popen(command, stdin=subprocess.PIPE) as process:
            ready = threading.Event()
            while not ready.wait(0.2) and not _caught_up(folder):
                pass
            exports = sum(map(len, arrivals().values()))
            say(f"caught up with {exports} exports in {clock.steady() - begun:.1f} s")
            ready.wait(5.0)
            rest = memory_mb(process.pid)
            found = measure(folder, phone, arrived, given.times)
            after = memory_mb(process.pid)
            process.communicate()
    say(f"from a closed export to the receiver, {len(found)} times: median {statistics.median(found):.3f} s")
    say(f"least {min(found):.3f} s, most {max(found):.3f} s")
    say(f"memory at rest {rest[0]:.0f} MB (most so far {rest[1]:.0f} MB), afterwards {after[0]:.0f} MB")


def say(line: str) -> None:
    """Print one line at once."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def _caught_up(folder: Path) -> bool:
    """Whether the service has done its first tick."""
    if not (folder / STORE_NAME).is_file():
        return False
    store = Store(folder / STORE_NAME)
    try:
        return last_tick(store) is not None
    finally:
        store.close()


if __name__ == "__main__":
    main()
