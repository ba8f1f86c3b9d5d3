"""An inbox whose scans are told the time, and the files that other programs write into it.

`Folder.scan(after=...)` lets that many seconds pass, without waiting for them.
"""

from __future__ import annotations

import os
from pathlib import Path

from sentinel.edges.inbox import Found, Inbox, Scan, Seen

MONDAY = 1_772_000_000
HEAD = b"cow;start;kg\n"


class Folder:
    """A folder with an inbox on it, and a hand-moved clock for both."""

    def __init__(self, path: Path, seen: dict[str, Seen] | None = None, **settings: float) -> None:
        path.mkdir(parents=True, exist_ok=True)
        self.path = path
        self.now_s = 1000.0
        self.seen = seen or {}
        self.inbox = Inbox(path, self.seen, **settings)  # type: ignore[arg-type]

    @property
    def wall_s(self) -> float:
        """The time by which files are stamped."""
        return MONDAY + self.now_s

    def write(self, name: str, content: bytes, age: float = 0.0, mode: str = "wb") -> Path:
        """Write a file as if by another program, `age` seconds ago."""
        path = self.path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open(mode) as file:
            file.write(content)
        stamp = self.wall_s - age
        os.utime(path, (stamp, stamp))
        return path

    def append(self, name: str, content: bytes) -> Path:
        """Append to a file as if by another program, now."""
        return self.write(name, content, mode="ab")

    def scan(self, after: float = 0.0) -> Scan:
        """Let `after` seconds pass, then scan; what was found is not settled."""
        self.now_s += after
        return self.inbox.scan(self.now_s, self.wall_s)

    def read(self, after: float = 0.0) -> list[Found]:
        """Let `after` seconds pass, scan, and settle what was found, as the service does after its tick."""
        found = list(self.scan(after).files)
        for one in found:
            self.seen[one.name] = one.seen
            self.inbox.settled(one.name, one.seen)
        return found


def new_part(found: Found) -> bytes:
    """The bytes of a find that were not handed over before."""
    return found.content[found.read_from :]
