"""What `answer` and `done` share: who says it, and how it gets into the log."""

from __future__ import annotations

from typing import Annotated

import typer

from sentinel.cli.base import now, out
from sentinel.edges.store.history import put_settings
from sentinel.edges.store.inputs import waiting_inputs
from sentinel.errors import BusyError
from sentinel.flow.model import Tick, TickKind
from sentinel.runtime.engine import Engine
from sentinel.runtime.farm_folder import Farmyard, lock
from sentinel.runtime.tick_times import behind_s, jump_at

By = Annotated[str, typer.Option("--by", help="Who you are.")]
Note = Annotated[str, typer.Option("--note", help="In your own words.")]


def take_in(yard: Farmyard, receipt: str) -> None:
    """Put what was said into the log at once, or leave it to the running service, which does."""
    try:
        taken = lock(yard.folder)
    except BusyError:
        out.print(f"{receipt}. The running service picks it up within a second.")
        return
    try:
        by_s = behind_s(yard.store, now())
        at = jump_at(yard.store, now(), by_s)
        put_settings(yard.store, at, yard.setup.texts)
        answers, chores, deliveries = waiting_inputs(yard.store)
        Engine(yard.store, yard.setup).step(Tick(at, TickKind.RUN, (), answers, chores, deliveries, by_s))
    finally:
        taken.release()
    out.print(f"{receipt}.")
