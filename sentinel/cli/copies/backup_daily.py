"""`backup-daily`: a dated copy of store, photos and settings, proven before an older one goes. For a timer."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Callable, Iterable
from datetime import datetime
from pathlib import Path
from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from sentinel.cli.base import HERE, FarmOption, now, open_store, out
from sentinel.cli.copies.noted import noted
from sentinel.edges.photos import FOLDER as PHOTOS
from sentinel.edges.store import Store
from sentinel.errors import FarmFolderError, UsageError
from sentinel.runtime.farm_folder import load_setup

DATED = re.compile(r"sentinel-\d{4}-\d\d-\d\d\.(?:db|photos|settings)")
"""What is ours among the files of a folder of backups: nothing else in it is ever touched."""

KEEP = 30


def backup_daily(
    place: Annotated[Path, typer.Argument(help="The folder for backups; best on another disk.")],
    farm: FarmOption = HERE,
    keep: Annotated[int, typer.Option(min=1, help="How many days of copies to keep.")] = KEEP,
) -> None:
    """Put a copy with today's date into a folder, check it, then delete the oldest; for a timer."""
    if not place.is_dir():  # made here, it would fill this disk while the one for backups is not mounted
        raise UsageError(f"{place} is not a folder; make it, or check that its disk is mounted")
    with open_store(farm) as store:  # whatever the settings look like
        day = datetime.fromtimestamp(now(), ZoneInfo(_zone(farm))).date().isoformat()
        copy = place / f"sentinel-{day}.db"
        entries = _copy_whole(store, copy)
        noted(store)
        _swap(copy.with_suffix(".settings"), lambda part: _take(farm, part))
        before = _last(place.glob("sentinel-*.photos"), but=copy.with_suffix(".photos"))
        if (farm / PHOTOS).is_dir():  # after the store: no photo that it names is missing
            _swap(copy.with_suffix(".photos"), lambda part: _link(farm / PHOTOS, part, before))
    gone = _thin(place, day, keep)
    out.print(
        f"Copied to {copy}: {copy.stat().st_size / 1e6:.1f} MB, whole, {entries} entries in its log.", markup=False
    )
    if gone:
        out.print(f"Taken away, as {keep} are kept: {', '.join(gone)}.", markup=False)


def _zone(farm: Path) -> str:
    """The farm's zone, by which its days are; UTC if its settings cannot be read."""
    try:
        setup = load_setup(farm, {})[0]
    except FarmFolderError:
        setup = None
    return setup.farm.zone if setup else "UTC"


def _copy_whole(store: Store, target: Path) -> int:
    """Copy the store to a file that is there whole or not at all, its owner's alone; how many entries its log has."""
    part = target.with_name(target.name + ".part")
    try:
        part.unlink(missing_ok=True)
        os.close(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
        store.backup(part)
        copy = Store(part)
        try:
            entries, _ = copy.verify()
        finally:
            copy.close()
        os.replace(part, target)
    finally:
        for left in target.parent.glob(f"{part.name}*"):  # the copy, and what was beside it while it was looked into
            left.unlink()
    return entries


def _swap(target: Path, make: Callable[[Path], None]) -> None:
    """Make a folder under another name, and then put it in the place of the one of before."""
    part = target.with_name(target.name + ".part")
    shutil.rmtree(part, ignore_errors=True)
    part.mkdir(mode=0o700)
    make(part)
    shutil.rmtree(target, ignore_errors=True)
    os.replace(part, target)


def _take(farm: Path, folder: Path) -> None:
    """Copy the settings as they are, their owner's alone; secrets are not among them."""
    paths = [farm / "farm.yaml", farm / "people.yaml"]
    paths += [path for room in ("feeds", "rules") for path in sorted((farm / room).glob("*.yaml"))]
    for path in paths:
        if path.is_file():
            copy = folder / path.relative_to(farm)
            copy.parent.mkdir(mode=0o700, exist_ok=True)
            shutil.copyfile(path, copy)
            copy.chmod(0o600)


def _link(photos: Path, folder: Path, before: Path | None) -> None:
    """Copy photos; one that the last copy has is linked to, since a photo's name is a hash of it and never changes."""
    for photo in sorted(photos.glob("*.jpg")):
        known = before / photo.name if before else None
        try:
            if known is None or known.stat().st_size != photo.stat().st_size:
                raise FileNotFoundError(photo.name)
            os.link(known, folder / photo.name)
        except OSError:  # not there before, or on a disk without links
            shutil.copyfile(photo, folder / photo.name)
            (folder / photo.name).chmod(0o600)


def _last(folders: Iterable[Path], but: Path) -> Path | None:
    """The newest dated folder of photos."""
    backups = [folder for folder in folders if folder != but and DATED.fullmatch(folder.name) and folder.is_dir()]
    return max(backups, default=None)


def _thin(place: Path, day: str, keep: int) -> list[str]:
    """Take away all but the newest days, never the one just made; the days.

    Counted and not by age: a clock that was put wrong must not take the good ones away.
    """
    names = [path.name for path in place.iterdir() if DATED.fullmatch(path.name)]
    days = sorted({name.split(".")[0].removeprefix("sentinel-") for name in names} - {day})
    gone = days[: max(len(days) - (keep - 1), 0)]
    for old in gone:
        (place / f"sentinel-{old}.db").unlink(missing_ok=True)
        for room in ("photos", "settings"):
            shutil.rmtree(place / f"sentinel-{old}.{room}", ignore_errors=True)
    return gone
