"""What it costs to tell history again tick by tick, beside the same in bulk: `python -m tests.benchmarks.as_arrived`.

    python -m tests.benchmarks.as_arrived [--cows 180] [--days 60] [--exports N] [--skip-demo] [--profile 40]

Two farms are lived through first, the demo's week and a simulated herd whose exports come as they are written; then
what was raised is told again from what was known at each tick, and in bulk. What was told again must be what was
raised, or the command fails; how long it took is only printed. `--profile` says where the time of the former went.
"""

from __future__ import annotations

import argparse
import cProfile
import pstats
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from rich.console import Console

from sentinel.demo.farm import arrivals
from sentinel.edges.clock import Clock
from sentinel.edges.settings import read_texts
from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.flow.setup import Setup, read_setup
from sentinel.runtime.record.replay import as_arrived, live_alerts, past_of
from sentinel.simulator import HerdSpec, simulate, write_farm

from .figures import Figure, printed

TOP = Path(__file__).parents[2]
SEED = 1
Files = list[tuple[int, str, bytes]]


@dataclass(frozen=True, slots=True)
class Told:
    """One farm's past told twice: seconds tick by tick and in bulk, the ticks, and whether it was what was raised."""

    name: str
    arrived_s: float
    bulk_s: float
    ticks: int
    alerts: int
    same: bool

    @property
    def figure(self) -> Figure:
        """A line of the table."""
        how = "as live" if self.same else "NOT as live"
        what = f"{self.name}: {self.ticks:,} ticks told again, {self.alerts} alerts, {how}"
        return Figure(what, self.arrived_s, "in bulk", self.bulk_s)


def main(line: list[str]) -> int:
    """Live, tell again, print."""
    asked = argparse.ArgumentParser(
        "python -m tests.benchmarks.as_arrived",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    asked.add_argument("--cows", type=int, default=180)
    asked.add_argument("--days", type=int, default=60)
    asked.add_argument("--exports", type=int, default=10**9, help="only the first so many exports")
    asked.add_argument("--skip-demo", action="store_true")
    asked.add_argument("--profile", type=int, default=0, metavar="LINES")
    given = asked.parse_args(line)
    found = [] if given.skip_demo else [told("demo's week", *demo(), given.exports, given.profile)]
    found.append(
        told(f"{given.cows} cows, {given.days} days", *herd(given.cows, given.days), given.exports, given.profile)
    )
    Console(width=160).print(printed([one.figure for one in found]))
    return 0 if all(one.same for one in found) else 1


def demo() -> tuple[dict[str, str], Files]:
    """The demo's settings and its week."""
    folder = TOP / "demo_feeds"
    files = [(at, name, (folder / "exports" / name).read_bytes()) for at, names in arrivals().items() for name in names]
    return {**read_texts(folder), **_rules()}, files


def herd(cows: int, days: int) -> tuple[dict[str, str], Files]:
    """A simulated herd's settings and its exports, each when it was written."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        write_farm(folder, simulate(HerdSpec(cows, max(2, -(-cows // 60)), days, SEED)), False)
        exports = sorted((folder / "exports").iterdir(), key=lambda one: (one.stat().st_mtime, one.name))
        files = [(int(one.stat().st_mtime), one.name, one.read_bytes()) for one in exports]
        return {**read_texts(folder), **_rules()}, files


def _rules() -> dict[str, str]:
    return {f"rules/{path.name}": path.read_text(encoding="utf-8") for path in sorted((TOP / "rules").glob("*.yaml"))}


def told(name: str, texts: dict[str, str], files: Files, exports: int, lines: int = 0) -> Told:
    """Live through a farm's exports, then tell it again both ways."""
    setup, problems = read_setup(texts)
    assert setup is not None, problems
    store = _lived(setup, texts, files[:exports])
    clock, profile = Clock(), cProfile.Profile()
    begun = clock.steady()
    if lines:
        profile.enable()
    again = as_arrived(store)
    profile.disable()
    between = clock.steady()
    past_of(store, setup).tried(setup.rules)
    ended = clock.steady()
    if lines:
        pstats.Stats(profile).sort_stats("cumulative").print_stats(lines)
    [ticks] = fetch(store, "select count(*) from ticks")[0]
    same = again == live_alerts(store)
    store.close()
    return Told(name, between - begun, ended - between, ticks, len(again), same)


def _lived(setup: Setup, texts: dict[str, str], files: Files) -> Store:
    sys.path.insert(0, str(TOP / "tests"))  # the farms of the tests, which name each other from there
    from whole.whole_farm import lived_through

    return lived_through(setup, texts, files)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
