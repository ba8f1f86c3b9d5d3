"""The bytes of one file of the folder, no more than asked for, and the stamp that tells whether it is the same."""

from __future__ import annotations

import os

from sentinel.edges.inbox.inside import open_inside

HEAD = 65_536
"""Of a file that is too large so many bytes are read, to tell what it is."""

Stamp = tuple[int, int, int]
"""Size in bytes, modification time in ns, inode: the same three mean the same file, unchanged."""


def reason(error: OSError) -> str:
    """Why the system refused, in its own words."""
    return error.strerror or type(error).__name__


def read(path: str, root: str, most: int) -> tuple[bytes, Stamp]:
    """The bytes at `path`, at most so many, which must lie in the folder `root`, and its stamp *after* reading.

    Opened read-only, its time of last reading left alone.
    """
    flags = os.O_RDONLY | getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0)
    try:
        handle = open_inside(root, path, flags | getattr(os, "O_NOATIME", 0))
    except PermissionError:  # only the owner may ask for that
        handle = open_inside(root, path, flags)
    with os.fdopen(handle, "rb") as file:
        content = file.read(most)
        opened = os.fstat(file.fileno())
    info = os.stat(path)
    # it grew or was changed in between: no stamp fits what was read
    if len(content) != min(info.st_size, most) or opened.st_ino != info.st_ino:
        return content, (info.st_size, -1, info.st_ino)
    return content, (info.st_size, info.st_mtime_ns, info.st_ino)
