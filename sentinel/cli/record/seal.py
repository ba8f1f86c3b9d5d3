"""`seal`: a day's seal, to be kept elsewhere."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from sentinel.cli.base import HERE, FarmDir, now, open_farm, out
from sentinel.edges.store.log import append_entries
from sentinel.errors import UsageError
from sentinel.flow.record.seal import seal_entry, seal_line
from sentinel.runtime.record.sealing import add_line
from sentinel.runtime.record.span import day_seal


def seal(
    folder: FarmDir = HERE,
    day: Annotated[str, typer.Option(help="Of which day; without it: yesterday.")] = "",
    to: Annotated[Path | None, typer.Option(help="Add it as a line to this file, best on another disk.")] = None,
) -> None:
    """Print a day's seal, the log's last hash and what was counted; kept elsewhere, it proves later what was known."""
    with open_farm(folder) as yard:
        zone, at = yard.setup.farm.zone, now()
        today = datetime.fromtimestamp(at, ZoneInfo(zone)).date()
        of_day = _day(day) if day else today - timedelta(days=1)
        if of_day >= today:
            raise UsageError(f"{of_day} is not over yet; a day is sealed when it is")
        made = day_seal(yard.store, yard.setup.farm.name, zone, of_day)
        if to is not None:
            try:
                add_line(to, seal_line(made))
            except OSError as error:
                raise UsageError(f"{to} cannot be written ({error}); check that its folder is there") from error
            append_entries(yard.store, [seal_entry(made, at, [str(to)])])
        out.document(f"{seal_line(made)}\n")


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise UsageError(f"{text!r} is no day; write it like 2026-05-13") from error
