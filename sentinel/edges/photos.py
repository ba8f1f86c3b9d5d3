"""The farm folder's photos: made anew from what a phone sends, so that nothing else comes in with them."""

from __future__ import annotations

import hashlib
import io
import os
import re
import shutil
import warnings
from pathlib import Path

FOLDER = "photos"
LONGEST_PX = 1600
MOST_PIXELS = 60_000_000
"""No phone's camera makes more; a small file that unpacks to more is meant to fill the memory."""

QUALITY = 80
_NAME = re.compile(r"[0-9a-f]{32}\.jpg")


class Photos:
    """Photos by name; the name is a hash of the picture, so the same photo is kept once."""

    def __init__(self, farm: Path) -> None:
        self._folder = farm / FOLDER

    def put(self, content: bytes) -> str | None:
        """Keep a photo and give its name; None if what was sent is no picture that can be read."""
        clean = made_anew(content)
        if clean is None:
            return None
        name = f"{hashlib.sha256(clean).hexdigest()[:32]}.jpg"
        self._folder.mkdir(mode=0o700, exist_ok=True)
        part = self._folder / f"{name}.part"
        part.write_bytes(clean)
        os.replace(part, self._folder / name)
        return name

    def get(self, name: str) -> bytes | None:
        """The photo of that name; None if there is none."""
        path = self._folder / name
        return path.read_bytes() if _NAME.fullmatch(name) and path.is_file() else None


def copied(source: Path, farm: Path, aside: Path) -> tuple[int, int]:
    """Bring back into a farm folder the photos of a backup's folder that it lacks or that are damaged there.

    How many were brought, and how many damaged ones were moved to the folder `aside`: a name tells what is in a photo.
    """
    brought = damaged = 0
    room = farm / FOLDER
    for photo in sorted(source.iterdir()) if source.is_dir() else ():
        here = room / photo.name
        if not _NAME.fullmatch(photo.name) or _is_whole(here) or (here.exists() and not _is_whole(photo)):
            continue
        room.mkdir(mode=0o700, exist_ok=True)
        part = room / f"{photo.name}.part"
        shutil.copyfile(photo, part)
        if here.exists():
            (aside / FOLDER).mkdir(parents=True, exist_ok=True)
            os.replace(here, aside / FOLDER / photo.name)
            damaged += 1
        os.replace(part, here)
        brought += 1
    return brought, damaged


def _is_whole(photo: Path) -> bool:
    """Whether a photo is there and is what its name says."""
    return photo.is_file() and hashlib.sha256(photo.read_bytes()).hexdigest()[:32] == photo.stem


def made_anew(content: bytes) -> bytes | None:
    """A picture painted anew as JPEG, at most 1600 px long, the right way up; None if it cannot be read.

    Position, camera and whatever else stands in the file beside the picture are left behind.
    """
    from PIL import Image, ImageOps, UnidentifiedImageError  # noqa: PLC0415  (2 MB; there are days without a photo)

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            with Image.open(io.BytesIO(content), formats=("JPEG", "PNG", "WEBP")) as given:
                if given.width * given.height > MOST_PIXELS:
                    return None
                given.draft("RGB", (LONGEST_PX, LONGEST_PX))
                picture = ImageOps.exif_transpose(given).convert("RGB")
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, Warning, Image.DecompressionBombError):
        return None
    picture.thumbnail((LONGEST_PX, LONGEST_PX))
    fresh = Image.new("RGB", picture.size)
    fresh.paste(picture)
    out = io.BytesIO()
    fresh.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()
