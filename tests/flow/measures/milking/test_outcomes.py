"""How a visit ended where the export does not say: told from the milk."""

from __future__ import annotations

import pandas as pd
from hypothesis import given, settings
from strategies import visit_frames
from text_tables import lines, shown, table

from sentinel.flow.measures import measure_named
from sentinel.flow.measures.boxes.box_context import Case
from sentinel.flow.measures.milking.outcomes import gave_milk, milkings, outcomes
from sentinel.flow.tables import NOT_WHOLE, UNKNOWN, Tables

SILENT = """
    cow  start    box  outcome  milk_kg
    7    00:00    1    -        8.0
    7    08:00    1    -        8.0
    7    16:00    2    -        8.0
    7    1d00:00  2    -        6.6
    7    1d08:00  2    -        3.0
    7    1d16:00  1    -        0.2
    9    1d16:00  1    -        -
"""
"""Cow 7 gives a kilo an hour, then 0.8, 0.4 and next to nothing of it; the export never says how a visit ended."""


def test_by_the_milk_of_what_she_should_have_given() -> None:
    """From 80 % on a milking is whole, from 20 % on incomplete; without a rate or a milk weight nothing is told."""
    found = outcomes(table("visits", SILENT))

    assert list(found) == [None, None, None, "milked", "incomplete", "failed", None]


def test_what_the_export_says_counts() -> None:
    """Said failed with plenty of milk, or milked with little: as it is said."""
    visits = table("visits", SILENT.replace("-        6.6", "failed   6.6").replace("-        3.0", "milked   3.0"))

    assert list(outcomes(visits))[3:5] == ["failed", "milked"]
    assert list(gave_milk(visits)) == [True, True, True, False, True, True, False]


def test_a_farm_whose_export_never_says_has_no_cow_late_that_was_milked() -> None:
    """Hours since milking run from the last whole milking by the milk, and failures are counted by it.

    Of the first three visits and the one without a weight nobody can tell; she may have been milked.
    """
    rows = Tables(visits=table("visits", SILENT))
    milked = measure_named("hours_since_milking").compute(rows, "cow", {}).frame
    failed = measure_named("failed_attachments").compute(rows, "cow", {"within": 6 * 3600.0}).frame

    assert shown(milked[milked["sure"]], "subject at box") == lines("""
        subject  at       box
        cow:7    1d00:00  2
        """)
    assert shown(milked[~milked["sure"]], "at")[1:] == [["00:00"], ["08:00"], ["16:00"], ["1d16:00"]]
    assert list(failed["failed"]) == [0, 0, 1]


PARTLY = """
    cow  start    box  outcome    milk_kg
    7    00:00    1    milked     8.0
    7    08:00    1    milked     8.0
    7    16:00    1    milked     8.0
    7    1d00:00  1    not_whole  1.5
    7    1d02:00  2    not_whole  4.0
    7    1d03:00  2    not_whole  1.2
    7    1d04:00  1    not_whole  0.0
    7    1d05:00  1    not_whole  -
    7    1d08:00  1    milked     9.0
    7    1d16:00  1    milked     8.0
    7    3d00:00  1    not_whole  0.1
    9    1d00:00  1    not_whole  0.1
    9    1d02:00  1    not_whole  0.0
"""
"""Cow 7 gives a kilo an hour. After 8 h 1.5 of 8 kg are less than 20 %; 2 h later 4 of the 8.5 that are left are more;
then 1.2 of 5.5 are more, too. Two days later, and of cow 9, nothing tells what she should have given."""


def test_a_milking_that_was_not_whole_failed_below_20_percent_of_what_she_should_have_given() -> None:
    """Davis et al. 2005; what she gave since her last whole milking is taken off what she should have given."""
    visits = table("visits", PARTLY)

    assert list(visits.assign(ended=outcomes(visits)).sort_values(["cow", "start"])["ended"]) == [
        *("milked", "milked", "milked"),
        *("failed", "incomplete", "incomplete", "failed", "incomplete"),
        *("milked", "milked"),
        "incomplete",
        *("incomplete", "failed"),
    ]
    assert list(milkings(visits)) == [how != "failed" for how in outcomes(visits)]
    assert list(gave_milk(visits)) == [kg != 0 for kg in visits["milk_kg"]]


def test_a_drop_of_milk_at_a_visit_that_failed_ends_no_interval() -> None:
    """The rate that the next milkings are held against is that of the whole interval, as if it had been said."""
    drop = "7    00:00  1  milked  8.0\n7  08:00  1  milked  8.0\n7  16:00  1  milked  8.0\n7  1d00:00  1  {}  0.2\n"
    drop = "cow  start  box  outcome  milk_kg\n" + drop + "7  1d02:00  1  milked  9.8\n7  1d10:00  1  milked  8.0"
    told, said = (
        measure_named("yield_24h_kg").compute(Tables(visits=table("visits", drop.format(how))), "cow", {}).frame
        for how in ("not_whole", "failed")
    )

    pd.testing.assert_frame_equal(told, said)


def test_a_visit_that_was_not_whole_is_a_try_that_failed_or_not() -> None:
    """And counted so everywhere: failures of a box, shares, the chances of a cow, what went through the filter."""
    rows = Tables(visits=table("visits", PARTLY))
    tries = Case.of(rows).tries
    failed = measure_named("failed_attachments").compute(rows, "cow", {"within": 21 * 86400.0}).frame
    share = measure_named("failed_share_pct").compute(rows, "cow", {"within": 21 * 86400.0, "fewest": 1.0}).frame

    assert (int(tries.failed.sum()), len(tries)) == (3, 13)
    assert list(failed.groupby("subject")["failed"].last()) == [2, 1]
    assert list(share.groupby("subject")["failed"].last()) == [2, 1]


def test_an_outcome_that_could_not_be_read_is_told_from_the_milk() -> None:
    """As one that the export does not say."""
    silent = table("visits", SILENT)
    unread = silent.assign(outcome=UNKNOWN)

    assert list(outcomes(unread)) == list(outcomes(silent))
    assert list(gave_milk(unread)) == list(gave_milk(silent))
    assert list(milkings(unread)) == list(milkings(silent))


@settings(max_examples=40, deadline=None)
@given(visits=visit_frames(most=30))
def test_not_whole_is_incomplete_or_failed_and_never_milked(visits: pd.DataFrame) -> None:
    """Every other word stays; without a weight it is incomplete, without milk failed."""
    for ended, row in zip(outcomes(visits), visits.to_dict("records"), strict=True):
        if row["outcome"] == NOT_WHOLE:
            assert ended in ("incomplete", "failed")
            assert ended == "incomplete" or row["milk_kg"] < 12
            assert row["milk_kg"] != 0 or ended == "failed"
            assert not pd.isna(row["milk_kg"]) or ended == "incomplete"


@settings(max_examples=40, deadline=None)
@given(visits=visit_frames(most=30))
def test_kinds_are_those_of_the_yield_share(visits: pd.DataFrame) -> None:
    """What is told is what the measure `yield_share_pct` says of the visit, and never against the export."""
    found = outcomes(visits)
    shares = measure_named("yield_share_pct").compute(Tables(visits=visits), "cow", {"over": 7 * 86400.0}).frame
    kinds = dict(zip(zip(shares["subject"], shares["at"], strict=True), shares["kind"], strict=True))
    words = {"whole": "milked", "interrupted": "incomplete", "failed": "failed", "": None}
    for ended, row in zip(found, visits.to_dict("records"), strict=True):
        if pd.isna(row["outcome"]) or row["outcome"] == UNKNOWN:
            assert ended == words[kinds[(f"cow:{row['cow']}", row["start"])]]
        elif row["outcome"] != NOT_WHOLE:
            assert ended == row["outcome"]
