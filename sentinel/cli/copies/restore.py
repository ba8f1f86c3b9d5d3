"""`restore`: the way back from a copy to a store that is damaged or lost."""

from __future__ import annotations

import os
from datetime import datetime
from pathlib import Path
from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from sentinel.cli.base import HERE, FarmOption, now, out
from sentinel.edges.photos import copied
from sentinel.edges.settings import STORE_NAME, inbox_of
from sentinel.edges.store import Store
from sentinel.edges.store.access import PageAccess
from sentinel.edges.store.copies import Reach, last_heard, looked_over, lost_since, made_ready, put_in_place
from sentinel.edges.store.exports.feeds import seen_files
from sentinel.edges.store.history import last_known
from sentinel.edges.store.log import append_entries
from sentinel.errors import FarmFolderError
from sentinel.flow.model import Entry
from sentinel.flow.setup import Setup
from sentinel.runtime.farm_folder import load_setup, lock


def restore(
    copy: Annotated[Path, typer.Argument(metavar="BACKUP", help="A copy that `sentinel backup` made.")],
    farm: FarmOption = HERE,
) -> None:
    """Replace a damaged or lost store with a backup; the old one is set aside. Says what was lost."""
    if not farm.is_dir():
        raise FarmFolderError(f"{farm} is not a folder; `sentinel init {farm}` makes a farm folder")
    setup = _settings(farm)
    zone = setup.farm.zone if setup else "UTC"
    path, at = farm / STORE_NAME, now()
    reach = looked_over(copy)
    taken = lock(farm)
    try:
        aside = _free(farm / f"set-aside-{datetime.fromtimestamp(at, ZoneInfo(zone)):%Y-%m-%d-%H%M%S}")
        ready = made_ready(copy, farm, STORE_NAME)
        until = _when(reach, zone)
        _note(ready, [person.name for person in setup.people] if setup else [], at, until)
        brought, damaged = copied(copy.with_suffix(".photos"), farm, aside)
        moved = put_in_place(ready, path, aside)
    finally:
        taken.release()
    _tell(farm, setup, aside, moved, until)
    _tell_gap(lost_since(aside / STORE_NAME, reach.entries) if STORE_NAME in moved else {})
    if brought:
        out.print(f"Photos brought back: {brought}" + (f", {damaged} of them damaged here." if damaged else "."))


def _tell(farm: Path, setup: Setup | None, aside: Path, moved: list[str], until: str) -> None:
    """What was set aside, what was lost, and what comes back by itself."""
    zone = setup.farm.zone if setup else "UTC"
    if moved:
        out.print(f"Set aside in {aside}: {', '.join(moved)}; nothing was deleted.")
    out.print(f"The store is back as it was at {until}.")
    heard = last_heard(aside / STORE_NAME) if STORE_NAME in moved else None
    up_to = f" up to {_moment(heard, zone)}, where the store that was set aside ends," if heard else ""
    out.print(
        f"Lost is what came after that{up_to} and is in no export: answers, chores, new links to the page, "
        "what had been sent. Links in notices sent before now open nothing any more; people's own links do."
    )
    inbox = inbox_of(farm, setup.farm.inbox) if setup else None
    count = _unread(farm / STORE_NAME, inbox) if inbox else 0
    which = f"{count} export{'' if count == 1 else 's'} in {inbox}" if inbox else "Exports that are still in the inbox"
    out.print(f"Read again by themselves, by the next `sentinel run` or `once`: {which}.")


def _tell_gap(lost: dict[str, int]) -> None:
    """What of the gap the store that was set aside still shows: its log goes on after the copy's last entry."""
    if not lost:
        return
    kinds = ", ".join(f"{number} {kind}" for kind, number in lost.items())
    out.print(f"The log that was set aside has {sum(lost.values())} entries more: {kinds}.")
    if "seal" in lost:
        out.print(f"Seals made after the copy ({lost['seal']}) fit the log that was set aside, and no longer this one.")


def _settings(farm: Path) -> Setup | None:
    """The farm's settings, if they can be read: a store may be brought back while they have faults."""
    try:
        return load_setup(farm, os.environ)[0]
    except FarmFolderError:
        return None


def _when(reach: Reach, zone: str) -> str:
    return "the beginning (nothing is in it yet)" if reach.at is None else f"{_moment(reach.at, zone)}"


def _moment(at: int, zone: str) -> str:
    return datetime.fromtimestamp(at, ZoneInfo(zone)).isoformat(" ", "seconds")


def _free(folder: Path) -> Path:
    """A folder's name that is not taken."""
    number, path = 1, folder
    while path.exists():
        number += 1
        path = folder.with_name(f"{folder.name}-{number}")
    return path


def _note(ready: Path, people: list[str], at: int, until: str) -> None:
    """Say in the copy's log that it was brought back, and shut what links in notices opened.

    Numbers of alerts given after the backup are given again: a link of then would open another alert.
    """
    store = Store(ready)
    try:
        with store.writing():
            sentence = f"the store was brought back from a backup that goes to {until}"
            append_entries(store, [Entry(max(at, (last_known(store) or 0) + 1), "problem", body={"said": sentence})])
            PageAccess(store).shut_notices(people, at)
        store.verify()  # brought up to date and written to: what is put in place was looked into as it is
    finally:
        store.close()


def _unread(path: Path, inbox: Path) -> int:
    """How many exports in the inbox are not as the store has read them."""
    store = Store(path)
    try:
        seen = {row.name: (row.size, row.mtime_ns) for row in seen_files(store)}
    finally:
        store.close()
    count = 0
    for file in inbox.rglob("*") if inbox.is_dir() else ():
        if file.is_file() and not file.name.startswith("."):
            stat = file.stat()
            count += seen.get(file.relative_to(inbox).as_posix()) != (stat.st_size, stat.st_mtime_ns)
    return count
