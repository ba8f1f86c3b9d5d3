"""Memory that is no longer used goes back to the farm's computer."""

from __future__ import annotations

import ctypes
import sys

from sentinel.flow.measures.box_case import let_go


def give_back() -> None:
    """Let go of what measures kept for each other, and give what is free back to the operating system; a few ms.

    The C library of Linux keeps what was freed unless it is asked; elsewhere, or with another one, nothing is asked.
    """
    let_go()
    if sys.platform != "linux":
        return
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None)
    if trim is not None:
        trim(0)
