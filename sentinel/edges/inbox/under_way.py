"""Which file is being read, noted beside the store, so that one that kills the process is not read for ever.

The note exists while a file is read, and outlives the process, though not a power cut. The next reader that finds it
knows in which file the process before ended. Any file may be unlucky once (a kill by hand, another program that took
the memory), so only one in which the process ended twice, and that was not read in between, is given up: it is set
aside whole. One that was changed since is another file.

The note never grows and is written in place, so that it can be written on a disk that is full.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sentinel.edges.inbox.files import Stamp
from sentinel.flow.reasons import Reason

NAME = "sentinel.reading"
LENGTH = 8192
GIVEN_UP = Reason("ended-twice")
MOST = 2
"""Once the process ended in it so often, a file is given up."""

REMEMBERED = 4
"""Of so many files it is remembered that the process ended in them; the note has room for no more."""

LONGEST_NAME = 100
"""A name's last characters: the inode tells two files apart."""

Which = tuple[str, Stamp]


class UnderWay:
    """The note in a farm's folder; with None for it nothing is kept.

    It is first read when something is first to be read, by whoever holds the farm's lock: a note of a process that
    still works says nothing.
    """

    def __init__(self, folder: Path | None) -> None:
        self._path = None if folder is None else folder / NAME
        self._ended: dict[Which, int] | None = None
        self._now: Which | None = None

    @classmethod
    def as_noted(cls, folder: Path) -> UnderWay:
        """For who does not hold the farm's lock: what is noted is heeded, and nothing is written."""
        noted = cls(folder)
        noted._ended, _ = noted._read()
        noted._path = None
        return noted

    def given_up(self, name: str, stamp: Stamp) -> Reason | None:
        """Why a file is not to be read; None if it is."""
        return GIVEN_UP if self._ends().get(_which(name, stamp), 0) >= MOST else None

    @contextmanager
    def reading(self, name: str, stamp: Stamp) -> Iterator[None]:
        """It is read now; whatever is raised meanwhile, the process has not ended in it."""
        ended = self._ends()
        self._now = _which(name, stamp)
        self._write(ended)
        try:
            yield
        finally:
            self._now = None
            self._write(ended)

    def was_read(self, name: str, stamp: Stamp) -> None:
        """It is stored, whole or set aside: what happened in it before no longer matters."""
        ended = self._ends()
        if ended.pop(_which(name, stamp), 0):
            self._write(ended)

    def _ends(self) -> dict[Which, int]:
        """In which files the process ended, and how often."""
        if self._ended is None:
            self._ended, last = self._read()
            if last is not None:
                self._ended[last] = self._ended.pop(last, 0) + 1  # the newest is the last to be forgotten
                while len(self._ended) > REMEMBERED:
                    del self._ended[next(iter(self._ended))]
                self._write(self._ended)
        return self._ended

    def _read(self) -> tuple[dict[Which, int], Which | None]:
        """The note as it was left; nothing if there is none that can be read."""
        if self._path is None:
            return {}, None
        try:
            left = json.loads(self._path.read_text(encoding="ascii"))
            ended = {_which(name, stamp): int(times) for name, stamp, times in left["ended"]}
            return ended, None if left["now"] is None else _which(*left["now"])
        except (OSError, ValueError, TypeError, KeyError):
            return {}, None

    def _write(self, ended: dict[Which, int]) -> None:
        """Write the note; a disk that takes nothing is no reason not to read."""
        if self._path is None:
            return
        text = json.dumps({"now": self._now, "ended": [[*which, times] for which, times in ended.items()]})
        with contextlib.suppress(OSError):
            handle = os.open(self._path, os.O_WRONLY | os.O_CREAT, 0o600)
            try:
                os.write(handle, text.ljust(LENGTH).encode("ascii"))
            finally:
                os.close(handle)


def _which(name: str, stamp: Stamp) -> Which:
    size, mtime_ns, inode = stamp
    return name[-LONGEST_NAME:], (int(size), int(mtime_ns), int(inode))
