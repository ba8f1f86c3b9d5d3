"""The moments of ticks: the next one by the clock, and that of a clock jump, after which time carries on from there."""

from __future__ import annotations

import threading

from sentinel.edges.clock import Clock
from sentinel.edges.store import Store
from sentinel.edges.store.history import last_known, unused_from

AHEAD_S = 1
"""A tick may stand so many seconds ahead of the clock: of two exports in one second the other one need not wait."""

PUT_BACK_S = 3
"""If the next tick would stand further ahead than this, the clock was put back, and is not waited for."""


class TickTimes:
    """Gives the ticks of a store their moments by a clock that may be put ahead and back."""

    def __init__(self, store: Store, clock: Clock) -> None:
        self._store = store
        self._clock = clock
        self._followed = clock.jumped_s

    def next_at(self, stopping: threading.Event) -> int:
        """The moment of the next tick: now, but after the last one, and not far ahead of the clock."""
        last = last_known(self._store)
        while last is not None and AHEAD_S < last + 1 - self._clock.now() <= PUT_BACK_S:
            if self._clock.wait(stopping, self._clock.now() + 1):
                break
        return unused_from(self._store, max(self._clock.now(), (last or 0) + 1))

    def jumped_s(self) -> int:
        """By how much the clock was put ahead, or back (negative), and no tick has followed it yet; 0 if it was not."""
        by = round(self._clock.jumped_s - self._followed)
        return by if abs(by) >= PUT_BACK_S else 0

    def behind_s(self) -> int:
        """How far the clock stands behind what an earlier run left in the store (negative); 0 if it does not."""
        return behind_s(self._store, self._clock.now())

    def followed(self) -> None:
        """A tick has followed the clock to where it is."""
        self._followed = self._clock.jumped_s

    def jump_at(self, by_s: int) -> int:
        """The moment of the tick that follows a jump."""
        return jump_at(self._store, self._clock.now(), by_s)


def behind_s(store: Store, now: int) -> int:
    """How far a clock that shows `now` stands behind what a store knows already, in s (negative); 0 if it does not."""
    last = last_known(store)
    return now - last if last is not None and last - now > PUT_BACK_S else 0


def jump_at(store: Store, now: int, by_s: int) -> int:
    """The moment of the tick that follows a jump of a clock that shows `now`: before the last tick only if put back."""
    last = last_known(store)
    return unused_from(store, now if by_s < 0 or last is None else max(now, last + 1))
