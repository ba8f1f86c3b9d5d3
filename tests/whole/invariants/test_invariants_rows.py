"""Invariant 3: nothing is lost and nothing counted twice, whatever is read again, corrected, withdrawn or broken."""

from __future__ import annotations

from dataclasses import replace

from whole.whole_farm import BOX_FAILURES, LATE_COW, Life, alerts, batch, measured, setup_of

from sentinel.edges.store.alerts import standing_alerts
from sentinel.edges.store.database import fetch
from sentinel.edges.store.exports.feeds import rows_set_aside
from sentinel.edges.store.log import log_entries
from sentinel.flow.model import SetAside, TickKind
from sentinel.flow.reasons import as_said

FAILS = """
    cow  start  box  outcome  modified
    9    05:00  1    failed   05:01
    8    05:10  1    failed   05:11
    7    05:20  1    failed   05:21
"""


def test_a_file_read_twice_changes_nothing() -> None:
    """The second reading adds no row, no correction and no alert; only that it was read stands in the log."""
    life = Life(setup_of(BOX_FAILURES))
    life.at("05:30", batch(FAILS))
    before, raised = measured(life.store), life.alerts
    life.at("05:40", batch(FAILS))

    assert measured(life.store) == before
    assert life.alerts == raised
    assert life.log("read", "correction") == ["05:30 read feed:milkings", "05:40 read feed:milkings"]
    assert [e.entry.body["new"] for e in log_entries(life.store, kind="read")] == [3, 0]


def test_a_corrected_row_replaces_and_what_rested_on_it_is_decided_again() -> None:
    """The failure that was none ends the alert; the log keeps both values."""
    life = Life(setup_of(BOX_FAILURES))
    life.at("05:30", batch(FAILS))
    life.at("06:00", batch("cow  start  box  outcome  modified\n8  05:10  1  milked  05:50", file="milkings_2.csv"))

    assert life.alerts == alerts("""
        rule          subject  raised  over   urgency  value
        box-failures  box:1    05:30   06:00  now      3
    """)
    [correction] = log_entries(life.store, kind="correction")
    assert (
        correction.entry.subject,
        correction.entry.body["old"]["outcome"],
        correction.entry.body["new"]["outcome"],
    ) == (
        "cow:8",
        "failed",
        "milked",
    )


def test_a_correction_can_raise_what_was_missed() -> None:
    """A milking that was none makes the cow late from her one before."""
    life = Life(setup_of(LATE_COW))
    life.at("05:00", batch("cow  start  box  outcome\n7  05:00  1  milked"))
    life.at("15:00", batch("cow  start  box  outcome\n7  14:00  1  milked\n8  15:00  1  milked", file="milkings_2.csv"))
    life.at("20:00", batch("cow  start  box  outcome\n7  14:00  1  failed\n8  20:00  1  milked", file="milkings_3.csv"))

    assert life.alerts == alerts("""
        rule      subject  raised  over  urgency  value
        late-cow  cow:7    20:00   -     round    15
    """)


def test_an_older_version_never_replaces_a_newer_one() -> None:
    """The file with the first version, read again after the correction, changes nothing."""
    life = Life(setup_of(BOX_FAILURES))
    life.at("05:30", batch(FAILS))
    life.at("06:00", batch("cow  start  box  outcome  modified\n8  05:10  1  milked  05:50", file="milkings_2.csv"))
    after = measured(life.store)
    life.at("06:10", batch(FAILS))

    assert measured(life.store) == after
    assert standing_alerts(life.store) == []


def test_what_was_withdrawn_stays_withdrawn() -> None:
    """A row taken back ends its alert and does not come again with the export that first held it."""
    life = Life(setup_of(BOX_FAILURES))
    life.at("05:30", batch(FAILS))
    taken_back = "cow  start  box  outcome  modified  deleted\n8  05:10  1  failed  05:50  yes"
    life.at("06:00", batch(taken_back, file="milkings_2.csv"))
    life.at("06:10", batch(FAILS))

    assert life.log("raised", "over") == ["05:30 raised box-failures box:1", "06:00 over box-failures box:1"]
    assert [r["cow"] for r in fetch(life.store, "select cow from visits where deleted = 1")] == ["8"]


def test_an_alert_whose_every_reading_was_withdrawn_is_over() -> None:
    """Nothing is left that it could rest on, so it does not stand for ever."""
    life = Life(setup_of(BOX_FAILURES))
    life.at("05:30", batch(FAILS))
    taken_back = "cow  start  box  outcome  modified  deleted\n" + "\n".join(
        f"{cow}  05:{minute}0  1  failed  06:00  yes" for cow, minute in (("9", 0), ("8", 1), ("7", 2))
    )
    life.at("06:10", batch(taken_back, file="milkings_2.csv"))

    assert life.log("over") == ["06:10 over box-failures box:1"]


def test_a_withdrawn_visit_no_longer_says_how_far_the_feed_has_come() -> None:
    """An export that only takes a later row back does not make the cow who was not in it late."""
    life = Life(setup_of(LATE_COW))
    life.at("05:30", batch("cow  start  box  outcome\n7  05:00  1  milked"))
    life.at("20:00", batch("cow  start  box  outcome  deleted\n8  19:50  1  milked  yes", file="milkings_2.csv"))

    assert life.log("raised") == []


def test_a_bad_row_is_set_aside_while_the_good_ones_go_on() -> None:
    """File, line, row and reason of the bad one are kept; read clean again, it is no longer listed."""
    life = Life(setup_of(BOX_FAILURES))
    bad = SetAside(3, "8;25:10;1;failed", as_said('"25:10" is no time'))
    life.at("05:30", batch("cow  start  box  outcome\n9  05:00  1  failed", set_aside=(bad,)))
    told = [(r["file"], r["line"], r["reason"]) for r in rows_set_aside(life.store)]
    assert told == [("milkings_1.csv", 3, as_said('"25:10" is no time'))]
    assert len(fetch(life.store, "select * from visits")) == 1

    life.at("06:00", batch("cow  start  box  outcome\n9  05:00  1  failed\n8  05:10  1  failed"))
    assert rows_set_aside(life.store) == []
    assert len(fetch(life.store, "select * from visits")) == 2


def test_rows_set_aside_of_earlier_lines_wait_while_the_file_grows() -> None:
    """Lines appended later do not make the earlier bad row look mended."""
    life = Life(setup_of(BOX_FAILURES))
    bad = SetAside(3, "8;x", as_said("x is no time"))
    life.at("05:30", batch("cow  start  box  outcome\n9  05:00  1  failed", set_aside=(bad,)))
    more = batch("cow  start  box  outcome\n7  05:20  1  failed")
    life.at("05:40", replace(more, continues=True))

    assert [r["line"] for r in rows_set_aside(life.store)] == [3]


def test_a_column_that_an_export_does_not_carry_keeps_what_another_said() -> None:
    """Two exports of the same visit, one with the milk and one with the outcome, make one row."""
    life = Life(setup_of(LATE_COW))
    life.at("05:30", batch("cow  start  box  outcome\n9  05:00  1  milked"))
    life.at("05:40", batch("cow  start  milk_kg  attach_s\n9  05:00  11.2  70", file="yields_1.csv"))

    [row] = fetch(life.store, "select box, outcome, milk_kg, attach_s from visits")
    assert tuple(row) == ("1", "milked", 11.2, 70.0)
    assert life.log("correction") == []


def test_a_restart_in_between_changes_nothing() -> None:
    """What was read before is remembered, and the alert that stands is not raised again."""
    life = Life(setup_of(BOX_FAILURES))
    life.at("05:30", batch(FAILS))
    life.restart()
    life.at("05:50", kind=TickKind.START)
    life.at("06:00", batch(FAILS))

    assert life.log("raised", "over", "again") == ["05:30 raised box-failures box:1"]
