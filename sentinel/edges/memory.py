"""Memory that is no longer used goes back to the farm's computer."""

from __future__ import annotations

import ctypes
import gc
import sys
from collections.abc import Callable

MUCH = 1_000_000
"""After so many bytes of exports memory is given back before it is decided on them."""


APART_FROM = 65_536
"""From so many bytes on a piece of memory is asked of the system by itself, and goes back to it by itself."""

_M_TRIM_THRESHOLD, _M_MMAP_THRESHOLD = -1, -3
"""Of mallopt(3), the GNU C library."""


def keep_large_apart() -> None:
    """Have large pieces of memory lie apart from small ones, for as long as the process runs.

    The columns of the rows are made anew at each look. The C library of Linux soon has them lie between small pieces
    that stay, and what they leave free is then too scattered to be given back: over a month that was 20 MB.
    """
    mallopt = getattr(ctypes.CDLL(None), "mallopt", None) if sys.platform == "linux" else None
    if mallopt is not None:
        mallopt(_M_MMAP_THRESHOLD, APART_FROM)
        mallopt(_M_TRIM_THRESHOLD, 2 * APART_FROM)


def settle() -> None:
    """Take all that is in memory now as there to stay, so that a later search for garbage takes milliseconds."""
    gc.collect()
    gc.freeze()


def give_back(shrink: Callable[[], object]) -> None:
    """Empty the database's caches, and give free memory back to the system; takes a few ms.

    `shrink` lets go of the database's pages. They lie in the operating system's cache all the same, so that reading
    them again costs next to nothing. The C library of Linux keeps what was freed unless it is asked; elsewhere, or with
    another one, nothing is asked.
    """
    gc.collect()
    shrink()
    if sys.platform != "linux":
        return
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None)
    if trim is not None:
        trim(0)
