"""Which writers carry on after closing a file: programs that open, append and close again and again."""

from __future__ import annotations

import re

_DIGITS = re.compile(r"\d+")


class Rounds:
    """Remembers by kind of name (its digits left out) who was seen to open again what had just been closed.

    What such a program closes is not complete, so its files must be quiet. `within_s`: only what is written to so
    soon after it was read counts as the same writing; a file to which a line is added every hour does not.
    """

    def __init__(self, within_s: float) -> None:
        self._within_s = within_s
        self._read: dict[str, float] = {}
        self._kinds: set[str] = set()

    def was_read(self, name: str, now_s: float) -> None:
        """A file was read because it had been closed."""
        self._read = {one: at for one, at in self._read.items() if now_s - at <= self._within_s} | {name: now_s}

    def was_written(self, name: str, still_waited_for: bool, now_s: float) -> None:
        """A file was written to; `still_waited_for`: it had been closed before, with something in it."""
        if still_waited_for or now_s - self._read.pop(name, float("-inf")) <= self._within_s:
            self._kinds.add(kind_of(name))

    def __contains__(self, name: str) -> bool:
        """Whether files of such a name are written in rounds."""
        return kind_of(name) in self._kinds


def kind_of(name: str) -> str:
    """A file name without what changes from file to file.

    >>> kind_of("visits_20260504_0100.csv")
    'visits_#_#.csv'
    """
    return _DIGITS.sub("#", name)
