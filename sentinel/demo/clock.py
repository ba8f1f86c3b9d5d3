"""The demo's clock: it shows the moment to which the story has come, and stands still in between.

So the week goes as fast as its ticks are done, and no faster, on any machine.
"""

from __future__ import annotations

import threading

from sentinel.edges.clock import Clock


class StoryClock(Clock):
    """Shows a moment until it is moved on; somebody who waits for a moment moves it there. Never goes back.

    `steady` and `stamps` stay real: files are still written by a real machine.
    """

    def __init__(self, start: int) -> None:
        super().__init__()
        self._moment = start
        self._lock = threading.Lock()

    def _now(self) -> float:
        return self._moment

    def move_to(self, moment: int) -> None:
        """Let the story come to a moment."""
        with self._lock:
            self._moment = max(self._moment, moment)

    def wait(self, event: threading.Event, until: float | None) -> bool:
        """True if the event is set; otherwise the story goes on to `until` at once (None: a real wait)."""
        if until is None:
            return event.wait()
        if event.is_set():
            return True
        self.move_to(int(until))
        return False
