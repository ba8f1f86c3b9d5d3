"""Changed settings of a running service: noticed, read once they no longer change, and reported once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from sentinel.edges.settings import Secrets, settings_stamp
from sentinel.errors import FarmFolderError
from sentinel.flow.model import Problem, Source
from sentinel.flow.setup import Setup

SETTLE_S = 1.0
"""Settings are read again when they have stood still this long: an editor empties a file before it fills it."""

AGAIN_S = 30.0
"""Settings that could not be used are read again so often: what kept them from it may not show in the folder."""

MOST_SAID = 3
"""So many problems are told in one line; `sentinel check` shows the others."""

LONGEST_SAID = 240
"""So many characters of a problem are told in that line."""

Load = Callable[[], tuple[Setup | None, Secrets, list[Problem]]]


class SettingsReload:
    """Watches the settings of one farm folder."""

    def __init__(self, folder: Path, load: Load) -> None:
        """`load` reads the settings; what stands in the folder now is taken to be in use."""
        self._folder = folder
        self._load = load
        self._stamp = settings_stamp(folder)
        self._edited = (self._stamp, 0.0)
        self._again_s = float("inf")
        self._said = ""

    def look(self, steady: float) -> tuple[Setup | None, Secrets | None, str]:
        """The settings if they were changed and can be used, else None twice; and what is wrong, told once.

        `steady` is a moment on a clock that is never put back, in seconds.
        """
        stamp = settings_stamp(self._folder)
        self._edited = self._edited if stamp == self._edited[0] else (stamp, steady)
        changed = stamp != self._stamp and steady >= self._edited[1] + SETTLE_S
        if not changed and steady < self._again_s:
            return None, None, ""
        self._stamp, self._again_s = stamp, float("inf")
        try:
            setup, secrets, problems = self._load()
        except FarmFolderError as error:
            setup, secrets, problems = None, None, [Problem(Source(self._folder.name), str(error))]
        except Exception as error:  # no edit ends the watch, not even one that nobody has thought of
            setup, secrets, problems = None, None, [Problem(Source(self._folder.name), _failure(error))]
        if setup is not None and not problems:
            self._said = ""
            return setup, secrets, ""
        return None, None, self.refused(in_one_line(problems), steady)

    def refused(self, reason: str, steady: float) -> str:
        """Settings are not used for this reason: it is told if it is another one, and they are tried again."""
        self._again_s = steady + AGAIN_S
        news, self._said = reason if reason != self._said else "", reason
        return news


def failed(error: Exception) -> str:
    """Why settings that can be read are not used: the program failed when it went by them."""
    return f"the program failed when it went by them: {_failure(error)}; put back what was changed last"


def _failure(error: Exception) -> str:
    return _cut(f"{type(error).__name__}: {error}")


def in_one_line(problems: Sequence[Problem]) -> str:
    """The first few problems in one line, each cut to a length that a person reads."""
    shown = "; ".join(_cut(str(problem)) for problem in problems[:MOST_SAID])
    more = len(problems) - MOST_SAID
    return shown + (f"; and {more} more, which `sentinel check` shows" if more > 0 else "")


def _cut(text: str) -> str:
    line = " ".join(text.split())
    return line if len(line) <= LONGEST_SAID else line[: LONGEST_SAID - 1] + "…"
