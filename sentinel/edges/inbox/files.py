"""The bytes of one file of the folder, no more than asked for, and the stamp that tells whether it is the same."""

from __future__ import annotations

import os

HEAD = 65_536
"""Of a file that is too large so many bytes are read, to tell what it is."""

Stamp = tuple[int, int, int]
"""Size in bytes, modification time in ns, inode: the same three mean the same file, unchanged."""


def reason(error: OSError) -> str:
    """Why the system refused, in its own words."""
    return error.strerror or type(error).__name__


def read(path: str, most: int) -> tuple[bytes, Stamp]:
    """The bytes at `path`, at most so many, and its stamp *after* reading; opened read-only, its time of last reading
    left alone."""
    flags = os.O_RDONLY | getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0)
    try:
        handle = os.open(path, flags | getattr(os, "O_NOATIME", 0))
    except PermissionError:  # only the owner may ask for that
        handle = os.open(path, flags)
    with os.fdopen(handle, "rb") as file:
        content = file.read(most)
    info = os.stat(path)
    if len(content) != min(info.st_size, most):  # it grew in between: no stamp fits what was read
        return content, (info.st_size, -1, info.st_ino)
    return content, (info.st_size, info.st_mtime_ns, info.st_ino)
