"""Up to when the data is complete: by the feeds of a table, by visits under way, by what a measure rests on."""

from __future__ import annotations

from dataclasses import replace

import pytest
from text_tables import moment, moment_text, table

from sentinel.flow.evaluation.known_until import (
    ENDED,
    EVERY_BOX,
    ended_until,
    known_by_box,
    known_by_table,
    known_of,
    known_of_box,
    known_until,
    of_box,
    stood_until,
)
from sentinel.flow.measures import measure_named
from sentinel.flow.tables import BoxFacts, FeedFacts

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


def apart(name: str, **boxes: str) -> FeedFacts:
    """A feed whose files are each of one box: per box its newest row, and up to when files without one tell."""
    facts = []
    for box, known in boxes.items():
        newest, _, silent = known.partition(" ")
        facts.append(BoxFacts(box.removeprefix("b"), moment(newest), moment(silent) if silent else None))
    newest_row = max(one.known_until for one in facts)
    return FeedFacts(name, ("visits",), known_until=newest_row, boxes=tuple(facts))


def by_box(feeds: list[FeedFacts], **stood: str) -> dict[str, str]:
    """What is known of boxes 1 and 2, and of every box, as texts."""
    known = known_by_box(feeds, ("1", "2"), {box.removeprefix("b"): moment(until) for box, until in stood.items()})
    return {name.removeprefix("visits: "): moment_text(until or 0) for name, until in known.items()}


def test_each_box_is_known_by_its_own_files() -> None:
    """Every box is known as far as the one that is behind; a box that no file is of bounds nothing."""
    assert by_box([apart("a", b1="11:00", b2="09:00")]) == {"box 1": "11:00", "box 2": "09:00", "every box": "09:00"}
    assert by_box([apart("a", b1="11:00", b3="08:00")]) == {"box 1": "11:00", "every box": "11:00"}
    assert by_box([apart("a", b1="11:00", b2="09:00 10:50")])["every box"] == "10:50"
    assert by_box([apart("a", b1="11:00", b2="09:00")], b2="10:00")["every box"] == "10:00"


def test_a_file_of_all_boxes_tells_of_each_as_far_as_it_comes() -> None:
    """One that came without a row tells so of the boxes, and not of the cows, who are known as far as rows come."""
    one = replace(feed("a", "visits", "09:00"), silent_until=moment("10:50"))

    assert by_box([one]) == {"box 1": "10:50", "box 2": "10:50", "every box": "09:00"}
    assert by_box([feed("a", "visits", None)]) == {}
    assert by_box([feed("a", "tank", "09:00")]) == {}


def test_a_feed_of_one_box_bounds_that_box_alone() -> None:
    """Two feeds of one box each are as files of one box each; what came without a row tells of the box alone."""
    feeds = [apart("east", b1="11:00 11:30"), apart("west", b2="09:00")]

    assert by_box(feeds) == {"box 1": "11:30", "box 2": "09:00", "every box": "09:00"}
    assert by_box(feeds[:1])["every box"] == "11:00"


def test_what_says_that_a_box_is_quiet_goes_by_that_box_and_who_is_late_by_all() -> None:
    """As does milk that may be missing; what a reading says of a quarter waits for none."""
    known = {"visits": moment("11:00"), EVERY_BOX: moment("09:00"), of_box("1"): moment("10:00")}

    assert known_until(measure_named("hours_since_milking"), known, NOON) == moment("09:00")
    assert known_until(measure_named("yield_drop_pct"), known, NOON) == moment("09:00")
    assert known_until(measure_named("conductivity_rise_pct"), known, NOON) == moment("11:00")
    assert measure_named("box_quiet_min").of_each_box


def test_pages_know_of_the_visits_as_far_as_of_every_box() -> None:
    """A list of late cows that only some boxes' visits bear out would be wrong."""
    assert known_of("visits", [apart("a", b1="11:00", b2="09:00")], NOON) == moment("09:00")
    assert known_of("visits", [apart("a", b1="11:00", b2="09:00 10:50")], NOON) == moment("10:50")


def test_a_box_s_own_page_goes_by_that_box() -> None:
    """Or by all visits where no feed tells of it alone, or none has given anything."""
    assert known_of_box("1", [apart("a", b1="11:00", b2="09:00")], NOON) == moment("11:00")
    assert known_of_box("3", [apart("a", b1="11:00", b2="09:00")], NOON) == moment("09:00")
    assert known_of_box("1", [feed("a", "visits", "13:00")], NOON) == NOON
    assert known_of_box("1", [feed("a", "visits", None)], NOON) is None


@pytest.mark.parametrize(
    ("events", "known", "stood"),
    [
        ("2  09:20  stopped", "11:00", {"2": "11:00"}),
        ("2  09:20  stopped\n2  09:40  started", "11:00", {}),
        ("2  09:20  stopped\n2  11:40  started", "11:00", {"2": "11:00"}),
        ("2  09:31  stopped", "11:00", {}),
        ("2  09:20  fault", "11:00", {}),
        ("2  09:20  stopped", None, {}),
    ],
    ids=["it stands", "it goes again", "as far as the log is known", "a visit may lie between", "a fault", "no log"],
)
def test_a_box_stands_by_its_own_log(events: str, known: str | None, stood: dict[str, str]) -> None:
    """If it stopped no later after its last known visit, at 09:00, than a visit may last."""
    log = table("box_log", f"box  at  event\n{events}")
    visits = known_by_box([apart("a", b1="11:00", b2="09:00")], ("1", "2"), {})
    found = stood_until(log, None if known is None else moment(known), visits, ("1", "2"))

    assert {box: moment_text(until) for box, until in found.items()} == stood
