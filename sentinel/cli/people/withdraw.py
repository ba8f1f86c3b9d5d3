"""`people withdraw`: ends a link, or all that a person has."""

from __future__ import annotations

from typing import Annotated

import typer

from sentinel.cli.base import HERE, FarmOption, now, open_farm, out
from sentinel.edges.store.access import PageAccess
from sentinel.errors import UsageError
from sentinel.runtime.farm_folder import Farmyard
from sentinel.runtime.inputs import person_named


def withdraw(
    which: Annotated[str, typer.Argument(metavar="ID|NAME", help="A link's number, or a person for all of theirs.")],
    farm: FarmOption = HERE,
) -> None:
    """End a link and everything it opened; for a person, all their links, even those in notices (a lost phone)."""
    with open_farm(farm) as yard:
        access, at = PageAccess(yard.store), now()
        if which.isdigit():
            link = access.link(int(which))
            if link is None:
                raise UsageError(f"there is no link {which}; `sentinel people links` lists them")
            access.withdraw(link.id, at)
            out.print(f"Link {link.id} of {link.person} no longer opens anything.")
            return
        person = _known(yard, access, which)
        access.shut_out(person, at)
        out.print(f"Nothing that {person} was given or sent so far opens the page any more.")


def _known(yard: Farmyard, access: PageAccess, name: str) -> str:
    """The person as people.yaml or an earlier link writes them."""
    spelling_of = {one.person.casefold(): one.person for one in access.links()}
    return spelling_of.get(name.strip().casefold()) or person_named(yard, name)
