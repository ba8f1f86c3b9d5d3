"""The only module that asks the clock: the time of day, the steady seconds for short waits, and waiting itself.

Everything else is handed `at` (whole UTC seconds) by the holder of a clock.
"""

from __future__ import annotations

import threading
import time

LONGEST_WAIT_S = 30.0
"""A wait looks at the clock again at least this often (real seconds): a machine that slept, or whose clock was
put right, is noticed within half a minute instead of at the end of a wait measured in the old time."""

JUMP_S = 3.0
"""If the time of day moves so much more or less than the steady seconds at once, the clock was put ahead or back."""

BELIEVED_AFTER_S = 30.0
"""So long a jump must stand (real seconds) before it is gone by; a clock put right again sooner never jumped."""


class Clock:
    """The wall clock of this machine, which may be wrong.

    Within a run time goes on with the steady seconds: a jump of the wall clock is gone by only when it has stood for a
    while. `jumped_s` adds up the jumps so far, back ones negative, for anything that must follow them.
    """

    jumped_s = 0.0

    def __init__(self, believed_after_s: float = BELIEVED_AFTER_S) -> None:
        self._believed_after_s = believed_after_s
        self._lock = threading.Lock()
        self._lead = self._wall() - self._run()
        self._odd_since: float | None = None

    def now(self) -> int:
        """The moment, in whole UTC seconds (rounded down)."""
        return int(self._now())

    def _now(self) -> float:
        """The moment in UTC seconds with fractions."""
        with self._lock:
            wall, run = self._wall(), self._run()
            by = wall - run - self._lead
            if abs(by) <= JUMP_S:  # a clock is set a little now and then, and drifts
                self._lead, self._odd_since = wall - run, None
                return wall
            self._odd_since = run if self._odd_since is None else self._odd_since
            if run - self._odd_since < self._believed_after_s:
                return run + self._lead
            self._lead, self._odd_since = wall - run, None
            self.jumped_s += by
            return wall

    def _wall(self) -> float:
        """What the wall clock shows, in UTC seconds."""
        return time.time()

    def _run(self) -> float:
        """Real seconds, those of a machine asleep too where the system counts them: waking is not a jump."""
        return time.clock_gettime(time.CLOCK_BOOTTIME) if hasattr(time, "CLOCK_BOOTTIME") else time.monotonic()

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
