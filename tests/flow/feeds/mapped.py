"""Exports read by a map from their bytes, for the tests of what a map can say."""

from __future__ import annotations

from typing import Any

from sentinel.flow.feeds import FeedMap, load_feed_map, read_export
from sentinel.flow.model import Batch, Export

LATE = 1_900_000_000
"""After all the rows of the tests."""


def feed_of(text: str) -> FeedMap:
    """The map, which must be a good one."""
    feed, problems = load_feed_map(text, "feeds/m.yaml")
    assert problems == [], [str(one) for one in problems]
    assert feed is not None
    return feed


def problems_of(text: str) -> list[str]:
    """The problems of a map as a person sees them."""
    feed, found = load_feed_map(text, "feeds/m.yaml")
    assert (feed is None) == bool(found)
    return [str(one) for one in found]


def batch_of(text: str, lines: str, name: str = "x.csv") -> Batch:
    """What a map gives of some lines in a file of that name."""
    return read_export(feed_of(text), Export(name, lines.encode(), LATE), "UTC")


def cells(batch: Batch, column: str) -> list[Any]:
    """One column of all rows in their order; "-" for a row that stands without it."""
    return [
        row[part.columns.index(column)] if column in part.columns else "-" for part in batch.rows for row in part.values
    ]
