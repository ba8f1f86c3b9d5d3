"""Filters, chores and quiet boxes."""

from __future__ import annotations

from text_tables import lines, moment, shown, table

from sentinel.flow.measures import measure_named
from sentinel.flow.measures.base.shape import Resets
from sentinel.flow.tables import ChoreFacts, FarmFacts, Tables

START = moment("00:00")
FARM = FarmFacts(boxes=("1", "2"), watched_since=START)


def resets(name: str, rows: Tables) -> Resets:
    """The resets of an elapsed measure."""
    measure = measure_named(name)
    found = measure.compute(rows, measure.per[0], {})
    assert isinstance(found, Resets)
    return found


def test_filter_from_log_and_people() -> None:
    """A filter change is known from the box's log, from a person at a box, or from a person for every box."""
    log = table("box_log", "box  at  event\n1  06:00  filter_changed\n1  07:00  washed\n2  08:00  filter_changed")
    chores = table("chores", "chore  place  at\nfilter  2  09:00\nfilter  -  10:00\nwash  1  11:00")

    assert shown(
        resets("hours_since_filter", Tables(box_log=log, chores=chores, farm=FARM)).frame, "subject at"
    ) == lines("""
        subject  at
        box:1    00:00
        box:1    06:00
        box:1    10:00
        box:2    00:00
        box:2    08:00
        box:2    09:00
        box:2    10:00
        """)


def test_filter_known_before_sentinel_watched() -> None:
    """Where a change is known from before, the time is counted from it and not from when sentinel began to watch."""
    log = table("box_log", "box  at  event\n1  -1d20:00  filter_changed")

    assert shown(resets("hours_since_filter", Tables(box_log=log, farm=FARM)).frame, "subject at") == lines("""
        subject  at
        box:1    -1d20:00
        box:2    00:00
        """)


def test_milkings_since_filter() -> None:
    """Milk that went through the filter counts: milked and incomplete visits at the box."""
    visits = table(
        "visits",
        """
        cow  start  box  outcome
        7    06:00  1    milked
        9    06:30  1    incomplete
        10   07:00  1    failed
        10   07:30  1    refused
        7    08:00  2    milked
        9    08:30  -    milked
        """,
    )
    log = table("box_log", "box  at  event\n1  06:15  filter_changed")
    found = resets("milkings_since_filter", Tables(visits=visits, box_log=log, farm=FARM))

    assert shown(found.frame, "subject at") == lines("subject  at\nbox:1  00:00\nbox:1  06:15\nbox:2  00:00")
    assert found.events is not None
    assert shown(found.events, "subject at") == lines("subject  at\nbox:1  06:00\nbox:1  06:30\nbox:2  08:00")


def test_box_quiet() -> None:
    """Any visit ends a box's quiet; a box of the farm never visited is counted from when sentinel began to watch."""
    visits = table("visits", "cow  start  box  outcome\n7  06:00  1  refused\n9  06:00  1  milked\n9  07:00  1  -")

    assert shown(resets("box_quiet_min", Tables(visits=visits, farm=FARM)).frame, "subject at") == lines("""
        subject  at
        box:1    00:00
        box:1    06:00
        box:1    07:00
        box:2    00:00
        """)


def test_chores() -> None:
    """A chore is done by its event at its place or by a person; a record without a place is of every place."""
    farm = FarmFacts(
        chores=(
            ChoreFacts("wash", "1", "washed"),
            ChoreFacts("wash", "2", "washed"),
            ChoreFacts("wire", "east"),
            ChoreFacts("optics", "", "optics_cleaned"),
        ),
        watched_since=START,
    )
    log = table(
        "box_log",
        """
        box  at     event
        1    06:00  washed
        2    07:00  filter_changed
        2    08:00  optics_cleaned
        """,
    )
    chores = table(
        "chores",
        """
        chore   place  at
        wash    2      09:00
        wash    -      10:00
        wire    east   11:00
        wire    west   12:00
        optics  1      13:00
        """,
    )
    found = resets("hours_since_chore", Tables(box_log=log, chores=chores, farm=farm)).frame

    assert shown(found[found["at"] > START], "subject at") == lines("""
        subject          at
        chore:optics     08:00
        chore:optics     13:00
        chore:wash/1     06:00
        chore:wash/1     10:00
        chore:wash/2     09:00
        chore:wash/2     10:00
        chore:wire/east  11:00
        """)
    assert list(found[found["at"] == START]["subject"]) == [
        "chore:optics",
        "chore:wash/1",
        "chore:wash/2",
        "chore:wire/east",
    ]
