"""The farm folder's photos: made anew from what a phone sends, so that nothing else comes in with them.

A picture takes four bytes of memory a pixel and more while it is painted, however small its file is. So its size is
read before it is unpacked, one is painted at a time, and what no camera makes is refused.
"""

from __future__ import annotations

import hashlib
import io
import os
import re
import shutil
import warnings
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from sentinel.edges.private import keep_private, write_whole

FOLDER = "photos"
LONGEST_PX = 1600

MOST_PIXELS_JPEG = 60_000_000
"""Of a JPEG as phones write it, which is made smaller while it is read: no phone's ordinary photo has more."""

MOST_PIXELS = 16_000_000
"""Of a picture that must be unpacked whole before it can be made smaller: PNG, WebP, progressive JPEG."""

QUALITY = 80
_NAME = re.compile(r"[0-9a-f]{32}\.jpg")
_painter = ThreadPoolExecutor(1, "painter")
"""One thread paints: in several, even in turn, the C library would keep each one's memory for itself."""


@dataclass(frozen=True, slots=True)
class NoPicture:
    """Why nothing was kept: it is no readable picture or, if `most_pixels` is set, it has more pixels than that."""

    most_pixels: int = 0


class Photos:
    """Photos by name; the name is a hash of the picture, so the same photo is kept once."""

    def __init__(self, farm: Path) -> None:
        self._folder = farm / FOLDER

    def put(self, content: bytes) -> str | NoPicture:
        """Keep a photo and give its name, or say why it is not kept."""
        clean = made_anew(content)
        if isinstance(clean, NoPicture):
            return clean
        name = f"{hashlib.sha256(clean).hexdigest()[:32]}.jpg"
        self._folder.mkdir(mode=0o700, exist_ok=True)
        for path in (self._folder, *self._folder.glob("*.jpg")):  # some may be of a sentinel that was less careful
            keep_private(path)
        write_whole(self._folder / name, clean)
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


def made_anew(content: bytes) -> bytes | NoPicture:
    """A picture painted anew as JPEG, at most 1600 px long, the right way up; or why it is none.

    Position, camera and whatever else stands in the file beside the picture are left behind.
    """
    return _painter.submit(_made_anew, content).result()


def _made_anew(content: bytes) -> bytes | NoPicture:
    from PIL import Image, ImageOps  # noqa: PLC0415  (2 MB; there are days without a photo)

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            with Image.open(io.BytesIO(content), formats=("JPEG", "PNG", "WEBP")) as given:
                # a progressive JPEG is held whole while it is read, as the other forms are
                in_parts = given.format in ("JPEG", "MPO") and not given.info.get("progressive")
                most = MOST_PIXELS_JPEG if in_parts else MOST_PIXELS
                if given.width * given.height > most:
                    return NoPicture(most)
                times = max(1.0, max(given.size) / LONGEST_PX)
                given.draft(None, (max(1, int(given.width / times)), max(1, int(given.height / times))))
                if given.mode not in ("RGB", "L", "CMYK"):
                    picture: Image.Image = given.convert("RGB")
                    picture.info = given.info
                else:
                    picture = given
                picture.thumbnail((LONGEST_PX, LONGEST_PX))
                picture = ImageOps.exif_transpose(picture).convert("RGB")
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):  # past what Pillow opens at all
        return NoPicture(MOST_PIXELS_JPEG if content.startswith(b"\xff\xd8") else MOST_PIXELS)
    except Exception:  # whatever a file made by hand brings its reader to: it is no picture that can be read
        return NoPicture()
    fresh = Image.new("RGB", picture.size)
    fresh.paste(picture)
    out = io.BytesIO()
    fresh.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()
