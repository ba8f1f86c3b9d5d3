"""Exports that end the process while they are read, or in which it is killed: the others are read all the same.

    PYTHONPATH=tests:. python -m faults.files.deadly_files run FOLDER

is `sentinel` with a reader that ends the process at once when it meets a file whose name begins with `deadly`, and
stays in one whose name begins with `slow` until it is killed.
`live_through` starts it as often as a supervisor would.
"""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

from faults.faced import Faced, most_memory_mb
from faults.real_farm import CLOCK, fail_milking, make_farm, until

from sentinel.cli import main as sentinel
from sentinel.demo.phone import Phone
from sentinel.edges.inbox.under_way import GIVEN_UP
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.flow.model import Batch, Export
from sentinel.flow.reasons import from_json, in_english
from sentinel.flow.setup import Setup
from sentinel.runtime.reading import export_reading

DEADLY, SLOW = "deadly", "slow"
ROOTS = os.pathsep.join(str(Path(__file__).parents[n]) for n in (2, 3))
MOST_STARTS = 10
TOLD_RULE = """\
- rule: rows-set-aside
  measure: rows_set_aside
  raise_over: 0 rows
  urgency: now
  say: "{file}: {reason}"
"""


def started(folder: Path, log: Path) -> subprocess.Popen[bytes]:
    """The service with the reader that some files end."""
    with log.open("ab") as said:
        return subprocess.Popen(
            [sys.executable, "-m", "faults.files.deadly_files", "run", str(folder)],
            stdout=said,
            stderr=said,
            env={**os.environ, "PYTHONPATH": ROOTS},
        )


def read_of(folder: Path) -> dict[str, tuple[int, str]]:
    """Per file that was dealt with, newest last: the rows that were read, and why it was set aside."""
    if not (folder / STORE_NAME).is_file():
        return {}
    store = Store(folder / STORE_NAME)
    try:
        return {
            r["file"]: (r["rows_read"], in_english(from_json(r["reason"])))
            for r in fetch(store, "select * from files order by id")
        }
    finally:
        store.close()


def farm_of(folder: Path, phone: str) -> Path:
    """A farm that rings for files that are set aside too."""
    farm = make_farm(folder / "farm", {"phone": phone})
    (farm / "rules" / "aside.yaml").write_text(TOLD_RULE, encoding="utf-8")
    return farm


def live_through(folder: Path, deadly: int = 2) -> Faced:
    """So many deadly files before, between and behind good ones; the service is started again whenever it ended."""
    began, starts, memory_mb = CLOCK.steady(), 0, 0.0
    with Phone() as phone:
        farm = farm_of(folder, phone.url)
        wanted = {}
        for number in range(deadly):
            path = fail_milking(farm / "exports", str(number)).rename(farm / "exports" / f"{DEADLY}_{number}.csv")
            wanted |= {path.name: (0, str(GIVEN_UP)), fail_milking(farm / "exports", f"10{number}").name: (1, "")}
        due = {f"{name}: {GIVEN_UP}." for name, (rows, _) in wanted.items() if not rows}
        due |= {f"Cow 10{number}: 1 failure." for number in range(deadly)}
        while starts < MOST_STARTS and read_of(farm) != wanted:
            starts += 1
            process = started(farm, folder / "log")
            try:
                until(lambda process=process: process.poll() is not None or read_of(farm) == wanted, 30)  # type: ignore[misc]
                memory_mb = max(memory_mb, most_memory_mb(process.pid))
                if process.poll() is None:
                    until(lambda: due <= set(heard(phone)), 10)
            finally:
                process.kill()
                process.wait(10)
        said, found = heard(phone), read_of(farm)
    lost = sum(found.get(name) != one for name, one in wanted.items()) + len(due - set(said))
    doubled = sum(said.count(one) > 1 for one in due)
    return Faced("export that ends the process", starts - 1, lost, doubled, CLOCK.steady() - began, memory_mb)


def heard(phone: Phone) -> list[str]:
    """What the phone was told, line by line."""
    return [line.strip() for one in list(phone.messages) for line in one.body.splitlines()]


def deadly_files(minutes: float, place: Path) -> Iterator[Faced]:
    """Exports that end the process when they are read: lost are good ones not read, and deadly ones not told."""
    yield live_through(place / "deadly")


def main() -> None:
    """Be `sentinel`, with a reader that some files end."""
    real = export_reading.batch_of

    def deadly(setup: Setup, export: Export) -> Batch | None:
        if export.name.startswith(DEADLY):
            os._exit(9)
        if export.name.startswith(SLOW):
            threading.Event().wait(60)
        return real(setup, export)

    export_reading.batch_of = deadly
    sentinel()


if __name__ == "__main__":
    main()
