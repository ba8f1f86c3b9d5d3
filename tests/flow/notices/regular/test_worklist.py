"""The worklist as it is sent before a round: when, to whom, and in which words."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time
from zoneinfo import ZoneInfo

import pytest
from flow.notices.small_days import ZONE, alert, at, clock, desk, live, person, table

from sentinel.flow.notices import plan


def test_the_worklist_comes_before_each_round_in_the_order_the_operator_walks() -> None:
    """What could not wait comes first, then boxes, cows with their quarters, field, office, oldest first."""
    farm = desk(person("Marit", worklist=True, next_after_s=None), person("Onno"))
    early = at("05:00")
    waits = {"urgency": "round"}
    alerts = [
        alert(1, early, "Box 2: 5 failed attachments", since=at("04:40")),
        alert(2, early, "Visits feed is quiet", subject="feed:visits", since=at("04:00"), **waits),
        alert(3, early, "Grazing wire of the east field is due", subject="chore:wire/east", **waits),
        alert(4, early, "Cow 217 not milked for 14 h 30 min", subject="cow:217", since=at("04:30"), **waits),
        alert(5, early, "Cow 31 not milked for 15 h", subject="cow:31", since=at("04:00"), **waits),
        alert(6, early, "Cow 217 LF: conductivity up 18 %", subject="quarter:217/LF", since=at("03:50"), **waits),
        alert(7, early, "Filter of box 3 is due", subject="chore:filter/3", since=at("23:30", "2026-05-03"), **waits),
        alert(8, early, "Cow 9 fails at box 2", subject="cow:9", covered_by=("box-failures box:2",), **waits),
        alert(9, early, "Kept only", urgency="log"),
        replace(
            alert(10, early, "Box 1: no visit for 70 min", since=at("04:20")),
            answered_at=at("05:10"),
            answered_by="Onno",
            finding="gate was shut",
        ),
    ]
    known = {"visits": at("06:10"), "tank": at("18:00", "2026-05-03"), "tests": None}

    sent = [n for n in live(farm, [(early, a) for a in alerts], at("12:00"), known=known) if n.kind == "worklist"]

    assert [(clock(n.at), n.person, n.title) for n in sent] == [("06:15", "Marit", "06:30 round: 8 things to do")]
    assert sent[0].body.splitlines() == [
        "Still open:",
        "Put the box out of operation first, as its manual says, before you step or reach in.",
        "- Box 2: 5 failed attachments, since 04:40",
        "- Box 1: no visit for 70 min, since 04:20 (Onno: gate was shut)",
        "Boxes and milk room:",
        "- Filter of box 3 is due, since Sun 23:30",
        "Cows:",
        "- Cow 217 LF: conductivity up 18 %, since 03:50",
        "- Cow 217 not milked for 14 h 30 min, since 04:30",
        "- Cow 31 not milked for 15 h, since 04:00",
        "- Cow 9 fails at box 2, since 05:00 (with box-failures, box 2)",
        "Field:",
        "- Grazing wire of the east field is due, since 05:00",
        "Office:",
        "- Visits feed is quiet, since 04:00",
        "Known until: tank Sun 18:00, tests not read yet, visits 06:10.",
    ]


def test_a_quiet_farm_gets_one_line_that_says_so_and_how_far_it_is_known() -> None:
    """Silence is not proof: the line names until when each feed is known."""
    farm = desk(person("Marit", worklist=True, round="05:00-12:00"))

    sent = live(farm, [], at("23:00"), extra=[at("03:00")], known={"visits": at("02:50")})

    assert table(sent) == ["06:15 Marit worklist"]
    assert sent[0].title == "06:30 round: nothing waiting"
    assert sent[0].body == "Nothing waiting.\nKnown until: visits 02:50."


@pytest.mark.parametrize(
    ("day", "sends"),
    [("2026-03-28", "06:15"), ("2026-03-29", "06:15"), ("2026-10-25", "06:15"), ("2026-10-26", "06:15")],
)
def test_a_round_is_at_the_farms_own_time_on_the_days_the_clock_changes(day, sends) -> None:
    """06:30 exists once on the day the clock goes forward and on the day it goes back."""
    farm = desk(person("Marit", worklist=True), rounds=(time(6, 30),))

    sent = live(farm, [], at("23:59", day), extra=[at("00:01", day)])

    assert [f"{datetime.fromtimestamp(n.at, ZoneInfo(ZONE)):%Y-%m-%d %H:%M}" for n in sent] == [f"{day} {sends}"]


def test_a_round_in_a_repeated_hour_gets_one_worklist_and_in_a_skipped_hour_still_one() -> None:
    """02:30 comes twice on 25 October and not at all on 29 March: either way one worklist."""
    farm = desk(person("Marit", worklist=True), rounds=(time(2, 30),))

    autumn = live(farm, [], at("23:59", "2026-10-25"), extra=[at("00:01", "2026-10-25")])
    spring = live(farm, [], at("23:59", "2026-03-29"), extra=[at("00:01", "2026-03-29")])

    assert [datetime.fromtimestamp(n.at, ZoneInfo("UTC")).strftime("%H:%M") for n in autumn] == ["00:15"]
    assert [datetime.fromtimestamp(n.at, ZoneInfo("UTC")).strftime("%H:%M") for n in spring] == ["01:15"]


def test_a_worklist_that_was_missed_is_sent_late_but_not_hours_late() -> None:
    """After a stop over 06:15 the list is sent at the start, once; after two hours it is left out."""
    farm = desk(person("Marit", worklist=True))

    soon = plan(at("06:40"), farm, [], [], at("05:00"), {})
    twice = plan(at("06:50"), farm, [], soon, at("05:00"), {})
    late = plan(at("09:00"), farm, [], [], at("05:00"), {})
    first_ever = plan(at("06:40"), farm, [], [], None, {})

    assert table(soon) == ["06:40 Marit worklist"]
    assert (twice, late, first_ever) == ([], [], [])


def test_a_worklist_is_for_those_on_duty_when_it_was_due() -> None:
    """It is sent once even if two ticks fall on its second, and late to one whose hours had begun at 06:15."""
    punctual = desk(person("Marit", worklist=True, round="06:00-06:30"))
    later = desk(person("Marit", worklist=True, round="06:30-22:00"))

    once = plan(at("06:15"), punctual, [], [], at("05:00"), {})

    assert table(once) == ["06:15 Marit worklist"]
    assert plan(at("06:15"), punctual, [], once, at("05:00"), {}) == []
    assert table(plan(at("06:40"), punctual, [], [], at("05:00"), {})) == ["06:40 Marit worklist"]
    assert plan(at("06:40"), later, [], [], at("05:00"), {}) == []
