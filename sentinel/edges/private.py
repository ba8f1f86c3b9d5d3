"""Files that only their owner can read: other people may have accounts on a farm's computer.

Windows keeps rights another way: there the folder's own rights count, and nothing here changes them.
"""

from __future__ import annotations

import os
import stat
import tempfile
from contextlib import suppress
from pathlib import Path

OTHERS = stat.S_IRWXG | stat.S_IRWXO


def open_to_others(path: Path) -> bool:
    """Whether anybody but its owner may read, write or open it."""
    return os.name == "posix" and bool(stat.S_IMODE(path.stat().st_mode) & OTHERS)


def keep_private(path: Path) -> None:
    """Take away what others may do with a file or folder that is there; one of another owner's stays as it is."""
    with suppress(OSError):
        if open_to_others(path):
            path.chmod(stat.S_IMODE(path.stat().st_mode) & ~OTHERS)


def make_private(path: Path) -> Path:
    """Make an empty file that is its owner's alone from its first moment; one that is there becomes so.

    Where that cannot be, nothing is said here: whoever opens the file says it better.
    """
    with suppress(OSError):
        os.close(os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    keep_private(path)
    return path


def write_whole(path: Path, content: bytes, over: bool = True) -> None:
    """Write a private file so that it is never there in part: beside it, onto the disk, then by its name.

    Several may do so at once. With `over` the last one stays, without it the first.
    """
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f"{path.name}.", suffix=".part")  # with 0600
    part = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        _name(part, path, over)
    finally:
        part.unlink(missing_ok=True)
    if os.name == "posix":
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)  # the name, too, outlives a power cut
        finally:
            os.close(folder)


def _name(part: Path, path: Path, over: bool) -> None:
    """Give a file that was written aside its name, over another or not."""
    if not over:
        try:
            os.link(part, path)
            return
        except FileExistsError:
            return
        except OSError:  # a file system without second names, as of a memory stick
            if path.exists():
                return
    os.replace(part, path)
