"""What could not be read and may have happened: whom it may concern, for how long, and how it is said."""

from __future__ import annotations

from typing import Any

import pytest
from text_tables import moment, moment_text, table

from sentinel.flow.evaluation.doubts import Doubts, doubt_words, doubts_of, may_be_refuted
from sentinel.flow.language import english
from sentinel.flow.measures import measure_named
from sentinel.flow.model import HOUR_S
from sentinel.flow.tables import Tables

LATE, CHORE = measure_named("hours_since_milking"), measure_named("hours_since_chore")
UNREAD = """
feed    file   line  tab      who  box  begins  ends   number
visits  a.csv  4     visits   7    1    05:00   06:00  1
visits  a.csv  9     visits   -    2    07:00   07:00  3
log     b.csv  2     box_log  1    -    06:00   08:00  2
"""


def of_cows() -> Doubts:
    """What may have been milkings."""
    found = doubts_of(LATE, "cow", Tables(unread=table("unread", UNREAD)))
    assert found is not None
    return found


def test_only_what_may_have_been_a_row_of_the_measures_tables_matters() -> None:
    """A line of a box's log was no milking; a rule on quarters or without such rows has no doubts."""
    assert len(of_cows()) == 2
    assert doubts_of(LATE, "cow", Tables()) is None
    assert may_be_refuted(LATE, "cow")
    assert not may_be_refuted(measure_named("conductivity_rise_pct"), "quarter")


def test_a_row_that_names_nobody_may_have_been_anybodys() -> None:
    """Cow 7 is concerned by both rows, cow 8 only by the one without a name, nobody by what lies before her milking."""
    found, at = of_cows(), moment("12:00")

    assert found.about("cow:7", moment("00:00"), at, 14 * HOUR_S)["number"] == 4
    assert found.about("cow:8", moment("00:00"), at, 14 * HOUR_S)["number"] == 3
    assert found.about("cow:8", moment("07:00"), at, 14 * HOUR_S) == {}


def test_a_bound_is_surely_passed_once_it_is_passed_since_the_last_of_the_rows() -> None:
    """Cow 8, over 14 h at 14:00, may have been milked at 07:00: only from 21:00 on she was not."""
    found, bound = of_cows(), 14 * HOUR_S

    assert moment_text(found.past("cow:8", moment("00:00"), moment("14:00:01"), bound)) == "21:00:01"
    assert moment_text(found.past("cow:8", moment("08:00"), moment("22:00:01"), bound)) == "22:00:01"
    assert moment_text(found.past("cow:7", moment("00:00"), moment("04:00"), bound)) == "04:00"


def test_a_chore_is_concerned_by_its_place() -> None:
    """A line of box 1's log may have been any chore at box 1, and none at box 2."""
    found = doubts_of(CHORE, "chore", Tables(unread=table("unread", UNREAD)))

    assert found is not None
    assert found.about("chore:filter/1", moment("00:00"), moment("09:00"), HOUR_S)["table"] == "box_log"
    assert found.about("chore:filter/2", moment("00:00"), moment("09:00"), HOUR_S) == {}


@pytest.mark.parametrize(
    ("doubt", "said"),
    [
        ({"number": 2}, "2 visits could not be read (05:00–06:00)"),
        ({"number": 1, "begins": moment("06:00")}, "1 visit could not be read (06:00)"),
        ({"number": 1, "begins": 0}, "1 visit could not be read (before 06:00)"),
        ({"number": 1, "table": "box_log"}, "1 line of the boxes' logs could not be read (05:00–06:00)"),
        ({"number": 1, "whole": True}, "an export could not be read (05:00–06:00)"),
    ],
)
def test_what_could_not_be_read_is_said_with_its_time(doubt: dict[str, Any], said: str) -> None:
    """As far as the time is known; a whole file has no number of rows."""
    usual = {"begins": moment("05:00"), "ends": moment("06:00"), "whole": False, "table": "visits"}

    assert doubt_words(usual | doubt, moment("12:00"), english()) == said
