"""`done`: what a person says of a chore."""

from __future__ import annotations

from typing import Annotated

import typer

from sentinel.cli.base import HERE, FarmOption, now, open_farm
from sentinel.cli.record.say import By, Note, take_in
from sentinel.runtime.inputs import leave_chore


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
        take_in(yard, leave_chore(yard, chore, box or place, by, note, now()))
