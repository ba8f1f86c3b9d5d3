"""Of a row that several feeds tell, what stands follows from their words alone."""

from __future__ import annotations

from itertools import permutations

import pytest
from text_tables import moment
from whole.whole_farm import batch

from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.edges.store.exports.ingest import ingest
from sentinel.edges.store.exports.provenance import older

WORDS = (
    ("milkings", "cow  start  outcome  milk_kg\n7  05:00  milked  11"),
    ("parlour", "cow  start  outcome  milk_kg\n7  05:00  failed  -"),
    ("scale", "cow  start  milk_kg\n7  05:00  9"),
)


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_what_stands_does_not_depend_on_which_feed_was_read_first(order: tuple[int, ...]) -> None:
    """Of equals the feed whose name comes first counts, and an empty cell takes nothing away."""
    store = Store(None)
    for place in order:
        feed, rows = WORDS[place]
        ingest(store, batch(rows, feed=feed, file=f"{feed}.csv"), moment("06:00"))

    [row] = fetch(store, "select outcome, milk_kg, told_by from visits")
    assert tuple(row)[:2] == ("milked", 11.0)
    feeds = fetch(store, "select feed from tellers where id = ? order by feed", (row["told_by"],))
    assert [one["feed"] for one in feeds] == ["milkings", "parlour", "scale"]


def test_a_version_is_older_only_where_both_say_theirs() -> None:
    """A row without a version is taken as it comes."""
    assert [older(1, 2), older(2, 2), older(None, 2), older(1, None)] == [True, False, False, False]
