"""`simulate`: the exports of a herd that never was, with everything that is true of it."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import typer

from sentinel.cli.base import app, out
from sentinel.errors import UsageError
from sentinel.simulate import HerdSpec, write_farm
from sentinel.simulate import simulate as make

SPEC = HerdSpec()


@app.command("simulate")
def simulate_(
    folder: Annotated[Path, typer.Argument(metavar="OUT", help="The folder to write into; it is made if need be.")],
    cows: Annotated[int, typer.Option(help="Cows in milk.")] = SPEC.cows,
    boxes: Annotated[int, typer.Option(help="Milking boxes; 70 cows a box at most.")] = SPEC.boxes,
    days: Annotated[int, typer.Option(help="Days of exports.")] = SPEC.days,
    seed: Annotated[int, typer.Option(help="Another seed makes another herd.")] = SPEC.seed,
    zone: Annotated[str, typer.Option(help="The farm's time zone.")] = SPEC.zone,
    start: Annotated[str, typer.Option(help="The first day, YYYY-MM-DD.")] = str(SPEC.start),
) -> None:
    """Make exports of an invented herd in three dialects, the maps that read them, and its truth.

    The same choices give the same files. Nothing in it is anybody's herd.
    """
    try:
        ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError) as error:
        raise UsageError(f'{zone!r} is not a time zone; write it like "Europe/Dublin"') from error
    try:
        first = date.fromisoformat(start)
    except ValueError as error:
        raise UsageError(f"{start!r} is not a day; write it like 2026-01-05") from error
    inbox = folder / "exports"
    if inbox.is_dir() and any(inbox.iterdir()):
        raise UsageError(f"there are exports in {inbox} already; choose another folder")
    herd = make(HerdSpec(cows, boxes, days, seed, zone, first))
    count, size = write_farm(folder, herd)
    out.print(
        f"{count} exports ({size / 1e6:.1f} MB) of {cows} cows and {boxes} boxes over {days} days, "
        f"{len(herd.items)} true things in {folder / 'truth.json'}.\n"
        f"Next: sentinel init {folder}, then sentinel once {folder} to read it all, then sentinel replay {folder}.",
        markup=False,
    )
