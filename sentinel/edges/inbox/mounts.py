"""Where the inbox is mounted: an unmounted share leaves an empty folder, as if nothing were written any more."""

from __future__ import annotations

import os
from pathlib import Path


def mount_of(folder: Path) -> str:
    """The nearest place above a folder, or the folder itself, at which something is mounted."""
    place = os.path.realpath(folder)
    while not os.path.ismount(place) and os.path.dirname(place) != place:
        place = os.path.dirname(place)
    return place


def is_within(place: str, mount: str) -> bool:
    """Whether a place is a mount itself or lies below it.

    >>> is_within("/mnt/herd/exports", "/mnt/herd"), is_within("/", "/mnt/herd")
    (True, False)
    """
    return Path(place).is_relative_to(mount)
