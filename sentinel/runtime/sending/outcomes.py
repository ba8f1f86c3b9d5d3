"""What became of messages, kept in memory until the store takes it: a full disk must not make a phone ring again."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass

from sentinel.edges.notifier import BACKOFF_S
from sentinel.edges.store import Store
from sentinel.edges.store.outbox import delivery_tried
from sentinel.flow.model import Entry, Notice
from sentinel.flow.reasons import Reason

AGAIN_S = (1.0, 2.0, 5.0, 10.0)
"""Seconds until the store is tried again after the first, second, ... time that it took nothing; the last from then on:
once there is room it is used within that."""

PATIENCE_S = 1.0
"""So long another process that writes is waited for: what is to be sent must not wait with it."""

log = logging.getLogger("sentinel")


@dataclass(frozen=True, slots=True)
class Tried:
    """How one try of an outbox line ended: `waiting` (again at `next_at`), `delivered` or `gave_up`.

    `reworded`: what was said, of a notice whose words were made when it was sent.
    """

    notice: int
    channel: str
    at: int
    outcome: str
    detail: Reason
    next_at: int | None = None
    entries: tuple[Entry, ...] = ()
    reworded: Notice | None = None


class Outcomes:
    """The tries that are not in the store yet, in their order; used from several threads.

    `taken` is called within the transaction that writes a try, for what else belongs to it.
    """

    def __init__(
        self, store: Store, steady: Callable[[], float], taken: Callable[[Tried], None] = lambda tried: None
    ) -> None:
        self.problem: Exception | None = None
        self._store = store
        self._steady = steady
        self._taken = taken
        self._kept: list[Tried] = []
        self._failures = 0
        self._again_s = 0.0
        self._lock = threading.RLock()

    def __len__(self) -> int:
        """How many are not in the store yet."""
        return len(self._kept)

    def note(self, tried: Tried) -> None:
        """Keep a try; it is written at once if the store takes anything."""
        with self._lock:
            self._kept.append(tried)
            self.write()

    def tries(self, notice: int, channel: str) -> int:
        """How many tries of an outbox line the store does not know of."""
        with self._lock:
            return sum((one.notice, one.channel) == (notice, channel) for one in self._kept)

    def rests(self, notice: int, channel: str, now: int) -> bool:
        """Whether an outbox line that the store calls due is not: it has ended, or is to be tried later."""
        with self._lock:
            outcomes_of_line = [one for one in self._kept if (one.notice, one.channel) == (notice, channel)]
        again = outcomes_of_line[-1].next_at if outcomes_of_line else now
        return again is None or now < again <= now + BACKOFF_S[-1]  # later only by a clock that was put back

    def write(self) -> None:
        """Write what is kept, in order, if it is time; what the store does not take stays kept."""
        with self._lock:
            while self._kept and self._steady() >= self._again_s:
                tried = self._kept[0]
                try:
                    with self._store.writing(PATIENCE_S):
                        delivery_tried(
                            self._store, tried.notice, tried.channel, tried.at, tried.outcome, tried.detail,
                            tried.next_at, tried.entries,
                        )  # fmt: skip
                        self._taken(tried)
                except Exception as error:  # whatever it is, what is kept here is not sent again
                    self._again_s = self._steady() + AGAIN_S[min(self._failures, len(AGAIN_S) - 1)]
                    self._failures += 1
                    if self.problem is None:
                        log.error("what became of a notice cannot be noted (%s); it is kept in memory", error)
                    self.problem = error
                    return
                self._kept.pop(0)
                if self.problem is not None:
                    log.info("what became of notices can be noted again")
                self.problem, self._failures, self._again_s = None, 0, 0.0
