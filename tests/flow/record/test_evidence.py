"""What a rule saw: taken from the rows, so that taking the rows away that it names takes away what it saw."""

from __future__ import annotations

from dataclasses import replace

import pytest
from text_tables import moment, table
from view_farm import RULES

from sentinel.flow.evaluation.known_until import known_by_table
from sentinel.flow.model import State
from sentinel.flow.record.evidence import NOT_LOOKED_AT, Seen, seen
from sentinel.flow.tables import FarmFacts, FeedFacts, Tables

AT = moment("1d06:00")
RULE = {rule.name: rule for rule in RULES}
FARM = FarmFacts(
    boxes=("1", "2"),
    feeds=(FeedFacts("visits", ("visits", "cows"), "hourly", AT, moment("00:00"), quiet_after_s=5400),),
    watched_since=moment("00:00"),
)
VISITS = """
cow  start    box  outcome
217  06:00    1    milked
217  14:00    2    milked
217  15:00    2    refused
9    1d05:50  1    milked
"""
COWS = """
cow  from   group  lactation  calved_on  milkings_allowed  status
217  00:00  -      3          -          3                 milking
9    00:00  -      3          -          3                 dry
"""


def tables(visits: str = VISITS) -> Tables:
    """The rows of a small farm."""
    return Tables(visits=table("visits", visits), cows=table("cows", COWS), farm=FARM)


def saw(rows: Tables, subject: str = "cow:217", at: int = AT) -> Seen:
    """What the rule on late cows saw."""
    return seen(RULE["late-cow"], rows, known_by_table(rows.farm.feeds), at, subject)


def test_it_names_the_reset_and_what_came_after_it() -> None:
    """Since 14:00 she was only turned away: these two rows made the sixteen hours, and one before told nothing."""
    found = saw(tables())

    [visits] = [one for one in found.rows if one.table == "visits"]
    assert found.state == State.HOLDS and found.value == pytest.approx(15.83, abs=0.2)
    assert [key[1] for key in visits.keys] == [moment("14:00"), moment("15:00")]
    assert visits.before == 1
    assert found.in_force is not None
    assert (found.in_force.number, found.in_force.raises, found.in_force.over) == (0, 14.0, True)
    assert dict(found.in_force.says) == {"milkings_allowed": "3.0", "status": "milking"}


def test_without_the_rows_that_it_names_it_sees_something_else() -> None:
    """They are what it rested on: each row taken away changes the value or the rows; others do not."""
    whole = saw(tables())
    without_reset = saw(tables("\n".join(line for line in VISITS.splitlines() if "14:00" not in line)))
    without_other = saw(tables("\n".join(line for line in VISITS.splitlines() if " 06:00" not in line)))

    assert without_reset.value != whole.value
    assert without_other.value == whole.value


def test_a_subject_that_the_rule_is_not_for_or_has_not_heard_of() -> None:
    """A dry cow is left out by the rule's where; of an unknown one the others are named."""
    assert (saw(tables(), "cow:9").state, saw(tables(), "cow:9").why) == (NOT_LOOKED_AT, "left-out")
    unheard = saw(tables(), "cow:1")
    assert (unheard.state, unheard.why, "cow:217" in unheard.others) == (NOT_LOOKED_AT, "unheard", True)


def test_without_any_export_it_cannot_be_told() -> None:
    """A feed that has given nothing leaves it unknown, and says so."""
    feeds = (replace(FARM.feeds[0], known_until=None),)
    none = Tables(farm=replace(FARM, feeds=feeds))

    found = saw(none)

    assert (found.state, found.until, found.rows) == (State.UNKNOWN, None, ())
    assert [feed.known_until for feed in found.feeds] == [None]


def test_what_rests_on_old_data_says_up_to_when_that_comes() -> None:
    """Ten hours after the last row the feed is quiet: what holds is told, and that it rings nobody."""
    found = saw(tables(), at=AT + 36000)

    assert found.state == State.HOLDS
    assert found.old_since == AT and found.feeds[0].quiet_since == AT
