"""Up to when a table is known."""

from __future__ import annotations

from collections.abc import Iterable

from sentinel.flow.tables import FeedFacts


def known_of(table: str, feeds: Iterable[FeedFacts], at: int) -> int | None:
    """The least known-until of the feeds that fill a table, at most `at`; None while one of them has given nothing.

    A table that no feed fills is known at once.
    """
    moments = [feed.known_until for feed in feeds if table in feed.tables]
    known = [moment for moment in moments if moment is not None]
    return None if len(known) < len(moments) else min([at, *known])
