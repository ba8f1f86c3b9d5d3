"""What the files of visits show besides their rows: each is gone through once, in the order of reading."""

from __future__ import annotations

from collections.abc import Mapping

from sentinel.edges.store import Store
from sentinel.edges.store.exports.feeds import files_of_visits_since
from sentinel.flow.decide import AHEAD_S
from sentinel.flow.evaluation.feed_files import FeedFiles, FilesOfFeed
from sentinel.flow.model import DAY_S

TELLS_S = 3 * DAY_S
"""Which box a file is of is told by its visits of the last three days: it is read when it is new."""


class ShownByFiles:
    """What the files of each feed of visits show, by all that a store has of them."""

    def __init__(self, store: Store) -> None:
        """Begin with nothing gone through."""
        self._store = store
        self.forget()

    def forget(self) -> None:
        """Go through everything anew: what counted may count no more, or the clock has jumped."""
        self._last = 0
        self._files: dict[str, FilesOfFeed] = {}
        self._shown: dict[str, FeedFiles] = {}

    def at(self, at: int) -> Mapping[str, FeedFiles]:
        """What is shown at a moment."""
        came = set()
        for number, feed, file in files_of_visits_since(self._store, self._last, TELLS_S):
            self._last = number
            if max(file.at, file.known or 0) <= at + AHEAD_S:  # beyond it lies what came while the clock stood ahead
                self._files.setdefault(feed, FilesOfFeed()).add(file)
                came.add(feed)
        for feed in came:
            self._shown[feed] = self._files[feed].found()
        return dict(self._shown)

    def silences(self, feed: str) -> list[int]:
        """Each moment up to which a file of a feed that brought nothing new showed that there was nothing."""
        return self._files[feed].silences if feed in self._files else []
