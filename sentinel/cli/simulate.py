"""`simulate`: the exports of a herd that never was, with everything that is true of it."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import typer

from sentinel.cli.base import out
from sentinel.errors import UsageError

COWS, BOXES, DAYS, SEED, ZONE, START = 180, 3, 120, 1, "Europe/Dublin", "2026-01-05"
"""What a herd is like if nothing is said: as `HerdSpec`, which the other commands need not load; a test compares."""


def simulate_(
    folder: Annotated[Path, typer.Argument(metavar="OUT", help="The folder to write to; it is made if needed.")],
    cows: Annotated[int, typer.Option(help="Cows in milk.")] = COWS,
    boxes: Annotated[int, typer.Option(help="Milking boxes; at most 70 cows per box.")] = BOXES,
    days: Annotated[int, typer.Option(help="Days of exports.")] = DAYS,
    seed: Annotated[int, typer.Option(help="Another seed makes another herd.")] = SEED,
    zone: Annotated[str, typer.Option(help="The farm's time zone.")] = ZONE,
    start: Annotated[str, typer.Option(help="The first day, YYYY-MM-DD.")] = START,
    split: Annotated[bool, typer.Option("--split", help="Visits and quarters in exports of their own.")] = False,
    ade: Annotated[bool, typer.Option("--ade", help="All in the ICAR ADE standard, which needs no maps.")] = False,
    condition: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME", help="Make it as hard as on some farms; may be given often. ? says which there are."
        ),
    ] = None,
) -> None:
    """Make exports of an invented herd in three dialects, with the maps that read them and the truth.

    The same choices give the same files. Nothing in it is anybody's herd.
    """
    from sentinel.simulator import HerdSpec, write_farm  # noqa: PLC0415  (other commands need none of it)
    from sentinel.simulator import simulate as make  # noqa: PLC0415
    from sentinel.simulator.conditions import CONDITIONS  # noqa: PLC0415

    asked = tuple(condition or ())
    if "?" in asked:
        out.lines(*(f"{one.name}: {one.means}" for one in CONDITIONS.values()))
        return
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
    spec = HerdSpec(cows, boxes, days, seed, zone, first, asked)
    herd = make(spec)
    count, size = write_farm(folder, herd, split, dialect="ade" if ade else "mixed")
    out.lines(
        f"{count} exports ({size / 1e6:.1f} MB) of {spec.cows} cows and {spec.boxes} boxes over {days} days, "
        f"{len(herd.items)} true things in {folder / 'truth.json'}.",
        f"Next: sentinel init {folder}, then sentinel once {folder} to read it all, then sentinel replay {folder}.",
    )
