"""The pages of a cow, a quarter, a box and a tank, and finding them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from text_tables import DAY_0, moment, moment_text
from view_farm import AT, alert, rows, the_rules

from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.rulebook import Rule
from sentinel.flow.views.box import box_page
from sentinel.flow.views.charts.failures import counted, teat_map
from sentinel.flow.views.charts.series import series_of
from sentinel.flow.views.cow import cow_page
from sentinel.flow.views.find import find_page
from sentinel.flow.views.parts.late_cows import late_cows
from sentinel.flow.views.quarter import quarter_page
from sentinel.flow.views.tank import tank_page

VISITS = """
cow  start     box  outcome     milk_kg  attach_s  attempts  lf_conductivity_mS_cm  rf_conductivity_mS_cm  lr_conductivity_mS_cm  rr_conductivity_mS_cm  lf_milk_kg  lf_kicked_off
217  -20d08:00  1    milked      9        60        1         4.5                    4.6                    4.4                    4.5                    2.2         0
217  06:00     1    milked      12       60        1         4.5                    4.6                    4.4                    4.5                    3           0
217  16:00     2    failed      -        -         3         -                      -                      -                      -                      -           -
217  1d02:00   2    incomplete  5        80        2         6.0                    4.6                    -                      4.8                    1           1
217  1d05:00   1    milked      11       70        1         6.2                    4.6                    4.4                    4.5                    2.5         0
217  1d07:00   1    refused     -        -         -         -                      -                      -                      -                      -           -
9    1d08:00   1    milked      10       50        1         -                      -                      -                      -                      -           -
"""  # noqa: E501
COWS = f"""
cow  from   group  lactation  calved_on         milkings_allowed  status
217  00:00  older  3          {DAY_0 - 30 * DAY_S}        3                 milking
"""


def test_a_cows_two_weeks_stand_on_one_page() -> None:
    """Who she is, when she was milked last, day by day and visit by visit, the newest first."""
    page = cow_page("217", rows(visits=VISITS, cows=COWS), [], "UTC", AT)
    assert (page.group, page.status, page.lactation, page.days_in_milk, page.milkings_allowed) == (
        "older", "milking", 3, 31, 3.0,
    )  # fmt: skip
    assert (page.last_milked_at, page.since_milking_h) == (moment("1d05:00"), 7.0)
    assert [(moment_text(v.at), v.box, v.outcome, v.milk_kg) for v in page.visits] == [
        ("1d07:00", "1", "refused", None),
        ("1d05:00", "1", "milked", 11.0),
        ("1d02:00", "2", "incomplete", 5.0),
        ("16:00", "2", "failed", None),
        ("06:00", "1", "milked", 12.0),
    ]
    assert [(moment_text(d.begins), d.milkings, d.milk_kg, d.failed, d.refused) for d in page.days[:3]] == [
        ("1d00:00", 2, 16.0, 0, 1), ("00:00", 1, 12.0, 1, 0), ("-1d00:00", 0, 0.0, 0, 0),
    ]  # fmt: skip
    assert len(page.days) == 14
    assert page.visits[1].quarters[0].conductivity == 6.2
    assert page.visits[0].quarters == ()


def test_a_visit_that_was_not_whole_is_shown_as_its_milk_tells() -> None:
    """One of which it could not be read how it ended is shown as that, where its milk does not tell it either."""
    visits = VISITS.replace("failed      -", "not_whole   0").replace("incomplete", "not_whole ")
    visits += "217  1d06:00  1  unknown  -  -  -  -  -  -  -  -  -\n"
    page = cow_page("217", rows(visits=visits), [], "UTC", AT)

    assert [v.outcome for v in page.visits] == ["refused", "unknown", "milked", "incomplete", "failed", "milked"]


def test_hours_since_milking_count_to_where_the_visits_are_known() -> None:
    """A later milking may not have been told; a farm whose feed gave nothing says nothing."""
    assert cow_page("217", rows(known="1d09:00", visits=VISITS), [], "UTC", AT).since_milking_h == 4.0
    tables = rows(visits=VISITS)
    silent = tuple(replace(feed, known_until=None) for feed in tables.farm.feeds)
    page = cow_page("217", replace(tables, farm=replace(tables.farm, feeds=silent)), [], "UTC", AT)
    assert (page.known_until, page.since_milking_h, page.last_milked_at) == (None, None, moment("1d05:00"))


def test_a_cow_shows_her_alerts_and_her_quarters() -> None:
    """Those that stood in the last two weeks, the newest first; none of another cow."""
    alerts = [
        alert(1, "cow:217", since="-30d00:00", over_at=moment("-20d00:00")),
        alert(2, "quarter:217/RR", since="-30d00:00", over_at=moment("-1d00:00")),
        alert(3, "cow:217", since="1d08:00"),
        alert(4, "cow:21", since="1d08:00"),
    ]
    page = cow_page("217", rows(visits=VISITS), alerts, "UTC", AT)
    assert [(mark.alert, mark.ends) for mark in page.marks] == [(3, None), (2, moment("-1d00:00"))]


def test_a_cow_nobody_named_is_not_known() -> None:
    """The page says so instead of showing an empty cow; one on the herd list only is known."""
    assert not cow_page("1", rows(visits=VISITS, cows=COWS), [], "UTC", AT).known
    page = cow_page("217", rows(cows=COWS), [], "UTC", AT)
    assert (page.known, page.visits, page.last_milked_at) == (True, (), None)


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


def test_a_quarter_is_held_against_the_mean_of_the_others() -> None:
    """Milking by milking; a missing quarter is left out of the mean; a cup that came off is marked."""
    page = quarter_page("217", "LF", rows(visits=VISITS), [], AT)
    assert [(moment_text(r.at), r.own, r.others, r.kicked_off, r.milk_kg) for r in page.readings] == [
        ("1d05:00", 6.2, pytest.approx(4.5), False, 2.5),
        ("1d02:00", 6.0, pytest.approx(4.7), True, 1.0),
        ("06:00", 4.5, pytest.approx(4.5), False, 3.0),
    ]


LOG = """
box  at        event           text
1    1d05:00   filter_changed  -
1    -20d05:00  washed          -
1    1d10:00   fault           arm stopped
"""


def test_a_boxs_two_weeks_stand_on_one_page() -> None:
    """Its days, its failures, its chores with when they are due, what it wrote, who did what there."""
    said = """
chore  place  at       person  note
arm    1      1d09:00  Marit   straight
wire   east   1d09:00  Marit   -
"""
    alerts = [alert(1, "box:1"), alert(2, "chore:filter/1"), alert(3, "box:2"), alert(4, "chore:filter/2")]
    page = box_page("1", rows(since="00:00", visits=VISITS, box_log=LOG, chores=said), alerts, the_rules(), "UTC", AT)
    assert [(d.visits, d.milked, d.failed, d.refused, d.milk_kg, d.attach_s) for d in page.days[:2]] == [
        (3, 2, 0, 1, 21.0, 60.0), (1, 1, 0, 0, 12.0, 60.0),
    ]  # fmt: skip
    assert (page.last_visit_at, page.cows_24h) == (moment("1d08:00"), 2)
    assert [(c.chore, c.last_at, c.by, moment_text(c.due_at or 0), c.overdue) for c in page.chores] == [
        ("filter", moment("1d05:00"), "", "1d14:00", False),
        ("arm", moment("1d09:00"), "Marit", "2d11:00", False),
    ]
    assert [(e.words, e.note) for e in page.events] == [("fault", "arm stopped"), ("filter_changed", "")]
    assert [(m.kind, m.alert, m.person) for m in page.marks] == [
        ("chore", None, "Marit"), ("alert", 2, ""), ("alert", 1, ""),
    ]  # fmt: skip


def test_failures_of_a_box_are_listed_with_their_cows() -> None:
    """And a chore never done has no moment, but is due counted from when the farm was watched."""
    page = box_page("2", rows(since="1d00:00", visits=VISITS), [], the_rules(), "UTC", AT)
    assert [(f.cow, moment_text(f.at), f.attempts) for f in page.failures] == [("217", "16:00", 3.0)]
    assert [(c.chore, c.last_at, moment_text(c.due_at or 0), c.overdue) for c in page.chores] == [
        ("filter", None, "1d09:00", True), ("arm", None, "2d02:00", False),
    ]  # fmt: skip
    assert not box_page("7", rows(visits=VISITS), [], the_rules(), "UTC", AT).known


TANK = """
tank  at         temperature_C  litres  cells_k_ml  bacteria_k_ml
1     -200d08:00  4              900     300         9
1     -50d08:00  -              -       210         12
1     1d06:00    4.1            1200    -           -
1     1d07:00    5.2            -       190         -
2     1d07:00    9.0            -       -           -
"""


def test_a_tank_shows_two_weeks_of_readings_and_four_months_of_tests() -> None:
    """The newest first, with the limits of the farm's rules: the limit itself rather than the warning before it."""
    rules = {
        name: Rule(name=name, measure=measure, per="tank", raise_over=bound)
        for name, measure, bound in (
            ("near", "tank_cells_mean_k_ml", 320), ("cells", "tank_cells_mean_k_ml", 400),
            ("warm", "milk_temperature_C", 6),
        )
    }  # fmt: skip
    page = tank_page("1", rows(tank=TANK), [alert(1, "tank:1"), alert(2, "tank:2")], rules, AT)
    assert [(r.temperature_C, r.litres) for r in page.readings] == [(5.2, None), (4.1, 1200.0)]
    assert [(t.cells_k_ml, t.bacteria_k_ml) for t in page.tests] == [(190.0, None), (210.0, 12.0)]
    assert (page.limits, [m.alert for m in page.marks]) == ({"cells": 400, "temperature": 6}, [1])
    assert not tank_page("3", rows(tank=TANK), [], rules, AT).known


def test_numbers_are_found() -> None:
    """The cow of just this number first, then box and tank, then cows that begin with it."""
    visits = (
        "cow  start    box  outcome\n217  1d08:00  1    milked\n21   1d09:00  2    milked\n9    1d09:00  2    milked"
    )
    tables = rows(visits=visits, cows=COWS, tank=TANK)
    assert [link.subject for link in find_page("2", tables).links] == ["box:2", "tank:2", "cow:21", "cow:217"]
    assert find_page("2", tables).exact is None
    found = find_page("21", tables)
    assert found.exact is not None
    assert (found.exact.subject, [link.subject for link in found.links]) == ("cow:21", ["cow:21", "cow:217"])
    assert [link.subject for link in find_page(" Box 2 ", tables).links] == ["box:2"]
    assert [link.subject for link in find_page("Kuh 217", tables, words=[("Kuh", "cow")]).links] == ["cow:217"]
    assert (find_page("", tables).links, find_page("zz", tables).links, find_page("<b>", tables).links) == ((), (), ())
    assert (len(find_page("2", tables, most=1).links), find_page("2", tables, most=1).more) == (1, 3)


def test_late_cows_are_those_of_the_rule_with_their_own_bounds() -> None:
    """One milking a day has 26 h, dry cows have none; time counts to where the visits are known."""
    visits = """
cow  start     box  outcome
1    -1d20:00  1    milked
2    06:00     1    milked
3    1d04:00   1    milked
4    06:00     1    milked
2    1d11:00   1    failed
"""
    cows = """
cow  from   status   milkings_allowed
1    00:00  milking  1
2    00:00  milking  3
3    00:00  milking  3
4    00:00  dry      3
"""
    found = late_cows(rows(visits=visits, cows=cows), the_rules(), AT + HOUR_S)
    assert [(late.cow, late.hours, late.bound_h) for late in found.cows] == [("1", 40.0, 26.0), ("2", 30.0, 14.0)]
    assert found.known_until == AT


def test_failures_are_counted_up_beside_those_expected() -> None:
    """Refused visits are no tries; the chances are those of the measure, small and adding up."""
    found = counted("2", rows(visits=VISITS), moment("00:00"), AT)
    assert [(moment_text(at), failed) for at, failed, _ in found.steps] == [("16:00", 1), ("1d02:00", 1)]
    assert found.cows == ("217",)
    assert 0 < found.steps[0][2] < found.steps[1][2] < 1
    assert counted("7", rows(visits=VISITS), moment("00:00"), AT).steps == ()


def test_teats_are_mapped_with_the_cows_head_up() -> None:
    """Box 2 sees them 10 mm to the cow's left; the export counts across to her right, along to her front."""
    wide = "lf_x_mm  lf_y_mm  rf_x_mm  rf_y_mm  lr_x_mm  lr_y_mm  rr_x_mm  rr_y_mm"
    lines = [f"cow  start  box  outcome  {wide}"]
    for day in range(-9, 0):
        lines += [f"{cow}  {day}d0{cow}:00  1  milked  440  -60  440  60  330  -40  330  40" for cow in (1, 2)]
    lines += [f"{cow}  1d0{cow}:00  2  milked  440  -70  440  50  330  -50  330  30" for cow in (1, 2)]
    found = teat_map("2", rows(visits="\n".join(lines)), moment("1d00:00"), AT)
    told = [(t.quarter, *(round(mm) for mm in (t.along, t.right, t.off_along, t.off_right))) for t in found.teats]
    assert told == [
        ("LF", 55, -60, 0, -10), ("RF", 55, 60, 0, -10), ("LR", -55, -40, 0, -10), ("RR", -55, 40, 0, -10),
    ]  # fmt: skip
    swapped = [line.replace("440", "x").replace("330", "440").replace("x", "330") for line in lines[1:]]
    flipped = "\n".join([lines[0], *swapped])
    turned = teat_map("2", rows(visits=flipped), moment("1d00:00"), AT)
    assert [round(t.along) for t in turned.teats] == [55, 55, -55, -55]
    assert teat_map("2", rows(visits=VISITS), moment("1d00:00"), AT).teats == ()


def test_a_rules_readings_come_with_the_bounds_of_the_subjects_own_class() -> None:
    """What the rule judged, reading by reading."""
    rule = Rule(
        name="cow-failures", measure="failed_attachments", per="cow", unit="failures", raise_over=2, now_over=5,
        options={"within": 86400.0},
    )  # fmt: skip
    found = series_of(rule, "cow:217", rows(visits=VISITS), AT)
    assert found is not None
    assert [(moment_text(at), value) for at, value in found.points] == [
        ("06:00", 0.0), ("16:00", 1.0), ("1d02:00", 1.0), ("1d05:00", 1.0),
    ]  # fmt: skip
    assert (found.bound, found.now_bound, found.unit, found.over) == (2.0, 5.0, "failures", True)
    assert series_of(the_rules()["late-cow"], "cow:217", rows(visits=VISITS), AT) is None
