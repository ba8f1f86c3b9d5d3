"""What one look at the inbox folder gives: what was found, what is waited for, what was wrong."""

from __future__ import annotations

from dataclasses import dataclass

from sentinel.edges.inbox.files import Stamp
from sentinel.flow.model import Problem
from sentinel.flow.reasons import Reason


@dataclass(frozen=True, slots=True)
class Seen:
    """What was read of a file before: its stamp then, how many bytes were handed over, and their SHA-256."""

    name: str
    size: int
    mtime_ns: int
    inode: int
    read_to: int
    sha256: str

    @property
    def stamp(self) -> Stamp:
        """The stamp it had."""
        return self.size, self.mtime_ns, self.inode


@dataclass(frozen=True, slots=True)
class Found:
    """A complete file, or one with new complete lines.

    `content` is the file from its first byte up to its last complete line (line files), else the whole file. Rows
    that begin before byte `read_from` were handed over earlier; 0 if what was read before is no longer the same.
    `modified_at` is in UTC seconds. `seen` is to be remembered once the content is stored (`Inbox.settled`).
    `refused`: why it was not read, if it is too large; `content` is then its beginning, to tell what it is.
    """

    name: str
    content: bytes
    modified_at: int
    read_from: int
    seen: Seen
    refused: Reason | None = None


@dataclass(frozen=True, slots=True)
class Waiting:
    """A file, or the last line of one, that is not complete yet, and why, in words; its size now in bytes."""

    name: str
    why: str
    size: int


@dataclass(frozen=True, slots=True)
class Scan:
    """What one look at the folder gave.

    `files` are in time order (modification time, then name) and are given again at the next scan until
    settled. `waiting` is the state now. `gone` are files that vanished before they were complete. `problems` are
    told once each. `unchanged` are files with a new stamp but the same content: nothing to read, but worth
    remembering. `left`: the byte limit was reached, and so many were left; settle these and scan again at once.
    `deferred`: so many are read later (`reading_order`), the newest of them written at `deferred_until` (UTC seconds;
    0 if none is). `away`: why the folder cannot be looked through, in words, "" if it can.
    """

    files: tuple[Found, ...] = ()
    waiting: tuple[Waiting, ...] = ()
    gone: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()
    unchanged: tuple[Seen, ...] = ()
    left: int = 0
    deferred: int = 0
    deferred_until: int = 0
    away: str = ""

    @property
    def more(self) -> bool:
        """Whether the next scan is to be made at once."""
        return self.left > 0
