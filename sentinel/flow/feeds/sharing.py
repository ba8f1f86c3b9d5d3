"""Which feed maps read a file: the first that is for it, or several that divide its rows by their kind.

Maps divide a file where each takes only rows of certain kinds for all its tables, and no two take the same kind for the
same table. What none of them takes is told by one of them, as it may be a new kind.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sentinel.flow.feeds.feed_map import FeedMap, Only, matches
from sentinel.flow.model import Batch
from sentinel.flow.tables import VISITS


def readers(feeds: Sequence[FeedMap], file_name: str) -> tuple[FeedMap, ...]:
    """The maps that read a file of this name, none if no map is for it; the first tells what could not be read."""
    fitting = [feed for feed in feeds if matches(feed, file_name)]
    if len(fitting) < 2 or not _divides(fitting[0]):
        return tuple(fitting[:1])
    taking: list[FeedMap] = []
    taken: set[tuple[str, str, str]] = set()
    for feed in fitting:
        if _divides(feed) and not _kinds(feed) & taken:
            taking.append(feed)
            taken |= _kinds(feed)
    # what could not be told of a row may be a visit, and is to be weighed as one
    return tuple(sorted(taking, key=lambda feed: VISITS.name not in feed.table_names))


def _divides(feed: FeedMap) -> bool:
    """Whether a map takes only rows of certain kinds, whatever the table."""
    return all(table.only is not None for table in feed.table_maps.values())


def _kinds(feed: FeedMap) -> set[tuple[str, str, str]]:
    """The kinds of rows that a map takes, each with its table and the column that says it."""
    tables = feed.table_maps.items()
    return {(name, table.only.column, word) for name, table in tables if table.only for word in table.only.words}


def divisions(feeds: Sequence[FeedMap]) -> tuple[Only, ...]:
    """By what maps that share a file divide its rows; nothing for a map alone, which need not know all kinds."""
    if len(feeds) < 2:
        return ()
    return tuple(table.only for feed in feeds for table in feed.table_maps.values() if table.only is not None)


def told_once(batches: Sequence[Batch]) -> list[Batch]:
    """What several maps gave of one file, without what each of them could not read as the one before it could not."""
    told: set[tuple[object, ...]] = set()
    once = []
    for batch in batches:
        fresh = tuple(one for one in batch.set_aside if one.kept or (one.line, one.row, one.reason) not in told)
        told |= {(one.line, one.row, one.reason) for one in batch.set_aside if not one.kept}
        once.append(replace(batch, set_aside=fresh))
    return once
