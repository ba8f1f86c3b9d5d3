"""`answer`: what a person says of an alert."""

from __future__ import annotations

from typing import Annotated

import typer

from sentinel.cli.base import HERE, FarmOption, now, open_farm
from sentinel.cli.record.say import By, Note, take_in
from sentinel.runtime.inputs import leave_answer


def answer(
    number: Annotated[int, typer.Argument(metavar="ID", help="The alert's number.")],
    by: By,
    found: Annotated[str, typer.Option("--finding", "--found", help="What you found; without it: seen.")] = "",
    note: Note = "",
    farm: FarmOption = HERE,
) -> None:
    """Answer an alert: who you are and what you found."""
    with open_farm(farm) as yard:
        take_in(yard, leave_answer(yard, number, by, found, note, now()))
