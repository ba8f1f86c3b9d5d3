"""A cow's page."""

from __future__ import annotations

from dataclasses import replace

from text_tables import moment, moment_text
from view_farm import AT, COWS, VISITS, alert, rows

from sentinel.flow.model import Alert
from sentinel.flow.rules import Rule
from sentinel.flow.views.cow import cow_page


def test_a_cows_four_weeks_stand_on_one_page() -> None:
    """Who she is, when she was milked last, day by day and visit by visit."""
    page = cow_page("217", rows(visits=VISITS, cows=COWS), [], "UTC", AT)
    assert (page.group, page.status, page.lactation, page.days_in_milk, page.milkings_allowed) == (
        "older", "milking", 3, 31, 3.0,
    )  # fmt: skip
    assert (page.last_milked_at, page.since_milking_h) == (moment("1d05:00"), 7.0)
    assert [(moment_text(v.at), v.box, v.outcome, v.milk_kg) for v in reversed(page.weeks.visits)] == [
        ("1d07:00", "1", "not_admitted", None),
        ("1d05:00", "1", "milked", 11.0),
        ("1d02:00", "2", "incomplete", 5.0),
        ("16:00", "2", "failed", None),
        ("06:00", "1", "milked", 12.0),
        ("-20d08:00", "1", "milked", 9.0),
    ]
    assert [(moment_text(d.begins), d.milkings, d.milk_kg, d.failed, d.let_go) for d in page.days[:3]] == [
        ("1d00:00", 2, 16.0, 0, 1), ("00:00", 1, 12.0, 1, 0), ("-1d00:00", 0, 0.0, 0, 0),
    ]  # fmt: skip
    assert len(page.days) == 28
    assert page.udder is not None
    assert (page.udder.at, page.udder.quarters[0].conductivity) == (moment("1d05:00"), 6.2)


def test_a_visit_that_was_not_whole_is_shown_as_its_milk_tells() -> None:
    """One of which it could not be read how it ended is shown as that, where its milk does not tell it either."""
    visits = VISITS.replace("failed      -", "not_whole   0").replace("incomplete", "not_whole ")
    visits += "217  1d06:00  1  unknown  -  -  -  -  -  -  -  -  -\n"
    page = cow_page("217", rows(visits=visits), [], "UTC", AT)

    assert [v.outcome for v in page.weeks.visits] == [
        "milked", "milked", "failed", "incomplete", "milked", "unknown", "not_admitted",
    ]  # fmt: skip


def test_the_milk_that_waits_is_her_kilos_an_hour_times_the_hours() -> None:
    """24 kg a day for 6 h are 6 kg, less what an incomplete milking took; past two days nothing is told."""
    every_eight = "\n".join(f"7  {day}d{hour:02}:00  1  milked  8" for day in range(-5, 1) for hour in (2, 10, 18))
    text = f"cow  start  box  outcome  milk_kg\n{every_eight}\n"

    def waiting(more: str = "", known: str = "1d00:00") -> float | None:
        return cow_page("7", rows(visits=text + more, known=known), [], "UTC", AT).waiting_kg

    assert waiting() == 6.0
    assert waiting("7  23:00  1  incomplete  2") == 4.0
    assert waiting("7  23:00  1  incomplete  -") is None
    assert cow_page("7", rows(visits=text, known="5d00:00"), [], "UTC", moment("5d00:00")).waiting_kg is None
    assert cow_page("8", rows(visits=text), [], "UTC", AT).waiting_kg is None
    dry = (
        f"cow  from  group  lactation  calved_on  milkings_allowed  status\n7  00:00  dry  1  {moment('00:00')}  0  dry"
    )
    assert cow_page("7", rows(visits=text, cows=dry, known="1d00:00"), [], "UTC", AT).waiting_kg is None


def test_what_went_wrong_since_she_was_milked_is_counted() -> None:
    """Not what was before, and not that she was not due."""
    visits = (
        VISITS
        + "217  1d09:00  1  failed  -  -  -  -  -  -  -  -  -\n217  1d10:00  1  failed  -  -  -  -  -  -  -  -  -\n"
    )

    assert cow_page("217", rows(visits=visits), [], "UTC", AT).since_then == {"failed": 2, "not_admitted": 1}


def test_since_when_her_milk_is_withheld_is_told() -> None:
    """From the first list that says so, whatever else changed since."""
    head = "cow  from  group  lactation  calved_on  milkings_allowed  status\n"
    lists = (("-3d00:00", "a", "milking"), ("-1d00:00", "a", "withheld"), ("1d00:00", "b", "withheld"))
    text = head + "\n".join(f"217  {since}  {group}  1  -  3  {status}" for since, group, status in lists)
    page = cow_page("217", rows(visits=VISITS, cows=text), [], "UTC", AT)

    assert (page.group, page.status, page.status_since) == ("b", "withheld", moment("-1d00:00"))


def test_hours_since_milking_count_to_where_the_visits_are_known() -> None:
    """A later milking may not have been told; a farm whose feed gave nothing says nothing."""
    assert cow_page("217", rows(known="1d09:00", visits=VISITS), [], "UTC", AT).since_milking_h == 4.0
    tables = rows(visits=VISITS)
    silent = tuple(replace(feed, known_until=None) for feed in tables.farm.feeds)
    page = cow_page("217", replace(tables, farm=replace(tables.farm, feeds=silent)), [], "UTC", AT)
    assert (page.known_until, page.since_milking_h, page.last_milked_at) == (None, None, moment("1d05:00"))


def test_a_cow_shows_her_alerts_and_her_quarters() -> None:
    """Those that stood in the last four weeks, the newest first; one that stands on a quarter marks it."""
    alerts = [
        alert(1, "cow:217", since="-60d00:00", over_at=moment("-40d00:00")),
        alert(2, "quarter:217/RR", since="-60d00:00", over_at=moment("-20d00:00")),
        alert(3, "cow:217", since="1d08:00"),
        alert(4, "cow:21", since="1d08:00"),
        alert(5, "quarter:217/LF", since="1d07:00"),
    ]
    page = cow_page("217", rows(visits=VISITS), alerts, "UTC", AT)
    assert [(mark.alert, mark.ends) for mark in page.weeks.marks] == [(3, None), (5, None), (2, moment("-20d00:00"))]
    assert [mark.alert for mark in page.standing] == [3, 5]
    assert page.udder is not None
    assert [one.alert for one in page.udder.quarters] == [5, None, None, None]


def test_a_cow_nobody_named_is_not_known() -> None:
    """The page says so instead of showing an empty cow; one on the herd list only is known."""
    assert not cow_page("1", rows(visits=VISITS, cows=COWS), [], "UTC", AT).known
    page = cow_page("217", rows(cows=COWS), [], "UTC", AT)
    assert (page.known, page.weeks.visits, page.last_milked_at, page.udder) == (True, (), None, None)


def test_a_cows_milk_recordings_are_listed() -> None:
    """The newest first; a test to come is not known yet."""
    tests = """
cow  at         cells_k_ml  milk_kg
217  -40d00:00  90          30
217  00:00      410         28
217  3d00:00    1           1
"""
    page = cow_page("217", rows(visits=VISITS, cow_tests=tests), [], "UTC", AT)
    assert [(t.cells_k_ml, t.milk_kg) for t in page.tests] == [(410.0, 28.0), (90.0, 30.0)]


def test_cells_stand_against_the_bound_that_held_at_the_newest_test() -> None:
    """A cow that was dried off since is no longer looked at by the rule, and her last count means what it did."""
    rule = Rule(name="cow-cells", measure="cow_cells_k_ml", per="cow", raise_over=200, where={"status": ("milking",)})
    head = "cow  from  group  lactation  calved_on  milkings_allowed  status\n"
    cows = f"{head}217  -9d00:00  a  1  -  3  milking\n217  00:00  dry  1  -  0  dry"
    tests = "cow  at  cells_k_ml  milk_kg\n217  -3d00:00  410  28"
    page = cow_page("217", rows(visits=VISITS, cows=cows, cow_tests=tests), [], "UTC", AT, {"cow-cells": rule})

    assert (page.status, page.cells_bound_k_ml) == ("dry", 200.0)
    assert cow_page("217", rows(visits=VISITS), [], "UTC", AT).cells_bound_k_ml is None


def test_cells_stand_against_the_limit_of_a_rule_on_recordings() -> None:
    """Which is about no cow by itself; a standing list that she is on leads to it."""
    rule = Rule(name="cow-cells", measure="recording_high_cows", per="recording", raise_over=0, options={"limit": 150})
    row = {"cow": "217", "state": "new", "said": "Cow 217: 410 k/ml (new)"}
    alert = Alert(3, "cow-cells", "recording:2024-05-31", AT, AT, "round", "Cell counts", facts={"listed": [row]})
    tests = "cow  at  cells_k_ml  milk_kg\n217  -3d00:00  410  28"
    page = cow_page("217", rows(visits=VISITS, cow_tests=tests), [], "UTC", AT, {"cow-cells": rule}, [alert])

    assert page.cells_bound_k_ml == 150
    assert [(one.alert, one.words) for one in page.on_lists] == [(3, "Cow 217: 410 k/ml (new)")]
    assert page.standing == ()
