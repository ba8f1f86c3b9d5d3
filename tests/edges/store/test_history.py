"""What was read is told again file by file, each row as it was when it was first known."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from text_tables import moment, moment_text
from whole.whole_farm import batch, measured

from sentinel.edges.store import Store
from sentinel.edges.store.exports.feeds import feed_state
from sentinel.edges.store.exports.ingest import ingest
from sentinel.edges.store.history import put_settings, recorded_batches, settings_used
from sentinel.edges.store.log import log_entries
from sentinel.flow.model import Batch, SetAside
from sentinel.flow.reasons import as_said

SHOWN = ("cow", "start", "outcome", "milk_kg", "deleted")


def told(store: Store) -> list[str]:
    """The recorded files as `time file: rows`, a row by the values it says."""
    found = []
    for at, one in recorded_batches(store):
        rows = []
        for part in one.rows:
            for values in part.values:
                row = dict(zip(part.columns, values, strict=True))
                said = [row[name] for name in SHOWN if row.get(name) not in (None, 0)]
                rows.append(" ".join(moment_text(v) if isinstance(v, int) and v > 10 else str(v) for v in said))
        found.append(f"{moment_text(at)} {one.file}: {', '.join(rows)}")
    return found


def test_rows_are_told_in_the_version_that_each_file_brought() -> None:
    """A correction and a withdrawal do not change what the first file said."""
    store = Store(None)
    ingest(store, batch("cow  start  outcome  milk_kg\n7  05:00  milked  11\n9  05:10  failed  -"), moment("06:00"))
    ingest(store, batch("cow  start  milk_kg\n7  05:00  1.1", file="b.csv"), moment("07:00"))
    ingest(
        store, batch("cow  start  milk_kg  deleted\n7  05:00  1.2  no\n9  05:10  -  yes", file="c.csv"), moment("08:00")
    )

    assert told(store) == [
        "06:00 milkings_1.csv: 7 05:00 milked 11.0, 9 05:10 failed",
        "07:00 b.csv: 7 05:00 1.1",
        "08:00 c.csv: 7 05:00 1.2, 9 05:10 1",
    ]


def test_what_a_file_said_besides_its_rows_is_told_too() -> None:
    """Rows set aside, its stamp, how many rows it had, and how far they came although they changed nothing."""
    store = Store(None)
    one = batch(
        "cow  start  outcome\n7  05:00  milked", until="05:30", set_aside=(SetAside(3, "x", as_said("no cow")),)
    )
    ingest(store, one, moment("06:00"))
    ingest(store, Batch("parlour", "p.csv", one.rows), moment("06:10"))
    first, second = (recorded for _, recorded in recorded_batches(store))

    assert (first.set_aside, first.complete_until, first.rows_read) == (one.set_aside, moment("05:30"), 1)
    assert (second.rows, second.rows_read, second.newest) == ((), 1, moment("05:00"))


def test_two_feeds_that_give_the_same_row_are_both_known_as_far_in_a_replay() -> None:
    """The second's row changed nothing, yet it says how far the second has come."""
    store, again = Store(None), Store(None)
    one = batch("cow  start  outcome\n7  05:00  milked")
    for feed in ("milkings", "parlour"):
        ingest(store, Batch(feed, f"{feed}.csv", one.rows), moment("06:00"))
    for at, recorded in recorded_batches(store):
        ingest(again, recorded, at)

    assert {name: until for name, (_, until) in feed_state(again).items()} == {
        "milkings": moment("05:00"),
        "parlour": moment("05:00"),
    }


def test_corrections_are_told_in_the_order_of_the_file() -> None:
    """Also where rows with the same columns changed stand apart in it, the log is the same to the last hash."""
    store, again = Store(None), Store(None)
    ingest(store, batch("cow  start  outcome\n7  05:00  milked\n8  05:00  milked\n9  05:00  milked"), moment("06:00"))
    changed = "cow  start  outcome  milk_kg\n7  05:00  failed  -\n8  05:00  failed  9\n9  05:00  failed  -"
    ingest(store, batch(changed, file="b.csv"), moment("07:00"))
    for at, recorded in recorded_batches(store):
        ingest(again, recorded, at)

    assert [e.entry.subject for e in log_entries(store) if e.entry.kind == "correction"] == ["cow:7", "cow:8", "cow:9"]
    assert [e.hash for e in log_entries(again)] == [e.hash for e in log_entries(store)]


def test_settings_are_kept_once_per_change() -> None:
    """The same texts again add nothing, so that the replay knows from when each was used."""
    store = Store(None)
    for at, text in ((1, "a"), (2, "a"), (3, "b"), (4, "a")):
        put_settings(store, at, {"rules/r.yaml": text})

    assert settings_used(store) == [(1, {"rules/r.yaml": "a"}), (3, {"rules/r.yaml": "b"}), (4, {"rules/r.yaml": "a"})]


rows = st.lists(
    st.tuples(
        st.sampled_from("789"),
        st.integers(0, 3),
        st.sampled_from(("milked", "failed", "-")),
        st.sampled_from(("-", "04:00", "04:30")),
        st.sampled_from(("no", "no", "yes")),
    ),
    max_size=6,
)


@settings(max_examples=25, deadline=None, database=None)
@given(st.lists(st.tuples(rows, st.booleans(), st.sampled_from(("milkings", "milkings", "parlour"))), max_size=5))
def test_a_store_told_again_is_the_same_store(
    files: list[tuple[list[tuple[str, int, str, str, str]], bool, str]],
) -> None:
    """The recorded files, stored anew, give the same rows, the same known-until and, file by file, the same log."""
    store, again = Store(None), Store(None)
    for number, (cells, versions, feed) in enumerate(files):
        head = "cow  start  outcome" + ("  modified  deleted" if versions else "")
        text = [f"{cow}  05:0{m}  {o}" + (f"  {v}  {d}" if versions else "") for cow, m, o, v, d in cells]
        ingest(store, batch("\n".join([head, *text]), feed=feed, file=f"{number}.csv"), moment("06:00") + number)
    for at, recorded in recorded_batches(store):
        ingest(again, recorded, at)

    assert measured(again) == measured(store)
    known = [{feed: until for feed, (_, until) in feed_state(one).items()} for one in (store, again)]
    assert known[0] == known[1]
    assert [e.hash for e in log_entries(again)] == [e.hash for e in log_entries(store)]
