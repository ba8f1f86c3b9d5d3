"""The only module that asks the clock: the time of day, the steady seconds for short waits, and waiting itself.

Everything else is handed `at` (whole UTC seconds) by whoever holds a clock.
"""

from __future__ import annotations

import threading
import time

LONGEST_WAIT_S = 30.0
"""A wait looks at the clock again at least this often (real seconds): a machine that slept, or whose clock was
put right, is noticed within half a minute instead of at the end of a wait measured in the old time."""


class Clock:
    """The wall clock of this machine."""

    def now(self) -> int:
        """The moment, in whole UTC seconds (rounded down)."""
        return int(self._now())

    def _now(self) -> float:
        """The moment in UTC seconds with fractions."""
        return time.time()

    def steady(self) -> float:
        """Real seconds from some fixed beginning; never jumps. For "unchanged for two seconds"."""
        return time.monotonic()

    def stamps(self) -> float:
        """UTC seconds as this machine stamps its files with, whatever `now` says: to tell how old a file is."""
        return time.time()

    def wait(self, event: threading.Event, until: float | None) -> bool:
        """Wait until the event is set (True) or the clock shows `until`, in UTC seconds (False); None: for ever."""
        while not event.is_set():
            left_s = LONGEST_WAIT_S if until is None else until - self._now()
            if left_s <= 0:
                return False
            event.wait(min(left_s, LONGEST_WAIT_S))
        return True
