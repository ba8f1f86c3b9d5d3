"""How often a feed comes, as a person says or its own files tell, and before when a silence of it is nothing unusual.

Our choice, no source, after what the rule on quiet feeds has for feeds that come every hour (90 min: half of it more)
and every day (26 h: two hours more): a feed that is said to come `every` so often may be half of that late, two hours
at the most. Of one that nobody says anything of, the longest wait of the last four weeks is taken in place of `every`,
without one in twenty and at least one, so that an outage is no pace; where its waits differ it may be late by as much
as the longest is longer than the middle one.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import partial

from sentinel.flow.model import DAY_S, HOUR_S

LATELY_S, MOST = 28 * DAY_S, 500
"""Learned from the waits of the four weeks before the newest file, of 500 at most."""

FEWEST, AT_LEAST_S = 5, DAY_S
"""From five on, that together are a day and a night at least: on one morning a feed shows no pace."""

LEFT_OUT = 20
"""One wait in so many is left out, as an outage."""

GRACE_S = 2 * HOUR_S

WORDS = (("monthly", 28 * DAY_S), ("weekly", 7 * DAY_S), ("daily", DAY_S))
"""What a feed is called that comes so seldom or more so; any other one is hourly."""

LAGS = 9
"""How old what files bring is when they come is told by so many of them (our choice): after an outage, which makes one
of them older than usual, that is soon forgotten."""

NEARLY = 0.95
"""A herd list that comes every 23.9 h is daily."""


@dataclass(frozen=True, slots=True)
class Pace:
    """How often a feed comes (`every_s`), and the silence in s up to which it is not quiet, whatever a rule says."""

    every_s: int
    quiet_least_s: int

    @property
    def word(self) -> str:
        """The word for it that a rule's classes know."""
        return next((word for word, least_s in WORDS if self.every_s >= NEARLY * least_s), "hourly")


def pace_said(every_s: int) -> Pace:
    """The pace of a feed of which a person says how often it comes.

    >>> pace_said(2 * 3600).quiet_least_s / 3600, pace_said(6 * 3600).quiet_least_s / 3600
    (3.0, 8.0)
    """
    return Pace(every_s, every_s + min(every_s // 2, GRACE_S))


@dataclass(slots=True)
class Arrivals:
    """The files of one feed one after the other, and what they tell of its pace.

    A wait is from the moment up to which the feed was known to that at which it became known further. What a file took
    to arrive is part of it, but not where it took more than two waits: then it was read long after, as of a backlog.
    """

    known: int | None = None
    _came: int = 0
    _lags: deque[int] = field(default_factory=partial(deque, maxlen=LAGS))
    _first_lag: int = 0
    _waits: deque[tuple[int, int]] = field(default_factory=deque)
    _sorted: list[int] = field(default_factory=list)

    def add(self, at: int, known: int) -> None:
        """A file came at `at`, with which the feed is known until `known`."""
        if self.known is None:
            self.known, self._came, self._first_lag = known, at, max(0, at - known)
        if known <= self.known:
            return
        wait = known - self.known
        delay = max(0, at - known)
        if 2 * (at - self._came) >= wait:  # it came by itself, and not with others that had waited to be read
            self._lags.append(delay)
        elif not self._lags:
            self._first_lag = delay
        self._came = at
        wait += delay if delay <= 2 * wait else 0
        self.known = known
        self._waits.append((known, wait))
        insort(self._sorted, wait)
        while len(self._waits) > MOST or self._waits[0][0] < known - LATELY_S:
            _, old = self._waits.popleft()
            del self._sorted[bisect_left(self._sorted, old)]

    def pace(self) -> Pace | None:
        """The feed's pace as it is now; None while too few files have come."""
        number = len(self._sorted)
        if number < FEWEST or self._waits[-1][0] - self._waits[0][0] + self._waits[0][1] < AT_LEAST_S:
            return None
        longest = self._sorted[number - 1 - max(1, number // LEFT_OUT)]
        middle = self._sorted[(number - 1) // 2]
        return Pace(middle, longest + max(min(longest // 2, GRACE_S), longest - middle))

    @property
    def waited(self) -> bool:
        """Whether no file has come by itself so far."""
        return not self._lags

    @property
    def lag_s(self) -> int:
        """How old in s what a file brings is when it comes: the longest of the last files, as laboratories rest at
        weekends; before any has come by itself, how old the newest was when all were first read."""
        return max(self._lags, default=self._first_lag)


def paces_at(moments: Iterable[int]) -> list[Pace | None]:
    """The pace as learned at each of the moments at which a feed came, each known until then."""
    arrivals, paces = Arrivals(), []
    for moment in moments:
        arrivals.add(moment, moment)
        paces.append(arrivals.pace())
    return paces


def lags_at(files: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """How old what a feed brings is when it comes, as known from each of its files on: with the moment until which the
    feed is known by then. Of files that were first read together the last one tells.

    >>> lags_at([(100, 10), (100, 60), (190, 150)])
    [(10, 40), (60, 40), (150, 40)]
    """
    arrivals = Arrivals()
    lags: list[tuple[int, int]] = []
    waited = 0
    for at, known in files:
        before = arrivals.known
        arrivals.add(at, known)
        if before is None or known > before:
            lags.append((known, arrivals.lag_s))
            waited += arrivals.waited
    return [(known, lags[waited - 1][1] if n < waited else lag) for n, (known, lag) in enumerate(lags)]
