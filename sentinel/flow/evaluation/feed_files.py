"""What the files of a feed of visits show besides their rows: whether each is of one box, and that a file which brought
nothing new was written all the same, so that there was nothing to tell.

Nothing of it is declared: it is told from the files that came. Both are our choice, no source.
"""

from __future__ import annotations

import re
from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass, field

from sentinel.flow.evaluation.pace import Arrivals, Pace
from sentinel.flow.model import DAY_S

APART = 12
"""A file of n visits, all at one box, is n - 1 times as likely as not in favour of files of one box; so many of each of
two boxes since the last file of both, and it is no chance (1 in 2 ** 24 with two boxes)."""

OUT_OF_USE_S = 28 * DAY_S
"""A box of which no file has told for four weeks, while others were told of, is taken to be out of use."""

LATELY, FEWEST = 50, 5
"""How often files come and how far behind now their newest row is, is the middle of the last fifty, from five on."""

SOON, MISSED = 0.5, 2.25
"""A file that comes sooner than half that time after the one before belongs to it; up to one may be missed."""

NAMES = 20
"""Whose an empty file is, its name tells, compared with the last twenty of each box."""


@dataclass(frozen=True, slots=True)
class FileCame:
    """One file: when it came, its name, up to when it tells (None: it holds nothing), whether it was empty and whole,
    and per box the newest moment and the number of the visits that it was the first to tell."""

    at: int
    name: str
    known: int | None
    empty: bool
    boxes: Mapping[str, tuple[int, int]]


@dataclass(frozen=True, slots=True)
class BoxFiles:
    """One box of a feed whose files are each of one box: known by its rows, and by files that came without new ones."""

    known_until: int
    silent_until: int | None
    pace: Pace | None


@dataclass(frozen=True, slots=True)
class FeedFiles:
    """What is known of a feed by its files.

    `silent_until`: up to when files that brought nothing new show that there was nothing. `boxes`: where each file is
    of one box, each box; `only`: the one box that it has ever told of.
    """

    silent_until: int | None = None
    boxes: Mapping[str, BoxFiles] = field(default_factory=dict)
    only: str | None = None


@dataclass(slots=True)
class Stream:
    """Files that come one after the other, of a feed or of one box of it.

    A file that brings nothing new shows that there was nothing up to as long before it came as files' newest rows are
    usually behind. It counts only if it came in its time, and so did all since the last one that had new rows and was
    not late itself: what was held up on its way shows nothing, however regularly it then comes. `arrivals`: what was
    heard of it, by rows or by files without.
    """

    known: int | None = None
    silent_until: int | None = None
    silences: list[int] = field(default_factory=list)
    arrivals: Arrivals = field(default_factory=Arrivals)
    _last_at: int | None = None
    _names: deque[str] = field(default_factory=lambda: deque(maxlen=LATELY))
    _in_time: bool = False
    _waits: deque[int] = field(default_factory=lambda: deque(maxlen=LATELY))
    _behind: deque[int] = field(default_factory=lambda: deque(maxlen=LATELY))

    def add(self, at: int, name: str, known: int | None, empty: bool) -> None:
        """A file came at `at` that tells up to `known`."""
        wait = None if self._last_at is None else at - self._last_at
        if known is not None and (self.known is None or known > self.known):
            self._with_news(at, known, wait)
        elif self._names and wait is not None and (name == self._names[-1] or (empty and name not in self._names)):
            if not self._without_news(at, wait):
                return
        else:
            return
        self._last_at = at
        self._names.append(name)

    def _with_news(self, at: int, known: int, wait: int | None) -> None:
        behind, further = max(0, at - known), 0 if self.known is None else known - self.known
        usual = _middle(self._waits)
        if wait and 2 * wait >= further and wait >= SOON * (usual or 0):  # not read long after, as of a backlog
            self._waits.append(wait)
            self._behind.append(behind)
            usual = _middle(self._waits)
        self._in_time = usual is not None and behind <= MISSED * usual
        self.known = known
        self.arrivals.add(at, known)

    def _without_news(self, at: int, wait: int) -> bool:
        """Whether the file counts as one: not if it belongs to the one before."""
        usual, behind = _middle(self._waits), _middle(self._behind)
        if usual is None or behind is None or wait < SOON * usual:
            return False
        self._in_time = self._in_time and wait <= MISSED * usual
        until = at - behind
        if self._in_time and until > max(self.known or 0, self.silent_until or 0):
            self.silent_until = until
            self.silences.append(until)
            self.arrivals.add(at, until)
        self._waits.append(wait)
        return True


@dataclass(slots=True)
class FilesOfFeed:
    """The files of one feed of visits as they came, and what they show."""

    _all: Stream = field(default_factory=Stream)
    _of_box: dict[str, Stream] = field(default_factory=dict)
    _excess: dict[str, int] = field(default_factory=dict)
    _mixed: bool = False
    _newest: dict[str, int] = field(default_factory=dict)
    _names: dict[str, deque[frozenset[tuple[int, str]]]] = field(default_factory=dict)

    def add(self, file: FileCame) -> None:
        """A further file came."""
        self._all.add(file.at, file.name, file.known, file.empty)
        for box, (newest, _) in file.boxes.items():
            self._newest[box] = max(newest, self._newest.get(box, newest))
        if len(file.boxes) > 1:
            self._mixed = True
            self._excess.clear()
            self._names.clear()
            return
        words = _words(file.name)
        if file.boxes:
            box, (_, visits) = next(iter(file.boxes.items()))
            self._excess[box] = self._excess.get(box, 0) + visits - 1
            self._names.setdefault(box, deque(maxlen=NAMES)).append(words)
        else:
            named = self._named(words)
            if named is None:
                return
            box = named
        if file.known is not None:
            self._newest[box] = max(file.known, self._newest.get(box, file.known))
        self._of_box.setdefault(box, Stream()).add(file.at, file.name, file.known, file.empty)

    @property
    def silences(self) -> list[int]:
        """Each moment so far up to which a file that brought nothing new showed that there was nothing."""
        return self._all.silences

    def found(self) -> FeedFiles:
        """What the files show so far."""
        boxes: dict[str, BoxFiles] = {}
        if sum(number >= APART for number in self._excess.values()) > 1:
            since = max(self._newest.values()) - OUT_OF_USE_S
            for box, newest in sorted(self._newest.items()):
                stream = self._of_box.get(box)
                if newest >= since:
                    pace = stream.arrivals.pace() if stream else None
                    boxes[box] = BoxFiles(newest, stream.silent_until if stream else None, pace)
        of_one = [box for box, number in self._excess.items() if number >= APART]
        only = of_one[0] if not self._mixed and len(self._newest) == 1 and of_one else None
        return FeedFiles(self._all.silent_until, boxes, only)

    def _named(self, words: frozenset[tuple[int, str]]) -> str | None:
        """The one box all of whose files have the words in their name that this one has."""
        boxes = [box for box, names in self._names.items() if frozenset.intersection(*names) <= words]
        return boxes[0] if len(boxes) == 1 and len(self._names) > 1 else None


def _middle(values: deque[int]) -> int | None:
    return sorted(values)[len(values) // 2] if len(values) >= FEWEST else None


def _words(name: str) -> frozenset[tuple[int, str]]:
    """The words and figures of a file's name, each with its place.

    >>> sorted(_words("box2/visits_0800.csv"))
    [(0, 'box'), (1, '2'), (2, 'visits'), (3, '0800'), (4, 'csv')]
    """
    return frozenset(enumerate(re.findall(r"[^\W\d_]+|\d+", name)))
