"""What this computer reports about itself: disk space, memory, and whether an error means a full disk."""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
from dataclasses import dataclass
from pathlib import Path

LOW_BYTES = 200_000_000
LOW_SHARE = 0.05
"""A disk with less free than both is nearly full: a year's data of a hundred cows takes some 25 MB (our choice)."""

FULL_BYTES = 100_000
"""With less than this no export can be stored."""

_NO_ROOM = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}


@dataclass(frozen=True, slots=True)
class Room:
    """Room on the disk that holds a folder, in bytes."""

    free: int
    total: int

    @property
    def full(self) -> bool:
        """Whether nothing more fits."""
        return self.free < FULL_BYTES

    @property
    def low(self) -> bool:
        """Whether the disk is nearly full."""
        return self.free < min(LOW_BYTES, LOW_SHARE * self.total)


def room_of(folder: Path) -> Room | None:
    """The room on the disk that holds a folder; None if it cannot be asked."""
    try:
        usage = shutil.disk_usage(folder)
    except OSError:
        return None
    return Room(usage.free, usage.total)


def no_room(error: BaseException | None) -> bool:
    """Whether an error says that there is no room on the disk."""
    while error is not None:
        if isinstance(error, OSError) and error.errno in _NO_ROOM:
            return True
        if getattr(error, "sqlite_errorcode", None) == sqlite3.SQLITE_FULL:
            return True
        error = error.__cause__
    return False


def memory_used() -> int | None:
    """Bytes of memory that this process holds now; None where the system does not say."""
    try:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    except (OSError, ValueError, IndexError):
        return None
    return pages * os.sysconf("SC_PAGE_SIZE")


def memory_total() -> int | None:
    """Bytes of memory that this computer has; None where the system does not say."""
    try:
        return os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES")
    except (AttributeError, ValueError, OSError):
        return None
