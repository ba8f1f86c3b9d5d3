"""The worklist's notice says what the page's worklist says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from text_tables import moment, moment_text
from view_farm import GRAZING, alert, rows, the_farm, the_rules

from sentinel.flow.language import english
from sentinel.flow.model import Alert
from sentinel.flow.notices import plan
from sentinel.flow.notices.desk import Desk
from sentinel.flow.notices.regular.due import Due, due_in_round
from sentinel.flow.notices.regular.worklist import worklist_notice
from sentinel.flow.schedule.worklist import worklist
from sentinel.flow.settings.people import Person
from sentinel.flow.subjects import BOXES
from sentinel.flow.views.parts.snapshot import Snapshot
from sentinel.flow.views.round import round_page

SENT = moment("1d16:15")
LOG = """
box  at       event
1    1d13:00  filter_changed
2    1d04:00  filter_changed
1    1d07:00  arm_calibrated
2    07:00    arm_calibrated
"""
DONE = """
chore  place  at       person
wire   east   1d06:30  Marit
"""
VISITS = "cow  start    box  outcome\n" + "".join(
    f"{n}    1d0{n}:30  1    milked\n" for n in range(1, 10)
)  # fmt: skip


def test_the_notice_of_a_round_names_the_chores_due_the_wires_and_the_cows_still_out() -> None:
    """The chores of a box in one line, what an alert tells of not twice, what waits since which round."""
    farm = the_farm(GRAZING)
    tables = rows(known="1d16:15", since="00:00", grazing=GRAZING, box_log=LOG, chores=DONE, visits=VISITS)
    alerts = [alert(1, "box:2", "now", rule="filter-overdue"), alert(2, "cow:4")]
    due = due_in_round(alerts, tables, the_rules(), farm, english(farm.zone), SENT)
    desk = Desk((), farm.rounds, farm.worklist_before_s, "UTC", farm.boxes)
    notice = worklist_notice(SENT, desk, Person("Marit"), alerts, {"visits": SENT}, moment("1d16:30"), due)
    assert notice.title == "16:30 round: 4 things to do"
    assert notice.body.splitlines() == [
        "Still open:",
        "Put the box out of operation first, as its manual says, before you step or reach in.",
        "- about box:2, since 08:00",
        "Boxes and milk room:",
        "- Box 2: arm by 09:00, overdue (carried over from the 06:30 round)",
        "Cows:",
        "- about cow:4, since 08:00",
        "Field:",
        "- Move the wire west by Mon 12:30, overdue (carried over from the Mon 06:30 round)",
        "- Not seen at a box since grazing ended, with hours since milking: 1 (14.8 h), 2 (13.8 h), 3 (12.8 h), "
        "4 (11.8 h), 5 (10.8 h), 6 (9.8 h), 7 (8.8 h), 8 (7.8 h) and 1 more",
        "Known until: visits 16:15.",
    ]
    assert notice.alerts == (1, 2)


def test_what_is_done_is_not_in_the_notice_and_a_list_of_chores_alone_says_so() -> None:
    """The page shows it as ticked; the notice is what is left."""
    tables = rows(known="1d16:15", since="00:00", box_log=LOG, chores=DONE + "arm    2      1d16:00  Tomas\n")
    ticked = [
        i.key for part in worklist([], tables, the_rules(), the_farm(), SENT).parts for i in part.items if i.done_at
    ]
    assert ticked == ["chore:filter/1", "chore:arm/2"]
    due = due_in_round([], tables, the_rules(), the_farm(), english("UTC"), SENT)
    assert [line for place, line in due.lines if place == BOXES] == [
        "Box 2: filter by 13:00, overdue (carried over from the 06:30 round)"
    ]
    notice = worklist_notice(SENT, Desk(()), Person("Marit"), [], {}, moment("1d16:30"), due)
    assert notice.title == "16:30 round: 3 things to do"


def test_the_notice_says_the_number_that_the_page_says() -> None:
    """Alerts, chores and wires that are open; not what is answered or done. Cows still out are no things to do."""
    farm = the_farm(GRAZING)
    tables = rows(known="1d16:15", since="00:00", grazing=GRAZING, box_log=LOG, chores=DONE, visits=VISITS)
    answered = {"answered_at": SENT, "answered_by": "Marit"}
    alerts = [alert(1, "box:2", "now", rule="filter-overdue"), alert(2, "cow:4"), alert(3, "cow:5", **answered)]
    page = round_page(Snapshot(SENT, farm, ("Marit",), the_rules(), tables, tuple(alerts)))
    due = due_in_round(alerts, tables, the_rules(), farm, english("UTC"), SENT)
    notice = worklist_notice(SENT, Desk(()), Person("Marit"), alerts, {}, moment("1d16:30"), due)

    order = [item.alert for part in page.list.parts for item in part.items if item.alert]
    assert list(due.order) == order
    assert page.list.waiting == 4
    assert notice.title == "16:30 round: 4 things to do"
    only_out = Due(due.lines[-1:], 0)
    notice = worklist_notice(SENT, Desk(()), Person("Marit"), [], {}, moment("1d16:30"), only_out)
    assert notice.title == "16:30 round: cows still out"


@pytest.mark.parametrize(("person", "count"), [("Anna", 1), ("Ben", 2)])
def test_page_and_notice_of_one_person_say_the_same_number(person: str, count: int) -> None:
    """Two files with rows left out are one thing to do, and only for Ben, who looks after the computer."""
    people = (Person("Anna", worklist=True), Person("Ben", worklist=True, computer=True))
    alerts = (alert(1, "cow:4"), alert(2, "unread:visits/a.csv"), alert(3, "unread:visits/b.csv"))
    tables = rows(known="1d16:15", since="1d16:00", box_log=LOG)
    shown = Snapshot(SENT, the_farm(), ("Anna", "Ben"), the_rules(), tables, alerts, person=person, office=("Ben",))

    def due(listed: Sequence[Alert]) -> Due:
        return due_in_round(listed, tables, the_rules(), the_farm(), english("UTC"), SENT)

    sent = plan(SENT, Desk(people, the_farm().rounds, boxes=the_farm().boxes), alerts, (), SENT - 60, {}, due)
    [notice] = [one for one in sent if one.person == person and one.kind == "worklist"]
    chores = round_page(replace(shown, alerts=())).list.waiting

    assert round_page(shown).list.waiting == count + chores
    assert notice.title == f"16:30 round: {count + chores} thing{'s' * (count + chores > 1)} to do"
    assert ("a.csv" in notice.body) + ("b.csv" in notice.body) == (person == "Ben")


def test_the_notice_names_cows_to_bring_in_the_order_of_the_page() -> None:
    """Most milk first, whoever was late first."""
    milked = "".join(
        f"{cow}  {moment_text(moment(last) - n * 8 * 3600)}  1  milked  {kg}\n"
        for cow, last, kg in (("4", "1d00:00", 4), ("5", "1d01:00", 12))
        for n in range(7, -1, -1)
    )
    tables = rows(known="1d16:15", since="00:00", visits="cow  start  box  outcome  milk_kg\n" + milked)
    alerts = [alert(1, "cow:4"), alert(2, "cow:5", since="1d09:00")]
    due = due_in_round(alerts, tables, the_rules(), the_farm(), english("UTC"), SENT)
    notice = worklist_notice(SENT, Desk(()), Person("Marit"), alerts, {}, moment("1d16:30"), due)

    lines = notice.body.splitlines()
    assert lines.index("- about cow:5, since 09:00") < lines.index("- about cow:4, since 08:00")
