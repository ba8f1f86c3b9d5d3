"""An inbox as the service runs it, in real time."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Any

from sentinel.edges.clock import Clock
from sentinel.edges.inbox import Found, Inbox


class Live:
    """An inbox as the service runs it: woken, or looking again when a look is due."""

    def __init__(self, path: Path, quiet_s: float = 0.2, sweep_s: float = 30.0, **more: Any) -> None:
        self.clock = Clock()
        self.wake = threading.Event()
        self.inbox = Inbox(path, {}, quiet_s=quiet_s, sweep_s=sweep_s, on_wake=self.wake.set, **more)
        self.inbox.start()
        self.found: list[Found] = []
        self.look()

    def look(self) -> None:
        """One scan, with what it found settled."""
        self.wake.clear()
        for one in self.inbox.scan(self.clock.steady(), self.clock.stamps()).files:
            self.found.append(one)
            self.inbox.settled(one.name, one.seen)

    def until(self, count: int, within_s: float = 10.0) -> list[str]:
        """Run until that many files were found; their names."""
        end_s = self.clock.steady() + within_s
        while len(self.found) < count and self.clock.steady() < end_s:
            due_s = min(self.inbox.next_look_s, end_s) - self.clock.steady()
            self.wake.wait(max(0.0, due_s))
            if self.clock.steady() >= end_s:
                break  # no last look: it would find what nothing woke for
            self.look()
        return [f.name for f in self.found]
