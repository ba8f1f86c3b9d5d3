"""Up to when the data is complete: by the feeds of a table, by visits under way, by what a measure rests on."""

from __future__ import annotations

import pytest
from text_tables import moment, moment_text, table

from sentinel.flow.evaluation.known_until import ENDED, ended_until, known_by_table, known_of, known_until
from sentinel.flow.measures import measure_named
from sentinel.flow.tables import FeedFacts

NOON = moment("12:00")


def feed(name: str, tables: str, known: str | None) -> FeedFacts:
    """A feed known until a moment, or that has given nothing."""
    return FeedFacts(name, tuple(tables.split()), known_until=None if known is None else moment(known))


def test_a_table_is_known_as_far_as_the_slowest_of_its_feeds() -> None:
    """Whichever comes first in the list; one that has given nothing yet makes it unknown."""
    feeds = [feed("east", "visits", "09:00"), feed("west", "visits cows", "08:00"), feed("log", "box_log", None)]

    assert known_by_table(feeds) == {"visits": moment("08:00"), "cows": moment("08:00"), "box_log": None}
    assert known_by_table([*feeds, feed("new", "visits", None)])["visits"] is None
    assert known_by_table(list(reversed(feeds))) == known_by_table(feeds)


def test_what_no_feed_fills_is_known_at_once_and_nothing_is_known_of_the_future() -> None:
    """A feed's stamp may run ahead of now."""
    assert known_of("tank", [feed("a", "visits", "08:00")], NOON) == NOON
    assert known_of("visits", [feed("a", "visits", "08:00")], NOON) == moment("08:00")
    assert known_of("visits", [feed("a", "visits", "13:00")], NOON) == NOON
    assert known_of("visits", [feed("a", "visits", None)], NOON) is None


def test_a_measure_is_decided_as_far_as_all_that_it_rests_on() -> None:
    """Of chores people's own records tell too, so a box's log that no feed fills does not bound them."""
    late, share = measure_named("hours_since_milking"), measure_named("late_share")
    known = {"visits": moment("08:00"), "cows": moment("06:00")}

    assert known_until(late, known, NOON) == moment("08:00")
    assert known_until(late, known | {ENDED: moment("07:50")}, NOON) == moment("07:50")
    assert known_until(late, {}, NOON) is None
    assert known_until(share, {"visits": None}, NOON) is None
    assert known_until(measure_named("hours_since_chore"), {}, NOON) == NOON


@pytest.mark.parametrize(
    ("visits", "boxes", "ended"),
    [
        ("7  11:40  1  600\n8  11:45  2  600", ("1", "2"), "11:50"),
        ("7  11:40  1  600\n8  11:52  1  600", ("1",), "12:00"),
        ("7  11:40  1  600", ("1", "2"), "11:50"),
        ("7  10:00  1  5000", ("1", "2"), "11:30"),
        ("7  11:40  1  -", ("1",), "12:00"),
    ],
)
def test_a_cow_may_be_in_a_box_since_its_last_visit_ended(visits: str, boxes: tuple[str, ...], ended: str) -> None:
    """But not for longer than visits take here, nor than half an hour; without durations nothing can be told."""
    frame = table("visits", f"cow  start  box  duration_s\n{visits}")

    assert moment_text(ended_until(frame, NOON, boxes, moment("12:05"))) == ended


def test_an_export_that_shows_visits_as_they_begin_hides_none() -> None:
    """Its last row began this very minute, or ends after now."""
    frame = table("visits", "cow  start  box  duration_s\n7  11:40  1  600\n8  11:59:30  1  -")

    assert ended_until(frame, NOON, ("1", "2"), NOON) == NOON
