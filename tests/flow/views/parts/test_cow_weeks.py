"""Four weeks of one cow."""

from __future__ import annotations

from text_tables import moment, moment_text
from view_farm import AT, VISITS, alert, rows, the_rules

from sentinel.flow.model import DAY_S
from sentinel.flow.rules import Rule
from sentinel.flow.views.parts.cow_weeks import WEEKS_S, cow_weeks, visits_of

UNREAD = """
feed      file   line  tab     who  box  begins   ends     number
milkings  a.csv  3     visits  217  -    1d01:00  1d02:00  1
milkings  a.csv  4     visits  -    -    1d01:00  1d02:00  2
milkings  a.csv  5     visits  9    -    1d01:00  1d02:00  4
milkings  a.csv  6     cows    217  -    1d01:00  1d02:00  8
milkings  b.csv  6     visits  217  -    -40d01:00  -39d02:00  16
"""


def test_a_cow_that_was_let_go_was_not_due_or_not_admitted() -> None:
    """By how soon it was after a milking; one of whom too little is known was not admitted."""
    every_eight = "\n".join(f"7  {day}d{hour:02}:00  1  milked" for day in range(-3, 1) for hour in (2, 10, 18))
    let_go = "7  1d01:00  1  refused\n7  1d05:00  1  refused\n9  1d05:00  1  refused\n"
    text = f"cow  start  box  outcome\n{every_eight}\n{let_go}"
    tables = rows(visits=text)

    assert [v.outcome for v in visits_of("7", tables, AT)][-2:] == ["not_due", "not_admitted"]
    assert [v.outcome for v in visits_of("9", tables, AT)] == ["not_admitted"]
    assert visits_of("7", tables, moment("1d04:00"))[-1].at == moment("1d01:00")


def test_what_happened_is_in_order_and_within_four_weeks() -> None:
    """The visits, and the hours before each milking since the whole one before."""
    tables = rows(visits=VISITS + "217  -40d06:00  1  milked  9  -  -  -  -  -  -  -  -\n")
    weeks = cow_weeks("217", tables, [], {}, AT)

    assert (weeks.begins, weeks.known_until) == (AT - WEEKS_S, AT)
    assert [v.outcome for v in weeks.visits] == ["milked", "milked", "failed", "incomplete", "milked", "not_admitted"]
    assert [(moment_text(one.at), one.hours, one.whole) for one in weeks.intervals[1:]] == [
        ("06:00", 478.0, True),
        ("1d02:00", 20.0, False),
        ("1d05:00", 23.0, True),
    ]
    assert list(weeks.by_outcome) == ["milked", "failed", "incomplete", "not_admitted"]


def test_her_milk_is_told_with_what_the_rule_expects() -> None:
    """30 kg a day for weeks, then half of it: the expected stays while her own falls."""
    days = [f"7  {day}d{hour:02}:00  1  milked  10" for day in range(-20, -1) for hour in (2, 10, 18)]
    ill = [f"7  {day}d{hour:02}:00  1  milked  5" for day in (-1, 0, 1) for hour in (2, 10, 18)]
    weeks = cow_weeks("7", rows(visits="cow  start  box  outcome  milk_kg\n" + "\n".join([*days, *ill])), [], {}, AT)

    assert weeks.yields[-1].kg_a_day == 15.0
    assert (
        27.5 < (weeks.yields[-1].expected_kg or 0) < 30.0
    )  # a day of the illness is in the week before these two days
    assert {one.kg_a_day for one in weeks.yields[5:40]} == {30.0}


def test_bounds_are_those_of_the_rules_in_use() -> None:
    """None where the farm has no such rule."""
    rules = {"yield-drop": Rule(name="yield-drop", measure="yield_drop_pct", per="cow", raise_over=25), **the_rules()}
    weeks = cow_weeks("217", rows(visits=VISITS), [], rules, AT)

    assert (weeks.drop_pct, weeks.late_h) == (25.0, 14.0)
    assert cow_weeks("217", rows(visits=VISITS), [], {}, AT).drop_pct is None


def test_what_is_missing_is_counted() -> None:
    """Milkings that were not weighed, visits that could not be read and may be hers, and from when visits are known."""
    text = VISITS.replace("-20d08:00  1    milked      9 ", "-20d08:00  1    milked      - ")
    weeks = cow_weeks("217", rows(visits=text, unread=UNREAD), [], {}, AT)

    assert (weeks.unweighed, weeks.unread) == (1, 3)
    assert weeks.known_from == moment("-20d08:00")
    nothing = cow_weeks("217", rows(), [], {}, AT)
    assert (nothing.known_from, nothing.visits, nothing.yields) == (None, (), ())


def test_alerts_of_four_weeks_come_with_their_answers() -> None:
    """On her and on her quarters; one that ended before is left out."""
    answered = {"answered_at": moment("1d09:00"), "answered_by": "Marit", "finding": "lame"}
    alerts = [
        alert(1, "cow:217", since="-60d00:00", over_at=AT - WEEKS_S - DAY_S),
        alert(2, "quarter:217/RR", since="-25d00:00", over_at=moment("-20d00:00")),
        alert(3, "cow:217", since="1d08:00", **answered),
    ]
    weeks = cow_weeks("217", rows(visits=VISITS), alerts, {}, AT)

    assert [(mark.alert, mark.answered_at, mark.subject) for mark in weeks.marks] == [
        (3, moment("1d09:00"), "cow:217"),
        (2, None, "quarter:217/RR"),
    ]
