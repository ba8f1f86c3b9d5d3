"""What the page of one alert says of who was told and who is told next."""

from __future__ import annotations

from dataclasses import replace

from flow.notices.small_days import MIN, Words, alert, at, desk, live, person

from sentinel.flow.model import Alert
from sentinel.flow.notices import told_next
from sentinel.flow.notices.desk import Desk


def said(farm: Desk, one: Alert, moment: str) -> tuple[str, ...]:
    """What is said at a moment of an alert that came at 10:00, after the notices up to then were sent."""
    sent = live(farm, [(at("10:00"), one)], at(moment))
    return told_next(at(moment), farm, one, [one], sent)


RAISED = alert(1, at("10:00"), incident=1)


def test_who_is_told_next_and_when_if_nobody_answers() -> None:
    """Those who were told, with the time, and the next on the list; at the end of it nobody."""
    farm = desk(person("Marit"), person("Onno", next_after_s=None))

    assert said(farm, RAISED, "10:05") == ("Told: Marit 10:00.", "Onno is told at 10:20 if nobody answers.")
    assert said(farm, RAISED, "10:25") == ("Told: Marit 10:00, Onno 10:20.", "Nobody else is told.")


def test_a_reminder_is_said_as_one() -> None:
    """To whoever was told already."""
    farm = desk(person("Marit", next_after_s=None), rules={"box-failures": Words(30 * MIN, 1)})

    assert said(farm, RAISED, "10:05")[1] == "Marit is told again at 10:30 if nobody answers."


def test_outside_their_hours_it_says_when_somebody_is_told() -> None:
    """Before anybody was told."""
    farm = desk(person("Marit", now="12:00-22:00"))

    assert said(farm, RAISED, "10:05") == ("Marit is told at 12:00.",)
    assert told_next(at("12:00"), farm, RAISED, [RAISED], []) == ("Marit is being told now.",)


def test_whoever_has_it_is_named() -> None:
    """Answered, nobody is told; put off, that person is told again then; over, nothing is said."""
    farm = desk(person("Marit"), person("Onno"))
    answered = replace(RAISED, answered_at=at("10:02"), answered_by="Marit")
    put_off = replace(RAISED, lies_with="Marit", lies_from=at("11:00"))

    assert said(farm, answered, "10:05") == ("Marit has it.",)
    assert said(farm, put_off, "10:05") == ("Marit is told at 11:00.",)
    assert said(farm, replace(RAISED, over_at=at("10:04")), "10:05") == ()


def test_what_can_wait_is_on_the_next_list() -> None:
    """With the time at which that is sent; where nobody gets one, or it is for the log, it is listed on the page."""
    waits = replace(RAISED, urgency="round")
    farm = desk(person("Marit", worklist=True), person("Onno", worklist=True))

    assert said(farm, waits, "10:05") == ("It rings no phone; it is on the list sent to Marit, Onno at 16:15.",)
    assert said(desk(person("Marit")), waits, "10:05") == ("Nobody is told; it is only listed here.",)
    assert said(farm, replace(waits, urgency="log"), "10:05") == ("Nobody is told; it is only listed here.",)


def test_what_is_held_back_or_rests_on_old_data_says_so() -> None:
    """Neither rings."""
    farm = desk(person("Marit"))
    held = replace(RAISED, covered_by=("box-quiet box:3",))

    assert said(farm, held, "10:05") == ("Nobody gets a separate notice, as there is already an alert on box 3.",)
    old = replace(RAISED, facts={"old_since": at("02:00")})
    assert said(farm, old, "10:05") == ("Nobody is told, as no newer data has come.",)
