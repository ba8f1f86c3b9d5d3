"""`done`: what a person says of a chore."""

from __future__ import annotations

from typing import Annotated

import typer

from sentinel.cli.base import HERE, FarmOption, now, open_farm
from sentinel.cli.record.say import By, Note, take_in
from sentinel.runtime.inputs import leave_chore, leave_undone


def done(
    chore: Annotated[str, typer.Argument(help="Which chore: filter, wash, wire ...")],
    by: By = "",
    box: Annotated[str, typer.Option(help="At which box.")] = "",
    place: Annotated[str, typer.Option(help="At which other place.")] = "",
    note: Note = "",
    undo: Annotated[bool, typer.Option("--undo", help="It was not done: undo the last record.")] = False,
    farm: FarmOption = HERE,
) -> None:
    """Record a chore as done now, or undo a record."""
    with open_farm(farm) as yard:
        leave = leave_undone if undo else leave_chore
        take_in(yard, leave(yard, chore, box or place, by, note, now()))
