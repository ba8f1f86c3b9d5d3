"""When the worklist goes out: before each round, to whom asked for it, once."""

from __future__ import annotations

from flow.notices.small_days import at, desk, person

from sentinel.flow.model import Notice
from sentinel.flow.notices.regular.list_times import next_worklist, worklist_due

MARIT = person("Marit", worklist=True)
FARM = desk(MARIT)


def test_a_list_is_due_a_quarter_of_an_hour_before_the_round_and_once() -> None:
    """Up to two hours late if nobody looked in time, and not again when it was sent."""
    sent = [Notice(at("06:15"), "Marit", "worklist", "", "", "round")]

    assert worklist_due(at("06:14"), FARM, MARIT, (), at("06:00")) is None
    assert worklist_due(at("06:15"), FARM, MARIT, (), at("06:00")) == at("06:30")
    assert worklist_due(at("08:15"), FARM, MARIT, (), at("06:00")) == at("06:30")
    assert worklist_due(at("08:16"), FARM, MARIT, (), at("06:00")) is None
    assert worklist_due(at("06:20"), FARM, MARIT, sent, at("06:00")) is None


def test_who_did_not_ask_for_a_list_and_who_has_just_begun_is_sent_none() -> None:
    """At the very first tick no list is made up for."""
    assert worklist_due(at("06:15"), FARM, person("Onno"), (), at("06:00")) is None
    assert worklist_due(at("06:15"), FARM, MARIT, (), None) is None


def test_the_next_list_is_the_next_in_the_hours_of_the_person() -> None:
    """Marit takes lists in the morning only."""
    mornings = person("Marit", worklist=True, round="05:00-12:00")

    assert next_worklist(at("06:15"), FARM, MARIT) == at("16:15")
    assert next_worklist(at("06:15"), FARM, mornings) == at("06:15", "2026-05-05")
    assert next_worklist(at("06:15"), FARM, person("Onno")) is None
