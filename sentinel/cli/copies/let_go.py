"""`let-go`: deletes what has been kept for as long as the farm says."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from sentinel.cli.base import HERE, FarmDir, now, open_farm, out
from sentinel.edges.photos import FOLDER as PHOTOS
from sentinel.edges.store.keeping import (
    cut_log,
    entries_up_to,
    let_go_aside,
    let_go_rows,
    old_aside,
    old_entries,
    old_rows,
    photos_of_log,
)
from sentinel.edges.store.log import append_entries
from sentinel.flow.model import Entry
from sentinel.runtime.farm_folder import Farmyard, lock


def let_go(
    folder: FarmDir = HERE,
    yes: Annotated[bool, typer.Option("--yes", help="Do it; without it, only say what would go.")] = False,
) -> None:
    """Delete what is older than `keep` in farm.yaml says; without --yes, only say what. By itself nothing goes."""
    with open_farm(folder) as yard:
        if not yes:
            _tell(yard, "Would go", _gone(yard, now(), None), now())
            return
        taken = lock(folder)
        try:
            at = now()
            gone = _gone(yard, at, at)
            if gone:
                body = {"gone": gone, "before": min(_before(yard, at).values())}
                append_entries(yard.store, [Entry(at, "let-go", body=body)])
            yard.store.verify()
        finally:
            taken.release()
        _tell(yard, "Gone", gone, at)


def _before(yard: Farmyard, at: int) -> dict[str, int]:
    """Per kind the moment before which it goes; those that are kept for ever are left out."""
    return {name: at - kept_s for name, kept_s in yard.setup.farm.keep.model_dump().items() if kept_s is not None}


def _gone(yard: Farmyard, at: int, do_it_at: int | None) -> dict[str, int]:
    """How much goes, or has gone, of each kind."""
    store, before = yard.store, _before(yard, at)
    counts: dict[str, int] = {}
    if "photos" in before:  # before the log, which names them
        names = [name for name in photos_of_log(store, before["photos"]) if _photo(yard.folder, name).is_file()]
        counts["photos"] = len(names)
        for name in names if do_it_at is not None else ():
            _photo(yard.folder, name).unlink()
    if "rows" in before:
        counts |= (old_rows if do_it_at is None else let_go_rows)(store, before["rows"])
    if "set_aside" in before:
        counts["set_aside"] = (old_aside if do_it_at is None else let_go_aside)(store, before["set_aside"])
    if "log" in before:
        if do_it_at is None:
            counts["log"] = entries_up_to(store, old_entries(store, before["log"])[0])
        else:
            counts["log"] = cut_log(store, before["log"], do_it_at)
    return {name: number for name, number in counts.items() if number}


def _photo(folder: Path, name: str) -> Path:
    return folder / PHOTOS / Path(name).name


def _tell(yard: Farmyard, word: str, gone: dict[str, int], at: int) -> None:
    """What goes, kind by kind, and what is kept for ever."""
    before = _before(yard, at)
    zone = ZoneInfo(yard.setup.farm.zone)
    for name, moment in before.items():
        out.print(f"{name}: kept since {datetime.fromtimestamp(moment, zone).date()}.")
    kept = [name for name in type(yard.setup.farm.keep).model_fields if name not in before]
    if kept:
        out.print(f"Kept for ever, as farm.yaml says nothing else: {', '.join(kept)}.")
    listed = ", ".join(f"{number} of {name}" for name, number in gone.items())
    out.print(f"{word}: {listed}." if gone else "Nothing is that old.")
    if gone and word == "Would go":
        out.print("Add --yes to let it go; a backup from before still has it.")
