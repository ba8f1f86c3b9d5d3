"""`people forget`: another name instead of a person's, wherever the record has it."""

from __future__ import annotations

import re
from typing import Annotated

import typer

from sentinel.cli.base import HERE, FarmOption, now, open_farm, out
from sentinel.edges.store.names import names_in, replace_name
from sentinel.errors import BusyError, UsageError
from sentinel.runtime.farm_folder import lock


def forget(
    name: Annotated[str, typer.Argument(help="The person, as people.yaml had them.")],
    by: Annotated[str, typer.Option("--by", help="Who does it.")],
    instead: Annotated[str, typer.Option("--as", help="What stands there instead.")] = "somebody",
    why: Annotated[str, typer.Option("--why", help="The reason, for the log.")] = "",
    yes: Annotated[bool, typer.Option("--yes", help="Do it; without it, only say in how many entries.")] = False,
    farm: FarmOption = HERE,
) -> None:
    """Replace a person's name wherever the record has it; the log's proof stays whole, and says that it was done."""
    if not re.fullmatch(r"[^\W\d_][\w -]{0,60}", instead):
        raise UsageError(f"{instead!r} cannot stand for a name; write letters, digits, spaces and hyphens")
    if not name.strip() or re.search(rf"(?<!\w){re.escape(name)}(?!\w)", instead):
        raise UsageError("name the person, and something else to stand for them")
    with open_farm(farm) as yard:
        if any(person.name == name for person in yard.setup.people):
            raise UsageError(f"take {name} out of people.yaml first, or the name comes back with the next notice")
        store = yard.store
        if not yes:
            out.print(f"{names_in(store, name)} entries of the log name {name}. Add --yes to replace it.")
            return
        try:
            taken = lock(farm)
        except BusyError as error:
            raise UsageError("stop the running sentinel first: it has alerts with the name in memory") from error
        try:
            store.verify()
            count = replace_name(store, name, instead, now(), by, why)
            store.verify()
        finally:
            taken.release()
    out.print(f"Replaced in {count} entries of the log, and in answers, chores, notices, links and kept settings.")
    out.print("The log is whole, and its hashes are as they were: seals of before still fit.")
    out.print(
        "Not touched: copies made before (backups, bundles, set-aside folders), photos, names of channels, and what "
        "was sent to phones. A new backup has the new name."
    )
