"""A box's page."""

from __future__ import annotations

from text_tables import moment, moment_text
from view_farm import AT, VISITS, alert, rows, the_rules

from sentinel.flow.views.box import box_page

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


def test_a_chore_that_the_log_tells_of_from_before_watching_began_has_its_time() -> None:
    """As on the round's list."""
    page = box_page("1", rows(since="1d06:00", visits=VISITS, box_log=LOG), [], the_rules(), "UTC", AT)
    assert [(c.chore, c.last_at) for c in page.chores] == [("filter", moment("1d05:00")), ("arm", None)]


def test_failures_of_a_box_are_listed_with_their_cows() -> None:
    """And a chore never done has no moment, but is due counted from when the farm was watched."""
    page = box_page("2", rows(since="1d00:00", visits=VISITS), [], the_rules(), "UTC", AT)
    assert [(f.cow, moment_text(f.at), f.attempts) for f in page.failures] == [("217", "16:00", 3.0)]
    assert [(c.chore, c.last_at, moment_text(c.due_at or 0), c.overdue) for c in page.chores] == [
        ("filter", None, "1d09:00", True), ("arm", None, "2d02:00", False),
    ]  # fmt: skip
    assert not box_page("7", rows(visits=VISITS), [], the_rules(), "UTC", AT).known
