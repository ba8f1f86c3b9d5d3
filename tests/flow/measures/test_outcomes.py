"""How a visit ended where the export does not say: told from the milk."""

from __future__ import annotations

import pandas as pd
from hypothesis import given, settings
from strategies import visit_frames
from text_tables import lines, shown, table

from sentinel.flow.measures import measure_named
from sentinel.flow.measures.outcomes import gave_milk, outcomes
from sentinel.flow.tables import Tables

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


@settings(max_examples=40, deadline=None)
@given(visits=visit_frames(most=30))
def test_kinds_are_those_of_the_yield_share(visits: pd.DataFrame) -> None:
    """What is told is what the measure `yield_share_pct` says of the visit, and never against the export."""
    found = outcomes(visits)
    shares = measure_named("yield_share_pct").compute(Tables(visits=visits), "cow", {"over": 7 * 86400.0}).frame
    kinds = dict(zip(zip(shares["subject"], shares["at"], strict=True), shares["kind"], strict=True))
    words = {"whole": "milked", "interrupted": "incomplete", "failed": "failed", "": None}
    for ended, row in zip(found, visits.to_dict("records"), strict=True):
        if pd.isna(row["outcome"]):
            assert ended == words[kinds[(f"cow:{row['cow']}", row["start"])]]
        else:
            assert ended == row["outcome"]
