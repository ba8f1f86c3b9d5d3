"""What a notice of several cows says of each: the milk that waits, and where she was last seen."""

from __future__ import annotations

from flow.schedule.test_milk_waiting import HEAD, milked
from text_tables import moment
from view_farm import rows

from sentinel.flow.language import english
from sentinel.flow.model import DAY_S, Alert
from sentinel.flow.notices.cows_to_bring import about_cows

AT = moment("1d14:00")


def late(number: int, subject: str) -> Alert:
    """A very late cow."""
    return Alert(number, "late-cow", subject, AT, AT, "now", "late")


def test_most_milk_comes_first_with_where_and_how_she_was_last_seen() -> None:
    """A failed visit and a refusal are why she may be late; a later export is not looked into."""
    visits = HEAD + milked("7", 8, 8, "20:00") + milked("9", 8, 12, "20:00")
    visits += "7  1d03:00  2  failed  -\n9  1d05:10  1  refused  -\n"
    tables = rows(known="1d12:00", visits=visits)
    alerts = [late(1, "cow:7"), late(2, "cow:9"), late(3, "cow:11"), late(4, "herd")]
    said = about_cows(alerts, tables, english("UTC"), AT)

    assert sorted(said, key=lambda number: said[number].order) == [2, 1, 3]
    assert said[2].more == "about 24 kg waiting; last at box 1 at 05:10, not admitted"
    assert said[1].more == "about 16 kg waiting; last at box 2 at 03:00, failed"
    assert said[3].more == ""


def test_why_she_comes_seldom_is_said() -> None:
    """As the herd list has it now: one milking a day, or long in milk."""
    calved = {name: moment("00:00") - days * DAY_S for name, days in (("7", 310), ("9", 20), ("11", 301))}
    cows = f"""
cow  group  lactation  calved_on  milkings_allowed  status   from
7    A      2          {calved["7"]}      1                 milking  00:00
9    A      2          {calved["9"]}       3                 milking  00:00
11   A      2          {calved["11"]}      2                 milking  00:00
"""
    tables = rows(known="1d12:00", visits=HEAD + milked("7", 8, 8, "20:00"), cows=cows)
    said = about_cows([late(1, "cow:7"), late(2, "cow:9"), late(3, "cow:11")], tables, english("UTC"), AT)

    assert said[1].more.endswith("; one milking a day; 311 days in milk")
    assert (said[2].more, said[3].more) == ("", "302 days in milk")
