"""What an alert says in one sentence: the rule's own, what makes it less than sure, and what else it stands for."""

from __future__ import annotations

from text_tables import moment

from sentinel.flow.language import english
from sentinel.flow.model import State, Verdict
from sentinel.flow.rules import Rule
from sentinel.flow.sentence import sentence

AT = moment("12:00")
RULE = Rule(name="late-cow", measure="hours_since_milking", per="cow", unit="h", raise_over=14, say="Cow {cow} is late")


def said(others: tuple[str, ...] = (), **facts: object) -> str:
    """The sentence about cow 7 at noon."""
    return sentence(RULE, Verdict("late-cow", "cow:7", State.HOLDS, 15.0, 0, "round", facts), AT, english(), others)


def test_nothing_is_added_to_what_is_sure() -> None:
    """The rule's own sentence, as it stands in its file."""
    assert said() == "Cow 7 is late"


def test_what_could_refute_it_and_how_old_it_is_are_said_with_it() -> None:
    """A visit that could not be read, and data that has stopped."""
    unread = {"number": 1, "begins": moment("09:00"), "ends": moment("10:00"), "whole": False, "table": "visits"}

    assert said(unread=unread) == "Cow 7 is late; 1 visit could not be read (09:00–10:00)"
    assert said(old_since=moment("06:00")) == "Cow 7 is late (as it was at 06:00: no newer data has come)"


def test_feeds_that_stopped_with_its_own_are_named() -> None:
    """One alert stands for all of them."""
    assert said(("tank", "cows")) == "Cow 7 is late. Also quiet: tank, cows"
