"""`sentinel run` in a process of its own with its clock put to a moment, so that its memory can be asked from outside.

    python -m tests.benchmarks.at_rest FOLDER NOW      as `sentinel run FOLDER`, at NOW (UTC seconds)
    python -m tests.benchmarks.at_rest FOLDER BATCHES  the same program goes through a year of recorded days, then waits

BATCHES is a file of pickled (moment, batches), one a look. When it is ready it says so in one line.
"""

from __future__ import annotations

import pickle
import sys
from pathlib import Path

from sentinel.cli import app
from sentinel.cli.watch import run
from sentinel.edges.clock import Clock


def main() -> None:
    """Run until the other side closes the pipe or ends the process."""
    folder, what = sys.argv[1:]
    if what.isdigit():
        off = Clock()._now() - int(what)

        class ClockPutBack(Clock):
            """This machine's clock, put to another day."""

            def _now(self) -> float:
                return super()._now() - off

        run.Clock = ClockPutBack  # type: ignore[misc]
        app(["run", folder])
        return
    go_through(Path(folder), Path(what))


def go_through(folder: Path, recorded: Path) -> None:
    """A year, a tick for each of its recorded looks."""
    from sentinel.cli.base import open_farm
    from sentinel.edges.memory import give_back, settle
    from sentinel.flow.model import Tick
    from sentinel.runtime.service import Service

    with open_farm(folder) as yard:
        settle()
        service = Service(yard, Clock(), {}, heard=lambda said: None)
        with recorded.open("rb") as days:
            while True:
                try:
                    at, batches = pickle.load(days)
                except EOFError:
                    break
                service.engine.step(Tick(at, batches=batches))
                del batches
                give_back(yard.store.shrink_memory)  # as the service does after each look
        sys.stdout.write("ready\n")
        sys.stdout.flush()
        sys.stdin.read()


if __name__ == "__main__":
    main()
