"""`people link`: makes a person's own link to the page."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from sentinel.cli.base import HERE, FarmOption, now, open_farm, out
from sentinel.edges.store.access import PageAccess
from sentinel.errors import UsageError
from sentinel.flow.model import DAY_S
from sentinel.flow.settings.people import moment
from sentinel.runtime.inputs import person_named
from sentinel.runtime.web_server import own_link

OPENS_FOR_S = 365 * DAY_S
"""Seconds for which a link opens the page if no end is given."""


def link(
    name: Annotated[str, typer.Argument(help="Whose link it is: a name in people.yaml, unless it is read-only.")],
    read_only: Annotated[bool, typer.Option("--read-only", help="May look but not answer: a vet, a guest.")] = False,
    until: Annotated[str | None, typer.Option(metavar="DATE", help="The last day it works: 2026-06-30.")] = None,
    farm: FarmOption = HERE,
) -> None:
    """Make a person's own link to the page and print it; anyone who opens it acts as that person."""
    with open_farm(farm) as yard:
        at = now()
        person = name.strip() if read_only else person_named(yard, name)
        if not person:
            raise UsageError("say whose link it is for")
        ends = at + OPENS_FOR_S if until is None else _end_of(until, yard.setup.farm.zone)
        if ends <= at:
            raise UsageError(f"{until} is already past; give a later day")
        made = PageAccess(yard.store).make(person, read_only, at, ends)
        out.print(own_link(yard, made))


def _end_of(day: str, zone: str) -> int:
    """The end of a day on the farm's calendar."""
    try:
        date = datetime.strptime(day.strip(), "%Y-%m-%d").replace(tzinfo=ZoneInfo(zone)).date()
    except ValueError as error:
        raise UsageError(f"{day!r} is not a date; write it like 2026-06-30") from error
    return moment(date + timedelta(days=1), 0, zone)
