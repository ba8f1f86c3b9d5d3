"""Links in the inbox: one that leads out of it is not followed, or anyone who can write there could get any file read.

A link to a file within the inbox is one more name of it. What was opened is compared with what is found step by step
from the inbox's own folder, following no link on the way, so that nothing can be changed between looking and opening.
Where the system cannot go so (Windows), it is compared with what the whole path names, itself no link.
"""

from __future__ import annotations

import os

LEADS_OUT = "a link that leads out of the inbox; it is not followed"
STEPWISE = os.open in os.supports_dir_fd and hasattr(os, "O_NOFOLLOW") and hasattr(os, "O_DIRECTORY")


def is_link(entry: os.DirEntry[str]) -> bool:
    """Whether what is listed may be elsewhere: a symbolic link, or on Windows a junction, which looks like a folder."""
    return entry.is_symlink() or (hasattr(entry, "is_junction") and entry.is_junction())


def leads_out(root: str, path: str) -> bool:
    """Whether a path really lies outside the folder `root`, itself a real path."""
    return _steps(root, path) is None


def open_inside(root: str, path: str, flags: int) -> int:
    """Open a file that really lies in the folder `root`; a handle.

    Raises PermissionError where it lies elsewhere, FileNotFoundError where it became another while it was opened.
    """
    steps = _steps(root, path)
    if not steps:
        raise PermissionError(0, LEADS_OUT)
    handle = os.open(os.path.join(root, *steps), flags | getattr(os, "O_NOFOLLOW", 0))
    try:
        opened, named = os.fstat(handle), _named(root, steps)
        if (opened.st_dev, opened.st_ino) != (named.st_dev, named.st_ino):
            raise FileNotFoundError(0, "it became another file while it was opened")
    except BaseException:
        os.close(handle)
        raise
    return handle


def _steps(root: str, path: str) -> list[str] | None:
    """The names from `root` to where a path really leads; None if that is not within it."""
    real = os.path.realpath(path)
    try:
        within = os.path.commonpath([root, real]) == root
    except ValueError:  # another drive
        return None
    return os.path.relpath(real, root).split(os.sep) if within and real != root else None


def _named(root: str, steps: list[str]) -> os.stat_result:
    """What lies at the end of these steps, none of which is a link."""
    if not STEPWISE:
        return os.lstat(os.path.join(root, *steps))
    here = os.open(root, os.O_RDONLY | os.O_DIRECTORY)
    try:
        for step in steps[:-1]:
            inner = os.open(step, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW, dir_fd=here)
            os.close(here)
            here = inner
        return os.stat(steps[-1], dir_fd=here, follow_symlinks=False)
    finally:
        os.close(here)
