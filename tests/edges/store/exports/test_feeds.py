"""What feeds and their files have given is asked for by feed, and may be forgotten to be read again."""

from __future__ import annotations

from text_tables import moment, moment_text
from whole.whole_farm import batch

from sentinel.edges.store import Store
from sentinel.edges.store.exports.feeds import (
    SeenFile,
    feed_state,
    forget_later,
    forget_set_aside,
    newest_by_feed,
    put_seen,
    row_moments_by_feed,
    rows_set_aside,
    seen_files,
    stamps_by_feed,
)
from sentinel.edges.store.exports.ingest import ingest
from sentinel.flow.decide import LATER
from sentinel.flow.model import SetAside
from sentinel.flow.tables import VISITS

ONE = "cow  start  box  outcome\n7  05:00  1  milked\n9  05:10  1  failed"


def test_a_file_read_again_says_anew_what_is_set_aside() -> None:
    """Only its newest reading counts; other files' rows stay listed."""
    store = Store(None)
    ingest(store, batch(ONE, set_aside=(SetAside(3, "a", "x"), SetAside(4, "b", "x"))), moment("06:00"))
    ingest(store, batch("", file="other.csv", set_aside=(SetAside(2, "c", "x"),)), moment("06:00"))
    ingest(store, batch(ONE, set_aside=(SetAside(4, "b", "x"),)), moment("06:00"))

    assert sorted((r["file"], r["line"]) for r in rows_set_aside(store)) == [("milkings_1.csv", 4), ("other.csv", 2)]
    assert forget_set_aside(store) == ["milkings_1.csv", "other.csv"]


def test_the_moments_of_a_feed_are_those_of_its_rows_and_of_what_its_files_promised() -> None:
    """A row that two feeds told counts for both; what lies beyond the moment asked for is left out."""
    store = Store(None)
    ingest(store, batch(ONE, until="05:30"), moment("06:00"))
    ingest(store, batch("cow  start  milk_kg\n9  05:10  2.5", feed="parlour", file="p.csv"), moment("06:10"))

    def told(moments: dict[str, set[int]]) -> dict[str, list[str]]:
        return {feed: [moment_text(at) for at in sorted(found)] for feed, found in moments.items()}

    assert told(stamps_by_feed(store, moment("06:00"))) == {"milkings": ["05:30"]}
    assert told(stamps_by_feed(store, moment("05:29"))) == {}
    assert told(newest_by_feed(store, moment("06:00"))) == {"milkings": ["05:10"], "parlour": ["05:10"]}
    assert told(row_moments_by_feed(store, (VISITS,))) == {"milkings": ["05:00", "05:10"], "parlour": ["05:10"]}
    assert feed_state(store)["parlour"] == (("visits",), moment("05:10"))


def test_what_was_read_of_a_file_is_remembered_until_it_is_to_be_read_again() -> None:
    """One of which a row was dated later than its arrival is forgotten when that time has come, and not before."""
    store = Store(None)
    for name in ("milkings_1.csv", "other.csv"):
        put_seen(store, (name, 10, 20, 30, 10, "abc"))
    ahead = SetAside(3, "7;09:00", LATER, tab="visits", who="7", begin=moment("09:00"), end=moment("09:00"))
    ingest(store, batch(ONE, set_aside=(ahead,)), moment("06:00"))

    assert forget_later(store, moment("08:00")) == []
    assert forget_later(store, moment("09:00")) == ["milkings_1.csv"]
    assert seen_files(store) == [SeenFile("other.csv", 10, 20, 30, 10, "abc")]
