"""Memory that is no longer used goes back to the farm's computer."""

from __future__ import annotations

import ctypes
import gc
import sys
from collections.abc import Callable

MUCH = 1_000_000
"""After so many bytes of exports memory is given back before it is decided on them."""


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
