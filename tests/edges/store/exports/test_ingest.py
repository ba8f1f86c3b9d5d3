"""Storing one export: new rows, corrections, withdrawals, and what it says of how far its feed has come."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from text_tables import moment, moment_text
from whole.whole_farm import batch, measured, rows_of

from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.edges.store.exports import ingest as ingesting
from sentinel.edges.store.exports.feeds import feed_state, rows_set_aside
from sentinel.edges.store.exports.ingest import Ingested, ingest
from sentinel.edges.store.log import log_entries
from sentinel.edges.store.rows import all_rows
from sentinel.flow.feeds import read_export
from sentinel.flow.feeds.check_map import load_feed_map
from sentinel.flow.feeds.drafting.draft import draft_feed_map
from sentinel.flow.model import Batch, Export, SetAside
from sentinel.flow.reasons import as_said, from_json
from sentinel.flow.tables import UNREAD, VISITS

X, NO_TIME = as_said("x"), as_said("x is no time")


@pytest.fixture
def store() -> Store:
    """An empty store."""
    return Store(None)


def done(store: Store, one: Batch, when: str = "06:00") -> Ingested:
    """Store an export that became known at a time of day 0."""
    return ingest(store, one, moment(when))


def visits(store: Store, columns: str = "cow outcome milk_kg") -> list[tuple[object, ...]]:
    """Some columns of the visits that stand."""
    return [
        tuple(r)
        for r in fetch(store, f"select {columns.replace(' ', ', ')} from visits where deleted = 0 order by start")
    ]


def known(store: Store) -> dict[str, str | None]:
    """Each feed's known-until."""
    return {name: None if until is None else moment_text(until) for name, (_, until) in feed_state(store).items()}


ONE = "cow  start  box  outcome  milk_kg\n7  05:00  1  milked  11.5\n9  05:10  1  failed  -"


def test_new_rows_are_counted_and_say_whom_they_touch(store: Store) -> None:
    """What must be looked at again: these cows, from the earliest row on."""
    found = done(store, batch(ONE))

    assert (found.rows_read, found.new, found.corrected) == (2, 2, 0)
    assert (found.touched, moment_text(found.earliest or 0)) == ({"visits": {"7", "9"}}, "05:00")


def test_the_same_rows_again_touch_nobody(store: Store) -> None:
    """The second reading is a file of its own without a new row."""
    done(store, batch(ONE))
    found = done(store, batch(ONE), "06:10")

    assert (found.new, found.corrected, found.touched, found.earliest) == (0, 0, {"visits": set()}, None)
    assert fetch(store, "select * from changes") == []


def test_filling_in_what_was_missing_is_no_correction(store: Store) -> None:
    """The row changes and its cow is looked at again, but nothing that was known was wrong."""
    done(store, batch(ONE))
    found = done(store, batch("cow  start  milk_kg\n9  05:10  3.5", file="late.csv"))

    assert (found.corrected, found.touched) == (0, {"visits": {"9"}})
    assert visits(store) == [("7", "milked", 11.5), ("9", "failed", 3.5)]
    assert log_entries(store, kind="correction") == []


def test_a_correction_keeps_old_and_new(store: Store) -> None:
    """In the log by cow and file, and as a change that the past can be told back from."""
    done(store, batch(ONE))
    done(store, batch("cow  start  milk_kg\n7  05:00  1.15", file="mended.csv"), "07:00")

    [logged] = log_entries(store, kind="correction")
    assert (logged.entry.at, logged.entry.subject, dict(logged.entry.body)) == (
        moment("07:00"),
        "cow:7",
        {"file": "mended.csv", "table": "visits", "key": ["7", moment("05:00")], "old": {"milk_kg": 11.5},
         "new": {"milk_kg": 1.15}},
    )  # fmt: skip


def test_a_missing_value_replaces_one_that_was_known_when_the_export_says_so(store: Store) -> None:
    """An export that carries the column and leaves it empty takes the value back."""
    done(store, batch(ONE))
    done(store, batch("cow  start  milk_kg\n7  05:00  -", file="mended.csv"))

    assert visits(store)[0] == ("7", "milked", None)


def test_within_a_file_the_newest_version_wins_and_of_equals_the_later_line(store: Store) -> None:
    """Whatever order the lines are in."""
    done(
        store,
        batch("""
            cow  start  box  outcome  modified
            7    05:00  1    milked   05:30
            7    05:00  1    failed   05:20
            9    05:10  1    failed   05:20
            9    05:10  1    milked   05:20
        """),
    )

    assert visits(store, "cow outcome") == [("7", "milked"), ("9", "milked")]


def test_quarters_are_kept_in_the_row_of_their_visit(store: Store) -> None:
    """Also when the two come in different files, in whichever order."""
    quarters = """
        cow  start  quarter  box  conductivity_mS_cm  milk_kg  kicked_off
        7    05:00  LF       1    5.1                 2.5      no
        7    05:00  RR       1    -                   3        yes
    """
    found = done(store, batch(quarters, "quarters"))
    done(store, batch(ONE, file="milkings_2.csv"))

    assert found.rows_read == 2  # a file of quarters alone has no other rows
    assert visits(store, "cow outcome lf_conductivity_mS_cm lf_milk_kg rr_milk_kg rr_kicked_off")[0] == (
        "7", "milked", 5.1, 2.5, 3.0, 1,
    )  # fmt: skip


def test_a_feed_is_known_until_its_newest_row_or_its_stamp(store: Store) -> None:
    """Whichever is later; an older file never takes it back, and a feed without a row has none."""
    done(store, batch("", file="empty.csv"))
    assert known(store) == {"milkings": None}
    done(store, batch(ONE))
    assert known(store) == {"milkings": "05:10"}
    done(store, batch("cow  start  outcome\n8  04:00  milked", file="old.csv"))
    assert known(store) == {"milkings": "05:10"}
    done(store, batch("", file="empty_2.csv", until="06:00"))
    assert known(store) == {"milkings": "06:00"}


def test_nothing_of_a_file_is_kept_if_storing_it_fails(store: Store) -> None:
    """Neither its rows nor that it was read."""
    one = batch(ONE)
    broken = replace(one, set_aside=(SetAside(4, None, X),))  # type: ignore[arg-type]
    with pytest.raises(Exception, match="NOT NULL"):
        done(store, broken)

    assert (visits(store), fetch(store, "select * from files"), log_entries(store)) == ([], [], [])


def test_one_entry_tells_of_all_rows_set_aside_in_a_file(store: Store) -> None:
    """How many, and the first with its reason; each row is kept with its line."""
    aside = tuple(SetAside(line, f"{line};x", NO_TIME) for line in (3, 5, 8))
    done(store, batch(ONE, set_aside=aside))

    [logged] = log_entries(store, kind="set-aside")
    assert (logged.entry.subject, logged.entry.body["rows"], logged.entry.body["line"]) == (
        "file:milkings/milkings_1.csv", 3, 3,
    )  # fmt: skip
    assert [(r["line"], r["row"], str(r["reason"])) for r in rows_set_aside(store)] == [
        (line, f"{line};x", "x is no time") for line in (3, 5, 8)
    ]


def test_the_first_reason_is_told_though_rows_before_it_are_kept_without_one(store: Store) -> None:
    """Where very many could not be read, those above may be the ones of which no more is kept than that they were."""
    aside = (SetAside(2, "", None), SetAside(3, "x", NO_TIME), SetAside(4, "", None))
    done(store, batch(ONE, set_aside=aside))

    assert [from_json(row["reason"]) for row in fetch(store, "select reason from files")] == [NO_TIME]
    [logged] = log_entries(store, kind="set-aside")
    assert (logged.entry.body["line"], logged.entry.body["reason"]) == (3, "x is no time")


def test_an_outcome_that_could_not_be_read_takes_the_place_of_none_that_could(store: Store) -> None:
    """It is kept where nothing is known, gives way to a word, and is no correction then."""
    done(store, batch("cow  start  outcome\n7  05:00  milked\n9  05:10  unknown"))
    done(store, batch("cow  start  outcome\n7  05:00  unknown\n9  05:10  failed"), "06:10")

    assert visits(store, "cow outcome") == [("7", "milked"), ("9", "failed")]
    assert log_entries(store, kind="correction") == []


def test_what_could_not_be_read_lies_between_what_was_known_and_when_it_was_read(store: Store) -> None:
    """A row whose time is not told by the file happened after all that its feed had given, and before it was read."""
    done(store, batch(ONE))
    aside = (
        SetAside(3, "7;05:2", as_said("cut"), tab="visits", begin=moment("05:15")),
        SetAside(0, "", as_said("no file at all"), tab="visits"),
        SetAside(4, "7;05:20;x", X, kept=True, tab="visits", who="7", begin=moment("05:20"), end=moment("05:20")),
        SetAside(5, "?", as_said("of an older sentinel")),
    )
    done(store, batch("", file="milkings_2.csv", set_aside=aside), "06:00")

    found = all_rows(store, UNREAD).sort_values("line")
    assert [(r.line, moment_text(r.begins), moment_text(r.ends), r.number) for r in found.itertuples()] == [
        (0, "05:10", "06:00", 1), (3, "05:15", "06:00", 1),
    ]  # fmt: skip
    [file] = fetch(store, "select rows_set_aside, rows_in_part from files where file = 'milkings_2.csv'")
    assert tuple(file) == (3, 1)
    done(store, batch("", file="milkings_2.csv"), "06:10")
    assert all_rows(store, UNREAD).empty


cells = st.tuples(
    st.sampled_from("789"),
    st.integers(0, 9),
    st.sampled_from(("milked", "failed", None)),
    st.sampled_from((None, 1, 2)),
)


@settings(max_examples=20, deadline=None, database=None)
@given(st.lists(st.lists(cells, max_size=8), max_size=4))
def test_many_rows_at_once_are_stored_as_few_are(files: list[list[tuple[str, int, str | None, int | None]]]) -> None:
    """From some number of rows on, what stands is fetched as a stretch of time: the same comes of it."""
    stores = []
    for most in (2000, 1):
        store, before = Store(None), ingesting.RANGE_FROM
        ingesting.RANGE_FROM = most
        try:
            for number, rows in enumerate(files):
                text = "\n".join(
                    f"{cow}  05:0{minute}  {outcome or '-'}  {'-' if version is None else f'0{version}:00'}"
                    for cow, minute, outcome, version in rows
                )
                done(store, Batch("m", f"{number}.csv", (rows_of("visits", f"cow  start  outcome  modified\n{text}"),)))
        finally:
            ingesting.RANGE_FROM = before
        stores.append(store)

    assert measured(stores[0]) == measured(stores[1])
    assert [e.hash for e in log_entries(stores[0])] == [e.hash for e in log_entries(stores[1])]


def test_the_highest_flow_of_a_visit_is_drafted_read_and_kept(store: Store) -> None:
    """From the title of its column in a sample to the frame that a measure reads, in kg per minute."""
    titles = "Cow number;Start time;Milking box;Result;Peak flow (g/min)"
    export = Export("visits_1.csv", f"{titles}\n7;2024-06-03 05:00;1;milked;4250\n".encode(), moment("06:00"))
    drafted = draft_feed_map(export, "UTC")
    assert "    peak_flow_kg_min: {column: Peak flow (g/min), unit: g/min}" in drafted

    feed, problems = load_feed_map(drafted, "visits.yaml")
    assert feed is not None and problems == []
    done(store, read_export(feed, export, "UTC"))
    assert list(all_rows(store, VISITS)["peak_flow_kg_min"]) == [4.25]
