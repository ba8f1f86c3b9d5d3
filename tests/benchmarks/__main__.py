"""How fast, shown as ratios within one run: `python -m tests.benchmarks` from the top of a checkout.

    python -m tests.benchmarks [--cows 300] [--days 365] [--times 3] [--only reading,ingest,rules,sweep,latency,memory]

A year of a simulated herd is made once, in a temporary folder, and everything is measured on it: the best of several
runs beside the best of several runs of what it is measured against. Asserts nothing. Small: `--cows 60 --days 60`.
"""

from __future__ import annotations

import argparse
import tempfile
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

from .figures import Figure, amount, printed
from .judging import judging
from .memory import memory
from .rows import reading, taking_in
from .sweeping import sweeping
from .waiting import waiting
from .year import fill, make_year

PARTS = ("reading", "ingest", "rules", "sweep", "latency", "memory")


def main() -> None:
    """Make the year, measure, print."""
    options = argparse.ArgumentParser(
        "python -m tests.benchmarks", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    options.add_argument("--cows", type=int, default=300)
    options.add_argument("--days", type=int, default=365)
    options.add_argument("--times", type=int, default=3, help="best of so many runs")
    options.add_argument("--exports", type=int, default=10, help="exports whose way to the phone is timed")
    options.add_argument("--only", default=",".join(PARTS), help="some of " + ", ".join(PARTS))
    given = options.parse_args()
    wanted = given.only.split(",")
    console = Console(width=190)
    figures: list[Figure] = []
    columns = (SpinnerColumn(), TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn())
    with tempfile.TemporaryDirectory() as scratch, Progress(*columns, console=console) as progress:
        folder, path = Path(scratch), Path(scratch) / "year.db"
        task = progress.add_task("simulating the herd", total=2 + len(PARTS))

        def now(doing: str, done: int = 0) -> None:
            progress.update(task, description=doing, advance=done)

        def told(found: list[Figure]) -> None:
            figures.extend(found)
            for one in found:
                progress.console.print(f"{one.what}: {amount(one.ratio, one.unit if not one.against else '')}")

        year = make_year(given.cows, given.days)
        now("making its store", 1)
        fill(path, year)
        now("reading", 1)
        read = 0.0
        if {"reading", "rules", "sweep"} & set(wanted):
            found, read = reading(path, year, given.times)
            told(found)
        if "ingest" in wanted:
            now("taking exports in", 1)
            told(taking_in(folder, year, max(1, given.times - 1)))
        if "rules" in wanted:
            now("measures and rules", 1)
            told(judging(path, year, read, given.times))
        if "sweep" in wanted:
            now("many bounds", 1)
            told(sweeping(path, year, read))
        if "latency" in wanted:
            now("from an export to the phone", 1)
            told(waiting(folder, path, year, given.exports, now))
        if "memory" in wanted:
            now("memory", 1)
            told(memory(folder, path, year, now))
        progress.update(task, completed=2 + len(PARTS))
    console.print(f"{given.cows} cows, {given.days} days; best of {given.times}")
    console.print(printed(figures))


if __name__ == "__main__":
    main()
