"""Breaks sentinel for real, fault by fault, and prints a table: tried, lost, doubled, recovered in, greatest memory.

    deploy/test --faults [--minutes N]        # or, in tests/: python -m faults [--minutes N] [WORD ...]

Each fault is a function of its own; a WORD runs only those whose name holds it. `--minutes` says how much of the faults
that can be had in any number is tried: kills, mutated exports, mutated settings. What was not tried, and why, is said
below the table.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from faults.clock.dst_nights import dst_nights
from faults.clock.moved_clock import CASES, try_case
from faults.days.soak import HERD, faced, soak
from faults.disk.full_disk import live_through
from faults.disk.power_cut import cannot as cannot_cut
from faults.disk.power_cut import power_cut as cut_the_power
from faults.faced import Faced
from faults.files.deadly_files import deadly_files
from faults.files.hostile_files import Tally, giants_apart, many_apart
from faults.files.old_exports import flooded
from faults.page.hostile_requests import hostile_requests
from faults.sending import channels, storm
from faults.sending.bad_receiver import WAYS
from faults.settings.edited_farm import try_all as edited
from faults.settings.hostile_settings import fuzz
from faults.share.gone_share import gone_share
from faults.share.hung_share import cannot as no_share
from faults.share.hung_share import hung_share
from faults.store import locked_store
from faults.store.damaged_store import made
from faults.store.damaged_store import tried as damaged_and_tried
from whole.whole_farm import measured

from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.database import fetch

TESTS = Path(__file__).parents[1]
KILLED_FARM = TESTS / "whole" / "invariants" / "killed_farm.py"
KILLS_A_MINUTE, CUTS_A_MINUTE, FILES_A_MINUTE, SETTINGS_A_MINUTE, DAMAGES = 40, 400, 12_000, 2_000, 13

NOT_TRIED = {
    **({"power cut": cannot_cut()} if cannot_cut() else {}),
    "share by NFS or SMB": "not in every kernel; one by sshfs and a mount that goes and comes back stand in",
}
"""Faults that this machine cannot be put through, and what stands in for them."""


def killed(minutes: float, place: Path) -> Iterator[Faced]:
    """kill -9 between any two of the database's steps; rows, alerts and answers as of an undisturbed day."""
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join([str(TESTS), str(TESTS.parent)])}

    def live(name: str, seed: int, kills: int) -> tuple[int, Store]:
        command = [sys.executable, str(KILLED_FARM), str(place / name), str(seed), str(kills)]
        done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
        return int(done.stdout.split()[0]), Store(place / name)

    _, quiet = live("quiet.db", 0, 0)
    kills = lost = doubled = seed = 0
    rows = [measured(quiet), len(all_alerts(quiet)), len(fetch(quiet, "select 1 from log where kind = 'answer'"))]
    while kills < max(200.0, KILLS_A_MINUTE * minutes):
        seed += 1
        count, store = live(f"killed{seed}.db", seed, 60)
        kills += count
        store.verify()
        mine = [measured(store), len(all_alerts(store)), len(fetch(store, "select 1 from log where kind = 'answer'"))]
        lost += sum(mine[n] < rows[n] for n in (1, 2)) + (mine[0] != rows[0])
        doubled += sum(mine[n] > rows[n] for n in (1, 2))
        store.close()
    yield Faced("kill -9", kills, lost, doubled, 0.0, 0.0)


def power_cut(minutes: float, place: Path) -> Iterator[Faced]:
    """Every write that nobody asked the disk to keep is forgotten, in part or whole, at any moment."""
    if not cannot_cut():
        yield cut_the_power(place, round(max(400.0, CUTS_A_MINUTE * minutes)))[0]


def disk_full(minutes: float, place: Path) -> Iterator[Faced]:
    """The disk fills while a notice waits, and is given room again; once by the disk, once by a limit on file size."""
    for limited in (False, True):
        folder = place / f"disk{limited}"
        folder.mkdir()
        yield live_through(folder, limited).faced


def clock(minutes: float, place: Path) -> Iterator[Faced]:
    """The clock stands wrong, at a start or in the middle, and is put right."""
    for number, case in enumerate(CASES):
        folder = place / f"clock{number}"
        folder.mkdir()
        done = try_case(case, folder)
        tried = len(done.rang_s)
        yield Faced(f"clock {case.name}", tried, done.lost, done.doubled, done.recovered_s, done.memory_mb)


def store_damaged(minutes: float, place: Path) -> Iterator[Faced]:
    """The store damaged as disks do it, and every command tried on it: lost are those that end without words."""
    farm = made(place / "damaged")
    tried = lost = 0
    for seed in range(DAMAGES):
        for _, _, ended, _ in damaged_and_tried(farm, seed):
            tried += 1
            lost += bool(ended.traceback) or bool(ended.code and not ended.way_back)
    yield Faced("store damaged (commands)", tried, lost, 0, 0.0, 0.0)


def settings_edited(minutes: float, place: Path) -> Iterator[Faced]:
    """Settings spoilt while the service runs: lost are exports that raised nothing meanwhile or after."""
    done, memory_mb = edited(place / "edited")
    lost = sum(not one.raised for one in done) + sum(not one.after for one in done)
    told = max(one.told_s for one in done)
    yield Faced("settings edited", len(done), lost, sum(one.lines > 1 for one in done), told, memory_mb)


def bad_channels(minutes: float, place: Path) -> Iterator[Faced]:
    """A channel that is bad for three hours of a fast clock, in each way, beside a healthy one; five at a time."""
    with ThreadPoolExecutor(5) as pool:
        for done in pool.map(lambda way: channels.live_through(place / way, way, factor=120.0), WAYS):
            yield done.faced


def storm_of_alerts(minutes: float, place: Path) -> Iterator[Faced]:
    """Five hundred alerts at once, five hundred more an hour later, and the end of all."""
    yield storm.live_through(place / "storm").faced("storm: 500 at once, 500 an hour later")


def store_locked(minutes: float, place: Path) -> Iterator[Faced]:
    """Another process holds the store, for seconds and minutes, while the service runs or begins; all at once."""
    with ThreadPoolExecutor(len(locked_store.CASES)) as pool:
        cases = enumerate(locked_store.CASES)
        for done in pool.map(lambda one: locked_store.live_through(place / f"locked{one[0]}", *one[1]), cases):
            when = "" if done.answered else ", at start"
            yield done.faced(f"store held ({done.way}) {done.seconds:.0f} s{when}")


def hostile_settings(minutes: float, place: Path) -> Iterator[Faced]:
    """Mutated settings read: whatever is raised out of it ends this."""
    done = fuzz(1, round(max(10_000.0, SETTINGS_A_MINUTE * minutes)))
    yield Faced("settings mutated", done.tried, 0, 0, done.longest_s, done.most_mb)


def hostile_files(minutes: float, place: Path) -> Iterator[Faced]:
    """Mutated exports of every form, and giants: each is read or set aside, and the next one is read."""
    found = sum(many_apart(1, round(max(10_000.0, FILES_A_MINUTE * minutes))), Tally())
    yield _of_files("exports mutated", found)
    for name, one in giants_apart():
        yield _of_files(f"giant {name}", one)


def soaked(minutes: float, place: Path) -> Iterator[Faced]:
    """Thirty days with all of it mixed in, beside the same days in peace; lost and doubled are alerts and answers."""
    found = soak(place)
    sys.stderr.write(f"{found}\n")
    yield faced(found, HERD.days)


def _of_files(fault: str, found: Tally) -> Faced:
    for one in found.failures:
        sys.stdout.write(f"{fault}: {one}\n")
    greatest_mb = max(found.greatest_mb, found.child_mb)
    return Faced(fault, found.cases, len(found.failures), 0, found.longest_s, greatest_mb)


FAULTS: tuple[Callable[[float, Path], Iterator[Faced]], ...] = (
    killed, power_cut, disk_full, clock, store_damaged, settings_edited, hostile_settings, hostile_files,
    bad_channels, storm_of_alerts, store_locked, deadly_files, gone_share, hung_share, flooded, dst_nights,
    hostile_requests, soaked,
)  # fmt: skip


def main(line: list[str]) -> int:
    """Run the faults and print the table; 1 if anything was lost or doubled."""
    asked = argparse.ArgumentParser(prog="deploy/test --faults")
    asked.add_argument("--minutes", type=float, default=5.0)
    asked.add_argument("words", nargs="*")
    given = asked.parse_args(line)
    bad = False
    _show(("fault", "tried", "lost", "doubled", "recovered in s", "memory MB", "took s"))
    for fault in FAULTS:
        if given.words and not any(word in fault.__name__ for word in given.words):
            continue
        with tempfile.TemporaryDirectory() as place:
            begun = time.perf_counter()
            for one in fault(given.minutes, Path(place)):
                bad |= bool(one.lost or one.doubled)
                took, begun = time.perf_counter() - begun, time.perf_counter()
                counts = (f"{one.tried:,}", str(one.lost), str(one.doubled))
                _show((one.fault, *counts, f"{one.recovered_s:.1f}", f"{one.memory_mb:.0f}", f"{took:.0f}"))
    share = {"share by sshfs": no_share()} if no_share() else {}
    for name, why in {**NOT_TRIED, **share}.items():
        sys.stdout.write(f"{name}: not tried: {why}\n")
    return int(bad)


def _show(cells: tuple[str, ...]) -> None:
    sys.stdout.write(f"{cells[0]:48}" + "".join(f"{cell:>15}" for cell in cells[1:]) + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
