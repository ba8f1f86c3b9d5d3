"""`reread`: files that were read are read again, or what they gave is taken back."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

from sentinel.cli.base import HERE, FarmOption, Verbose, now, open_farm, out
from sentinel.cli.watch.once import look_once
from sentinel.edges.settings import inbox_of
from sentinel.edges.store.exports import rereads
from sentinel.errors import BusyError, UsageError
from sentinel.flow.yaml.text import did_you_mean
from sentinel.runtime.farm_folder import Farmyard, lock


def reread(
    what: Annotated[list[str], typer.Argument(help="Files under the inbox folder, or feeds.", metavar="FILE|FEED")],
    withdraw: Annotated[
        bool, typer.Option("--withdraw", help="Take back what they gave, and leave these files alone from then on.")
    ] = False,
    farm: FarmOption = HERE,
    verbose: Verbose = False,
) -> None:
    """Read files again, or take back what they gave.

    A feed map that was changed needs no such word: its files are read again by themselves. With --withdraw the rows
    stay in the record, but count no more; the same command without it reads the files again.
    """
    with open_farm(farm) as yard:
        names = [_known(yard, one) for one in what]
        for name in names:
            rereads.ask(yard.store, name, now(), withdraw=withdraw)
        try:
            taken = lock(farm)
        except BusyError:
            out.print("Noted; the sentinel that is running here does it at its next look.")
            return
        try:
            look_once(yard, verbose)
        finally:
            taken.release()


def _known(yard: Farmyard, what: str) -> str:
    """The name of a file that was read, or of a feed; raises UsageError, with what would be right, for any other."""
    read = rereads.files_read(yard.store)
    files = {one.file for one in read} | rereads.withdrawn(yard.store)
    feeds = {one.feed for one in read}
    inside = os.path.relpath(os.path.abspath(what), os.path.abspath(inbox_of(yard.folder, yard.setup.farm.inbox)))
    for name in (what, Path(inside).as_posix()):
        if name in files or name in feeds:
            return name
    raise UsageError(
        f"{what} is neither a file that was read nor a feed{did_you_mean(what, sorted(feeds | files))}; "
        f"feeds: {', '.join(sorted(feeds)) or 'none has given anything yet'}"
    )
