"""What a feed takes back counts as if it had never said it; what others say of the same rows stays."""

from __future__ import annotations

from itertools import permutations

import pytest
from text_tables import moment
from whole.whole_farm import batch

from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.edges.store.exports.feeds import feed_state, newest_by_feed, row_moments_by_feed
from sentinel.edges.store.exports.ingest import ingest
from sentinel.edges.store.exports.taking_back import rows_from, take_back
from sentinel.edges.store.rows import all_rows
from sentinel.flow.again_and_pages import Reread
from sentinel.flow.model import Batch, Rows
from sentinel.flow.tables import VISITS

WORDS = {
    "milkings": "cow  start  outcome  milk_kg  modified\n7  05:00  milked  11  06:00",
    "parlour": "cow  start  outcome  milk_kg\n7  05:00  failed  -",
    "scale": "cow  start  milk_kg  box\n7  05:00  9  2",
}
AT = moment("08:00")


def tell(store: Store, feed: str) -> None:
    """What a feed says of the visit."""
    ingest(store, batch(WORDS[feed], feed=feed, file=f"{feed}.csv"), moment("06:00"))


def back(feed: str, *rows: tuple[str, str]) -> Batch:
    """The feed takes back some visits."""
    values = tuple((cow, moment(start), True) for cow, start in rows)
    parts = (Rows("visits", ("cow", "start", "deleted"), values, (0,) * len(values)),) if rows else ()
    return Batch(feed, "", parts, reread=Reread("feeds/x.yaml", files={f"{feed}.csv": False}))


def standing(store: Store) -> list[dict[str, object]]:
    """The visits that count, without where they came from."""
    return [dict(one) for one in all_rows(store, VISITS).astype(object).to_dict("records")]


@pytest.mark.parametrize("order", list(permutations(WORDS)))
@pytest.mark.parametrize("goes", list(WORDS))
def test_what_stands_is_what_the_others_say(order: tuple[str, ...], goes: str) -> None:
    """Whichever was read first, and whichever goes."""
    told, never = Store(None), Store(None)
    for feed in order:
        tell(told, feed)
        if feed != goes:
            tell(never, feed)
    take_back(told, back(goes, ("7", "05:00")), AT)

    assert repr(standing(told)) == repr(standing(never))
    assert feed_state(told) == feed_state(never)
    assert newest_by_feed(told, AT) == newest_by_feed(never, AT)
    assert row_moments_by_feed(told, (VISITS,)) == row_moments_by_feed(never, (VISITS,))


def test_a_row_that_nobody_tells_is_withdrawn_until_somebody_tells_it_again() -> None:
    """Then it is as that one says, and nothing of before is left in it."""
    store = Store(None)
    tell(store, "milkings")
    done = take_back(store, back("milkings", ("7", "05:00")), AT)
    assert standing(store) == [] and done.touched == {"visits": {"7"}}
    assert feed_state(store) == {}
    tell(store, "scale")

    [row] = standing(store)
    assert (row["milk_kg"], row["box"], row["outcome"]) == (9.0, "2", None)
    assert [tuple(one) for one in fetch(store, "select correction from changes order by id")] == [(1,), (1,)]


def test_a_row_that_the_feed_never_told_stays() -> None:
    """Nor is one made that is not there."""
    store = Store(None)
    tell(store, "milkings")
    before = standing(store)
    done = take_back(store, back("scale", ("7", "05:00"), ("8", "05:00")), AT)

    assert repr(standing(store)) == repr(before)
    assert done.corrected == 0


def test_emptied_columns_are_what_the_others_say() -> None:
    """A column that the feed carries no more takes nothing from another's word."""
    store = Store(None)
    tell(store, "milkings")
    tell(store, "scale")
    part = Rows("visits", ("cow", "start", "milk_kg", "outcome"), (("7", moment("05:00"), None, None),), (0,))
    why = Reread("feeds/milkings.yaml", files={"milkings.csv": True})
    take_back(store, Batch("milkings", "", (part,), reread=why), AT)

    [row] = standing(store)
    assert (row["milk_kg"], row["outcome"], row["box"]) == (9.0, None, "2")


def test_the_log_says_why_and_how_much() -> None:
    """One entry, whatever the number of rows; the rows are in the record of changes."""
    store = Store(None)
    tell(store, "milkings")
    take_back(store, back("milkings", ("7", "05:00")), AT)

    [entry] = fetch(store, "select subject, body from log where kind = 'reread'")
    assert entry["subject"] == "feed:milkings"
    assert '"withdrawn": 1' in entry["body"] and '"because": "feeds/x.yaml"' in entry["body"]
    store.verify()


def test_rows_from_a_file_are_those_that_first_came_with_it() -> None:
    """Of a feed all that it has told; what is withdrawn is not among them."""
    store = Store(None)
    tell(store, "milkings")
    tell(store, "scale")

    assert rows_from(store, "milkings", "milkings.csv") == {"visits": [("7", moment("05:00"))]}
    assert rows_from(store, "scale", "milkings.csv") == {"visits": [("7", moment("05:00"))]}
    assert rows_from(store, "scale") == {"visits": [("7", moment("05:00"))]}
    assert rows_from(store, "scale", "scale.csv") == {}
