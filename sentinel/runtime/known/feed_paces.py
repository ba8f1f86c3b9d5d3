"""The pace of each feed, learned from the files that have come: each is gone through once, in the order of reading."""

from __future__ import annotations

from collections.abc import Mapping

from sentinel.edges.store import Store
from sentinel.edges.store.exports.feeds import files_since
from sentinel.flow.decide import AHEAD_S
from sentinel.flow.evaluation.pace import Arrivals, Pace


class FeedPaces:
    """How often each feed comes, by all that a store has of its files."""

    def __init__(self, store: Store) -> None:
        """Begin with nothing gone through."""
        self._store = store
        self.forget()

    def forget(self) -> None:
        """Go through everything anew: what counted may count no more, or the clock has jumped."""
        self._last = 0
        self._arrivals: dict[str, Arrivals] = {}
        self._paces: dict[str, Pace] = {}

    def at(self, at: int) -> Mapping[str, Pace]:
        """The paces as they are known at a moment; a feed that has hardly come has none."""
        came = set()
        for number, feed, arrived, known in files_since(self._store, self._last):
            self._last = number
            if known <= at + AHEAD_S:  # beyond it lies what came while the clock stood ahead
                self._arrivals.setdefault(feed, Arrivals()).add(arrived, known)
                came.add(feed)
        for feed in came:
            pace = self._arrivals[feed].pace()
            if pace is not None:
                self._paces[feed] = pace
        return dict(self._paces)

    @property
    def lags(self) -> Mapping[str, int]:
        """How old in s what each feed brings is when it comes, as known at the moment asked for last."""
        return {feed: arrivals.lag_s for feed, arrivals in self._arrivals.items()}
