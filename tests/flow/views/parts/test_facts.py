"""The figures behind an alert: in which order they are listed, under which names and units."""

from __future__ import annotations

from sentinel.flow.measures import measure_named
from sentinel.flow.measures.base.facts import OF_EVERY_ALERT
from sentinel.flow.views.parts.facts import facts_of


def test_facts_are_listed_in_the_measures_order_and_those_of_every_alert_last() -> None:
    """Whatever the order in which they were found."""
    late = measure_named("late_share").facts
    found = facts_of({"bound": 25, "cows": 40, "reading_at": 0, "late": 12}, "%", late)

    assert [fact.name for fact in found] == ["late", "cows", "reading_at", "bound"]
    assert [fact.unit for fact in found] == ["cows", "cows", "", "%"]
    assert {fact.name for fact in OF_EVERY_ALERT} == {"reading_at", "box", "bound"}
