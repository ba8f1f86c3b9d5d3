"""In which order the exports of a backlog are read: first what decisions rest on, then the rest, a few at a time.

Years of exports may lie in the inbox at a first start, or be put there while it is watched. What happens now must not
wait for them, and what is decided must not rest on holes in the recent past. So of each feed all that may hold rows
that a decision looks back at comes first, oldest first; only then what was written earlier, and between two slices of
that whatever is new. A feed without which the past cannot be told (`inf`), and a file of no feed, is never deferred.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

MOST_DEFERRED = 500
"""One scan hands over so many deferred files at most: a second's work, and so long a new export waits. Our choice."""

SLACK_S = 3 * 86_400
"""So much earlier than the moment up to which decisions look back files are still read first: a file may have been
written some time after its rows. Our choice."""

Due = tuple[int, str, str]
"""A file that is due: when it was written, in ns, its name and its path."""

Kept = Callable[[str], tuple[str, float] | None]
"""Of a file name its feed, and for how many seconds its rows count; None if it belongs to no feed."""


class ReadingOrder:
    """Parts what is due into what is read now and what later.

    It is told once of each file that was seen, and keeps the newest of each feed.
    """

    def __init__(self, kept: Kept) -> None:
        self._kept = kept
        self._newest: dict[str, float] = {}

    def saw(self, name: str, mtime_ns: int) -> None:
        """A file is there, or was read before."""
        feed_and_reach = self._kept(name)
        if feed_and_reach is not None:
            self._newest[feed_and_reach[0]] = max(self._newest.get(feed_and_reach[0], 0.0), mtime_ns / 1e9)

    def parted(self, ready: Sequence[Due]) -> tuple[list[Due], list[Due]]:
        """The files that are due, parted into those read now and those deferred.

        Decisions may go only as far as the feed that lags behind, so they look back from the newest file of that.
        """
        if len(ready) <= MOST_DEFERRED:
            return list(ready), []
        decided_until = min(self._newest.values(), default=0.0) - SLACK_S
        now: list[Due] = []
        deferred: list[Due] = []
        for one in ready:
            feed_and_reach = self._kept(one[1]) if one[0] / 1e9 < decided_until else None
            is_old = feed_and_reach is not None and one[0] / 1e9 < decided_until - feed_and_reach[1]
            (deferred if is_old else now).append(one)
        return now, deferred
