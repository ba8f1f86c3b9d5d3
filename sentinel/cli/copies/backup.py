"""`backup`: a copy of the store and its photos."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Annotated

import typer

from sentinel.cli.base import HERE, FarmOption, open_store, out
from sentinel.cli.copies.noted import noted
from sentinel.edges.photos import FOLDER as PHOTOS
from sentinel.edges.store.copies import back_up
from sentinel.errors import UsageError


def backup(
    target: Annotated[Path, typer.Argument(help="The copy to make.")],
    farm: FarmOption = HERE,
) -> None:
    """Copy the store, and the photos beside it, while in use; the copy is checked."""
    photos = target.with_suffix(".photos")
    for place in (target, photos):
        if place.exists():
            raise UsageError(f"{place} already exists; name a new file")
    with open_store(farm) as store:
        back_up(store, target)
        noted(store)
    out.print(f"Copied to {target} ({target.stat().st_size / 1e6:.1f} MB).")
    if (farm / PHOTOS).is_dir():  # after the store: no photo that it names is missing
        shutil.copytree(farm / PHOTOS, photos, ignore=shutil.ignore_patterns("*.part"))
        count = sum(1 for _ in photos.iterdir())
        out.print(f"Copied {count} photo{'' if count == 1 else 's'} to {photos}.")
