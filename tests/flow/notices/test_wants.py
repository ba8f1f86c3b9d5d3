"""Who is told what and from when: handed on, reminded, over, put off; told as small days on an invented farm."""

from __future__ import annotations

from dataclasses import replace

import pytest
from flow.notices.small_days import MIN, Words, alert, at, desk, live, person, table

from sentinel.flow.alerts.lifecycle import ENDED


def test_an_alert_goes_at_once_to_the_first_person_and_on_to_the_next_while_nobody_answers() -> None:
    """Each is given the time that stands with their name; when the list ends, it ends."""
    farm = desk(person("Marit"), person("Onno", next_after_s=10 * MIN), person("Wiebe"))

    sent = live(farm, [(at("10:00"), alert(1, at("10:00")))], at("20:00"))

    assert table(sent) == ["10:00 Marit alert 1", "10:20 Onno handed-on 1", "10:30 Wiebe handed-on 1"]
    assert sent[1].body.splitlines()[2] == "Marit was told at 10:00 and has not answered."


def test_an_answer_stops_handing_on_and_reminding_but_not_the_closing_line() -> None:
    """After the answer those who were told before hear who has it, and all of them that it is over."""
    farm = desk(person("Marit"), person("Onno"), person("Wiebe"), rules={"box-failures": Words(15 * MIN, 4)})
    raised = alert(1, at("10:00"))
    answered = replace(raised, answered_at=at("10:32"), answered_by="Onno", finding="optics dirty")
    over = replace(answered, over_at=at("11:00"), over_why=ENDED)

    sent = live(farm, [(at("10:00"), raised), (at("10:32"), answered), (at("11:00"), over)], at("20:00"))

    assert table(sent) == [
        "10:00 Marit alert 1",
        "10:15 Marit reminder 1",
        "10:20 Onno handed-on 1",
        "10:30 Marit reminder 1",
        "10:32 Marit has-it 1",
        "11:00 Marit over 1",
        "11:00 Onno over 1",
    ]
    assert sent[-1].body == "Over at 11:00 (the condition ended): Alert 1. Onno: optics dirty."


def test_who_has_it_is_said_with_the_quarter() -> None:
    """Which one, not only whose: the second person may be standing beside her."""
    farm = desk(person("Marit"), person("Joren"))
    ill = alert(1, at("10:00"), "Cow 400, right rear: high", subject="quarter:400/RR", rule="quarter-conductivity")
    events = [(at("10:00"), ill), (at("10:30"), replace(ill, answered_at=at("10:30"), answered_by="Marit"))]
    [notice] = [one for one in live(farm, events, at("12:00")) if one.kind == "has-it"]

    assert notice.body == "Marit has it: seen (right rear quarter of cow 400, at 10:30)."


def test_a_reminder_comes_at_most_so_often_as_the_rule_says() -> None:
    """The rule's `remind_every` is the time between two, its `remind_most` their number for each person."""
    farm = desk(person("Marit", next_after_s=None), rules={"box-failures": Words(30 * MIN, 2)})

    sent = live(farm, [(at("10:00"), alert(1, at("10:00")))], at("20:00"))

    assert table(sent) == ["10:00 Marit alert 1", "10:30 Marit reminder 1", "11:00 Marit reminder 1"]


def test_one_who_was_never_told_gets_no_closing_line() -> None:
    """An alert that ended before it was told, or was only on a worklist, ends in silence."""
    farm = desk(person("Marit", now="12:00-22:00"))
    raised = alert(1, at("10:00"))
    waits = alert(2, at("10:00"), urgency="round")
    events = [(at("10:00"), raised), (at("10:00"), waits)]
    events += [(at("11:00"), replace(one, over_at=at("11:00"))) for one in (raised, waits)]

    assert live(farm, events, at("23:00")) == []


def test_what_can_wait_is_not_pushed_until_it_cannot() -> None:
    """`round` and `log` are not pushed; an alert that became more pressing is, at that moment."""
    farm = desk(person("Marit"))
    waits = alert(1, at("10:00"), urgency="round")

    sent = live(
        farm,
        [
            (at("10:00"), waits),
            (at("10:00"), alert(2, at("10:00"), urgency="log")),
            (at("12:00"), replace(waits, urgency="now")),
        ],
        at("20:00"),
    )

    assert table(sent) == ["12:00 Marit alert 1"]


def test_a_covered_alert_is_pushed_when_it_is_let_through() -> None:
    """While its cause stands it is held back, reminders too; let through and still standing it is told."""
    farm = desk(person("Marit"), rules={"box-failures": Words(30 * MIN, 9)})
    held = alert(1, at("10:00"), covered_by=("box-quiet box:1",))
    free = replace(held, covered_by=())

    sent = live(farm, [(at("10:00"), held), (at("11:00"), free), (at("11:10"), held), (at("14:00"), free)], at("14:10"))

    assert table(sent) == ["11:00 Marit alert 1", "14:00 Marit reminder 1"]


def test_an_alert_that_comes_back_is_told_again_only_to_those_who_heard_its_end() -> None:
    """Back after its closing line it is news; back before anybody was told of the end it is still the old one."""
    farm = desk(person("Marit", next_after_s=None, now="08:00-12:00"))
    raised = alert(1, at("10:00"))
    over = replace(raised, over_at=at("10:30"))
    back = replace(raised, again=1)
    over_late = replace(back, over_at=at("12:30"))
    back_late = replace(raised, again=2)

    sent = live(
        farm,
        [
            (at("10:00"), raised),
            (at("10:30"), over),
            (at("11:00"), back),
            (at("12:30"), over_late),
            (at("12:40"), back_late),
        ],
        at("10:00", "2026-05-06"),
    )

    assert table(sent) == ["10:00 Marit alert 1", "10:30 Marit over 1", "11:00 Marit alert 1"]
    assert "It had cleared and has come back." in sent[-1].body


def test_only_those_on_duty_are_told_and_an_alert_waits_for_the_first_who_is() -> None:
    """At night Onno is first; when nobody is on duty the alert goes out at the first moment somebody is."""
    night = desk(person("Marit", now="05:00-22:00"), person("Onno", now="22:00-02:00"))

    sent = live(night, [(at("23:00"), alert(1, at("23:00")))], at("12:00", "2026-05-05"))
    alone = live(night, [(at("03:00"), alert(1, at("03:00")))], at("04:59"))
    morning = live(night, [(at("03:00"), alert(1, at("03:00")))], at("05:00"))

    assert table(sent) == ["23:00 Onno alert 1", "5. 05:00 Marit handed-on 1"]
    assert table(alone) == []
    assert table(morning) == ["05:00 Marit alert 1"]


def test_the_closing_line_waits_for_the_hours_of_the_person_but_not_for_ever() -> None:
    """Told in the evening, over at night: the line comes in the morning; more than two days later it is left out."""
    raised = alert(1, at("21:50"))
    events = [(at("21:50"), raised), (at("23:00"), replace(raised, over_at=at("23:00")))]

    daily = live(desk(person("Marit", now="05:00-22:00")), events, at("12:00", "2026-05-12"))
    weekly = live(desk(person("Marit", now="Mo 05:00-22:00")), events, at("12:00", "2026-05-12"))

    assert table(daily) == ["21:50 Marit alert 1", "5. 06:00 Marit over 1"]
    assert table(weekly) == ["21:50 Marit alert 1"]
    assert daily[1].body == "Over at Mon 23:00: Alert 1."


def test_an_alert_that_was_put_off_is_told_again_at_that_time_to_who_put_it_off() -> None:
    """Until then nobody is told or reminded; from then on it goes on as if it had been told first then."""
    farm = desk(person("Marit"), person("Onno"), rules={"box-failures": Words(30 * MIN, 4)})
    raised = alert(1, at("10:00"))
    put_off = replace(raised, lies_with="Marit", lies_from=at("14:00"))
    answered = replace(put_off, answered_at=at("14:25"), answered_by="Onno")

    sent = live(farm, [(at("10:00"), raised), (at("10:05"), put_off), (at("14:25"), answered)], at("20:00"))

    assert table(sent) == [
        "10:00 Marit alert 1",
        "14:00 Marit lies-with 1",
        "14:20 Onno handed-on 1",
        "14:25 Marit has-it 1",
    ]
    assert "put off until now" in sent[1].body


def test_an_alert_that_was_handed_over_is_told_to_that_person_at_once() -> None:
    """And to the next in the list when they do not answer in their time either."""
    farm = desk(person("Marit"), person("Onno"), person("Wiebe"))
    raised = alert(1, at("10:00"))
    handed = replace(raised, lies_with="Wiebe", lies_from=at("10:05"))

    sent = live(farm, [(at("10:00"), raised), (at("10:05"), handed)], at("10:30"))

    assert table(sent) == ["10:00 Marit alert 1", "10:05 Wiebe lies-with 1", "10:25 Marit handed-on 1"]


def test_an_alert_handed_to_somebody_who_is_not_listed_any_more_goes_to_the_first_who_may_be_reached() -> None:
    """Nothing is lost because a name was taken out of people.yaml."""
    farm = desk(person("Marit"), person("Onno"))
    gone = replace(alert(1, at("10:00")), lies_with="Wiebe", lies_from=at("12:00"))

    assert table(live(farm, [(at("10:00"), gone)], at("12:10"))) == ["12:00 Marit alert 1"]


def test_what_joins_a_trouble_that_was_told_rings_nobody() -> None:
    """The arm's offset an hour after the failures: no ring, one reminder of both, one line that all is over."""
    farm = desk(person("Marit", next_after_s=None), rules={"box-failures": Words(90 * MIN, 1)})
    failures = alert(1, at("10:00"), subject="box:2", suspect="arm", incident=1)
    offset = alert(2, at("11:00"), rule="arm-offset", subject="box:2", suspect="arm", incident=1)
    events = [(at("10:00"), failures), (at("11:00"), offset)]
    events += [
        (at("13:00"), replace(failures, over_at=at("13:00"))),
        (at("14:00"), replace(offset, over_at=at("14:00"))),
    ]

    assert table(live(farm, events, at("20:00"))) == [
        "10:00 Marit alert 1",
        "11:30 Marit reminder 1 2",
        "14:00 Marit over 1",
    ]


def test_what_the_answer_does_not_speak_of_rings_once_the_first_is_answered() -> None:
    """She found the optics dirty; the offset that had joined points to the arm and is still to be looked at."""
    farm = desk(person("Marit", next_after_s=None))
    failures = alert(1, at("10:00"), subject="box:2", suspect="arm", incident=1)
    offset = alert(2, at("10:30"), rule="arm-offset", subject="box:2", suspect="arm", incident=1)
    wiped = replace(failures, answered_at=at("11:00"), answered_by="Marit", finding="optics dirty")
    events = [(at("10:00"), failures), (at("10:30"), offset), (at("11:00"), wiped)]

    assert table(live(farm, events, at("20:00"))) == ["10:00 Marit alert 1", "11:00 Marit alert 2"]


def test_a_cow_still_late_when_her_box_goes_again_is_told() -> None:
    """While the box stands still she is a line under it; after that she is the trouble, and rings."""
    farm = desk(person("Marit", next_after_s=None))
    box = alert(1, at("10:00"), rule="box-quiet", subject="box:2", incident=1)
    cow = alert(2, at("10:10"), rule="late-cow", subject="cow:7", incident=1, incident_at="box:2")
    held = replace(cow, covered_by=("box-quiet box:2",))
    events = [
        (at("10:00"), box),
        (at("10:10"), held),
        (at("12:00"), replace(box, over_at=at("12:00"))),
        (at("12:00"), cow),
    ]

    assert table(live(farm, events, at("20:00"))) == ["10:00 Marit alert 1", "12:00 Marit alert 2"]


def test_who_was_told_hears_who_put_it_off_or_had_it_handed_over() -> None:
    """Joren was told as second; then Marit takes it until the afternoon, and he may go on with what he does."""
    farm = desk(person("Marit"), person("Joren"))
    raised = alert(1, at("10:00"))
    events = [(at("10:00"), raised), (at("10:30"), replace(raised, lies_with="Marit", lies_from=at("14:00")))]

    assert table(live(farm, events, at("13:00"))) == [
        "10:00 Marit alert 1",
        "10:20 Joren handed-on 1",
        "10:30 Joren has-it 1",
    ]


def test_the_end_of_what_was_answered_is_a_line_of_the_worklist() -> None:
    """Nothing is left to wait for, so no phone buzzes; whoever gets no list hears it by day."""
    farm = desk(person("Marit", worklist=True), person("Joren"))
    raised = alert(1, at("10:00"))
    answered = replace(raised, answered_at=at("10:30"), answered_by="Marit", finding="optics dirty")
    events = [(at("10:00"), raised), (at("10:30"), answered), (at("12:00"), replace(answered, over_at=at("12:00")))]
    sent = live(farm, events, at("20:00"))

    assert table(sent) == [
        "10:00 Marit alert 1",
        "10:20 Joren handed-on 1",
        "10:30 Joren has-it 1",
        "12:00 Joren over 1",
        "16:15 Marit worklist",
        "16:15 Marit over 1",
    ]
    assert "Over since the last list:\n- Over at 12:00: Alert 1. Marit: optics dirty." in sent[4].body
    assert sent[5].urgency == "log"  # only kept


@pytest.mark.parametrize(("at_night", "told"), [(True, "5. 02:00"), (False, "5. 06:00")])
def test_that_it_is_over_is_told_at_night_only_to_who_asked_for_it(at_night: bool, told: str) -> None:
    """`over_at_night: yes` in people.yaml."""
    farm = desk(person("Marit", next_after_s=None, over_at_night=at_night))
    raised, ended = alert(1, at("23:00")), at("02:00", "2026-05-05")
    sent = live(farm, [(at("23:00"), raised), (ended, replace(raised, over_at=ended))], at("12:00", "2026-05-05"))

    assert table(sent) == ["23:00 Marit alert 1", f"{told} Marit over 1"]
