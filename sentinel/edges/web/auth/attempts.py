"""Links that do not work, counted by the address they come from, so that guessing is slowed down and noticed.

A good link always opens, however many bad ones came from the same address: behind a farm's router everybody has the
same one, and a stranger must not be able to lock the farm out.
"""

from __future__ import annotations

import logging
import threading
from collections import OrderedDict

WITHIN_S = 600
MOST = 20
"""So many bad links an address may try in so many seconds; after that it is only told to wait."""

REMEMBERED = 1000
"""So many addresses are remembered at most; the one heard of longest ago is forgotten first."""

log = logging.getLogger("sentinel.page")


class Attempts:
    """The bad links of the last ten minutes, by address; in memory only."""

    def __init__(self) -> None:
        self._tried: OrderedDict[str, list[int]] = OrderedDict()
        self._lock = threading.Lock()

    def failed(self, address: str, at: int) -> bool:
        """Note one that failed and log it; True if there are too many of them by now."""
        with self._lock:
            tried = [moment for moment in self._tried.pop(address, []) if at - moment < WITHIN_S]
            if len(tried) <= MOST:
                tried.append(at)
            self._tried[address] = tried
            if len(self._tried) > REMEMBERED:
                self._tried.popitem(last=False)
        if len(tried) <= MOST:
            log.warning("a link that opens nothing was tried from %s (%d in ten minutes)", address, len(tried))
        return len(tried) > MOST
