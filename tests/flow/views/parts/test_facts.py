"""The figures behind an alert: in which order they are listed, under which names and units."""

from __future__ import annotations

import math

from sentinel.flow.measures import measure_named
from sentinel.flow.measures.base.facts import OF_EVERY_ALERT
from sentinel.flow.views.parts.facts import Fact, facts_of


def test_facts_are_listed_in_the_measures_order_and_those_of_every_alert_last() -> None:
    """Whatever the order in which they were found."""
    late = measure_named("late_share").facts
    found = facts_of({"bound": 25, "cows": 40, "reading_at": 0, "late": 12}, "%", late)

    assert [fact.name for fact in found] == ["late", "cows", "reading_at", "bound"]
    assert [fact.unit for fact in found] == ["cows", "cows", "", "%"]
    assert {fact.name for fact in OF_EVERY_ALERT} == {"reading_at", "box", "bound"}


def test_a_figure_is_shown_as_what_it_is() -> None:
    """A moment, a number in its unit, a word, a yes or no; under a plain name even if no measure declares it."""
    found = facts_of({"first_at": 900.0, "expected": 2.5, "why_so": "heat", "wiped": True}, "failures")
    by_name = {fact.name: fact for fact in found}

    assert by_name["first_at"] == Fact("first_at", by_name["first_at"].words, 900, "", "moment")
    assert (by_name["expected"].value, by_name["expected"].kind) == (2.5, "number")
    assert by_name["why_so"] == Fact("why_so", "why so", "heat", "", "text")
    assert (by_name["wiped"].value, by_name["wiped"].kind) == (True, "flag")


def test_what_is_not_known_or_said_elsewhere_is_no_figure() -> None:
    """Nor is a list: the page has a place of its own for those that it shows."""
    nothing = {
        "late": None,
        "cows": math.nan,
        "of": math.inf,
        "text": "",
        "parts": [1],
        "cow": "7",
        "value": 3.0,
        "usual": 4,
    }

    assert facts_of(nothing, "%") == ()
