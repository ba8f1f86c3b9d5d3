"""`people`: each person's own link to the page; made, listed, withdrawn."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from sentinel.cli.base import HERE, AsJson, FarmOption, app, now, open_farm, out, print_json
from sentinel.edges.store.access import Guests, PageLink
from sentinel.errors import UsageError
from sentinel.flow.language import shown_time
from sentinel.flow.model import DAY_S
from sentinel.flow.settings.people import moment
from sentinel.flow.views.parts.records import rfc3339
from sentinel.runtime.farm_folder import Farmyard
from sentinel.runtime.inputs import person_named
from sentinel.runtime.web_server import own_link

OPENS_FOR_S = 365 * DAY_S
"""Seconds for which a link opens the page if no end is given."""

people = typer.Typer(no_args_is_help=True, help="Who may open the page: each person's own link.")
app.add_typer(people, name="people")


@people.command()
def link(
    name: Annotated[str, typer.Argument(help="Whose link it is; somebody of people.yaml, unless it is read-only.")],
    read_only: Annotated[bool, typer.Option("--read-only", help="May look, and not answer: a vet, a guest.")] = False,
    until: Annotated[
        str | None, typer.Option(metavar="DATE", help="The last day on which it opens: 2026-06-30.")
    ] = None,
    farm: FarmOption = HERE,
) -> None:
    """Make a person's own link to the page and print it; whoever has it is that person there."""
    with open_farm(farm) as yard:
        at = now()
        person = name.strip() if read_only else person_named(yard, name)
        if not person:
            raise UsageError("say whose link it is to be")
        ends = at + OPENS_FOR_S if until is None else _end_of(until, yard.setup.farm.zone)
        if ends <= at:
            raise UsageError(f"{until} is over already; name a day to come")
        made = Guests(yard.store).make(person, read_only, at, ends)
        out.print(own_link(yard, made))


@people.command()
def links(farm: FarmOption = HERE, as_json: AsJson = False) -> None:
    """Every link that was made: whose, until when it opens, when it was last opened."""
    with open_farm(farm) as yard:
        found, at, zone = Guests(yard.store).links(), now(), yard.setup.farm.zone
        if as_json:
            print_json(_record(one, at) for one in found)
            return
        if not found:
            out.print("Nobody has a link of their own yet; `sentinel people link NAME` makes one.")
            return
        rows = []
        for one in found:
            ends = shown_time(one.until, at, zone) if one.withdrawn_at is None else "withdrawn"
            used = shown_time(one.used_at, at, zone) if one.used_at is not None else "never"
            may = "look" if one.read_only else "answer"
            rows.append((str(one.id), one.person, may, shown_time(one.made_at, at, zone), ends, used))
        out.table(("id", "person", "may", "made", "opens until", "last opened"), rows)


@people.command()
def withdraw(
    which: Annotated[str, typer.Argument(metavar="ID|NAME", help="A link's number, or a person: all they have.")],
    farm: FarmOption = HERE,
) -> None:
    """End a link and all that it opened; of a person: every link of theirs, those in notices too (a lost phone)."""
    with open_farm(farm) as yard:
        guests, at = Guests(yard.store), now()
        if which.isdigit():
            found = guests.link(int(which))
            if found is None:
                raise UsageError(f"there is no link {which}; `sentinel people links` lists them")
            guests.withdraw(found.id, at)
            out.print(f"Link {found.id} of {found.person} opens nothing any more.")
            return
        person = _known(yard, guests, which)
        guests.shut_out(person, at)
        out.print(f"Nothing that {person} was given or sent up to now opens the page any more.")


def _known(yard: Farmyard, guests: Guests, name: str) -> str:
    """The person as people.yaml or an earlier link writes them."""
    theirs = {one.person.casefold(): one.person for one in guests.links()}
    return theirs.get(name.strip().casefold()) or person_named(yard, name)


def _end_of(day: str, zone: str) -> int:
    """The end of a day on the farm's calendar."""
    try:
        date = datetime.strptime(day.strip(), "%Y-%m-%d").replace(tzinfo=ZoneInfo(zone)).date()
    except ValueError as error:
        raise UsageError(f"{day!r} is not a date; write it like 2026-06-30") from error
    return moment(date + timedelta(days=1), 0, zone)


def _record(one: PageLink, at: int) -> dict[str, object]:
    """A link for programs; never the link itself."""
    return {
        "id": one.id,
        "person": one.person,
        "read_only": one.read_only,
        "made_at": rfc3339(one.made_at),
        "until": rfc3339(one.until),
        "withdrawn_at": None if one.withdrawn_at is None else rfc3339(one.withdrawn_at),
        "used_at": None if one.used_at is None else rfc3339(one.used_at),
        "opens": one.opens(at),
    }
