"""`answer` and `done`: what a person says of an alert or a chore."""

from __future__ import annotations

from typing import Annotated

import typer

from sentinel.cli.base import HERE, FarmOption, app, now, open_farm, out
from sentinel.edges.store.history import put_settings
from sentinel.edges.store.inputs import waiting_inputs
from sentinel.errors import BusyError
from sentinel.flow.model import Tick, TickKind
from sentinel.runtime.engine import Engine
from sentinel.runtime.farm_folder import Farmyard, lock
from sentinel.runtime.inputs import leave_answer, leave_chore
from sentinel.runtime.tick_times import behind_s, jump_at

By = Annotated[str, typer.Option("--by", help="Who you are.")]
Note = Annotated[str, typer.Option("--note", help="In your own words.")]


@app.command()
def answer(
    number: Annotated[int, typer.Argument(metavar="ID", help="The alert's number.")],
    by: By,
    found: Annotated[str, typer.Option("--finding", "--found", help="What you found; without it: seen.")] = "",
    note: Note = "",
    farm: FarmOption = HERE,
) -> None:
    """Answer an alert: who you are and what you found."""
    with open_farm(farm) as yard:
        _take(yard, leave_answer(yard, number, by, found, note, now()))


@app.command()
def done(
    chore: Annotated[str, typer.Argument(help="Which chore: filter, wash, wire ...")],
    by: By = "",
    box: Annotated[str, typer.Option(help="At which box.")] = "",
    place: Annotated[str, typer.Option(help="At which other place.")] = "",
    note: Note = "",
    farm: FarmOption = HERE,
) -> None:
    """Record a chore as done now."""
    with open_farm(farm) as yard:
        _take(yard, leave_chore(yard, chore, box or place, by, note, now()))


def _take(yard: Farmyard, said: str) -> None:
    """Put what was said into the log at once, or leave it to the running service, which does."""
    try:
        taken = lock(yard.folder)
    except BusyError:
        out.print(f"{said}. The running service takes it within a second.")
        return
    try:
        by_s = behind_s(yard.store, now())
        at = jump_at(yard.store, now(), by_s)
        put_settings(yard.store, at, yard.setup.texts)
        answers, chores, deliveries = waiting_inputs(yard.store)
        Engine(yard.store, yard.setup).step(Tick(at, TickKind.RUN, (), answers, chores, deliveries, by_s))
    finally:
        taken.release()
    out.print(f"{said}.")
