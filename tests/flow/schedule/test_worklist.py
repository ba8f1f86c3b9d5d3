"""The round's worklist: what is due, what is ticked, what is carried over, and that it agrees with its notice."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from text_tables import moment, moment_text, table
from view_farm import AT, GRAZING, alert, rows, the_farm, the_rules

from sentinel.flow.model import DAY_S, HOUR_S, Alert
from sentinel.flow.notices.desk import Desk
from sentinel.flow.notices.regular.worklist import worklist_notice
from sentinel.flow.schedule.worklist import Item, Worklist, worklist
from sentinel.flow.settings.people import Person
from sentinel.flow.tables import CHORES, Tables

RECENT = """
box  at       event
1    1d05:00  filter_changed
2    1d11:45  filter_changed
1    1d06:40  arm_calibrated
2    07:00    arm_calibrated
"""
WIRES = """
chore  place  at       person
wire   east   1d06:30  Marit
wire   west   1d10:00  Marit
"""


def the_list(tables: Tables, *alerts: Alert, at: int = AT, grazing: str = "") -> Worklist:
    """The list shown at a moment, of the farm of these tables."""
    return worklist(alerts, tables, the_rules(), the_farm(grazing), at)


def items(found: Worklist) -> list[Item]:
    """Its items in order."""
    return [item for part in found.parts for item in part.items]


def shown(found: Worklist) -> list[tuple[str, ...]]:
    """Its items as (part, key, state, due, carried over from)."""
    return [
        (i.part, i.key, i.state, *("" if x is None else moment_text(x) for x in (i.due_at, i.carried_from)))
        for i in items(found)
    ]


def test_chores_are_due_that_would_be_overdue_before_the_following_round() -> None:
    """Filter and arm by box; what was done since the list opened is ticked, by the box's own log too."""
    found = the_list(rows(since="00:00", box_log=RECENT, chores=WIRES))
    assert shown(found) == [
        ("boxes", "chore:filter/1", "open", "1d14:00", "1d06:30"),
        ("boxes", "chore:filter/2", "done", "09:00", ""),
        ("boxes", "chore:arm/2", "open", "1d09:00", "1d06:30"),
        ("field", "chore:wire/east", "open", "1d21:30", ""),
        ("field", "chore:wire/west", "open", "2d01:00", ""),
    ]
    done = items(found)[1]
    assert (done.done_at, done.done_by, done.since) == (moment("1d11:45"), "", None)
    assert (found.waiting, found.carried) == (4, 2)
    assert [i.overdue for i in items(found)] == [False, False, True, False, False]


def test_a_chore_is_ticked_by_whom_and_when() -> None:
    """Also one that was said with a note."""
    said = WIRES + "wire   east   1d11:50  Tomas\n"
    east = next(
        i for i in items(the_list(rows(since="00:00", box_log=RECENT, chores=said))) if i.key == "chore:wire/east"
    )
    assert (east.state, east.done_by, moment_text(east.done_at or 0), east.carried_from) == (
        "done", "Tomas", "1d11:50", None,
    )  # fmt: skip


def test_a_chore_not_done_is_carried_over_from_the_first_round_that_listed_it() -> None:
    """Two rounds later it still names that one; once done it says so no more."""
    tables = rows(since="00:00", box_log=RECENT.replace("1d06:40", "06:40"))
    arm = [
        next(i.carried_from for i in items(the_list(tables, at=moment(at))) if i.key == "chore:arm/1")
        for at in ("1d06:30", "1d16:30", "2d06:30")
    ]
    assert arm == [None, moment("1d06:30"), moment("1d06:30")]


def test_what_the_boxes_log_records_is_overdue_only_as_far_as_it_is_known() -> None:
    """The log stops at 08:00, so at noon nobody can say that the arm was not calibrated since."""
    arm = next(
        i for i in items(the_list(rows(known="1d08:00", since="00:00", box_log=RECENT))) if i.key == "chore:arm/2"
    )
    assert (arm.state, arm.overdue) == ("open", False)


def test_a_chore_and_its_alert_are_one_item() -> None:
    """With the alert's words and place in the list, and ticked by the chore; an answer ticks it as well."""
    tables = rows(since="00:00", box_log=RECENT, chores=WIRES)
    late = alert(4, "box:1", "now", since="1d07:00", rule="filter-overdue")
    [first, *rest] = items(the_list(tables, late))
    assert (first.part, first.key, first.chore, first.chore_place, first.alert) == (
        "pressing", "alert:4", "filter", "1", 4,
    )  # fmt: skip
    assert (first.state, first.due_at, first.carried_from) == (
        "open", moment("1d14:00"), moment("1d06:30"),
    )  # fmt: skip
    assert "chore:filter/1" not in [item.key for item in rest]
    [first, *_] = items(the_list(tables, replace(late, answered_at=AT, answered_by="Marit", finding="changed")))
    assert (first.state, first.done_by, first.finding) == ("done", "Marit", "changed")


def test_the_alert_that_ends_as_its_chore_is_done_leaves_the_ticked_chore() -> None:
    """The next look takes the alert off; the list says once that the filter was changed, and by whom."""
    said = WIRES + "filter  1      1d11:55  Marit\n"
    ended = alert(4, "box:1", since="1d07:00", rule="filter-overdue", over_at=moment("1d11:56"))
    mine = [i for i in items(the_list(rows(since="00:00", box_log=RECENT, chores=said), ended)) if "filter" in i.chore]
    assert [(i.key, i.state, i.done_by) for i in mine] == [
        ("chore:filter/1", "done", "Marit"), ("chore:filter/2", "done", ""),
    ]  # fmt: skip


def test_late_cows_are_brought_and_other_alerts_looked_at() -> None:
    """An alert that ended since the list opened stays at the end, as over; one from before, or only noted, does not."""
    found = the_list(
        rows(),
        alert(1, "cow:7"),
        alert(2, "quarter:9/LF", rule="x"),
        alert(3, "cow:8", over_at=moment("1d11:40")),
        alert(5, "cow:9", over_at=moment("1d11:20")),
        alert(6, "cow:10", "log", over_at=moment("1d11:40")),
    )
    yard = next(part for part in found.parts if part.part == "yard")
    assert [(i.subject, i.kind, i.state) for i in yard.items] == [
        ("cow:7", "bring", "open"), ("quarter:9/LF", "look", "open"), ("cow:8", "bring", "over"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("raised", "from_round"),
    [("1d08:00", None), ("1d06:15", "1d06:30"), ("1d06:16", None), ("01:00", "06:30"), ("-20d01:00", "-7d06:30")],
)
def test_an_alert_is_carried_over_from_the_round_whose_list_first_named_it(raised: str, from_round: str | None) -> None:
    """A list is sent 15 min before its round; nothing is traced much further back than a week."""
    [item] = [i for i in items(the_list(rows(), alert(1, "cow:7", since=raised))) if i.alert]
    assert item.carried_from == (None if from_round is None else moment(from_round))


def test_wires_are_due_by_the_grazing_plan() -> None:
    """By the plan's time of day rather than by the hours since; a move a little late does not count for the next."""
    said = WIRES.replace("1d06:30", "1d07:20")
    found = the_list(rows(since="00:00", grazing=GRAZING, box_log=RECENT, chores=said), grazing=GRAZING)
    assert [line for line in shown(found) if "wire" in line[1]] == []  # both are moved for today
    at = moment("1d23:45")  # the list of the next morning: east by 06:45, west by 12:30
    found = the_list(rows(since="00:00", grazing=GRAZING, box_log=RECENT, chores=said), at=at, grazing=GRAZING)
    assert [line for line in shown(found) if "wire" in line[1]] == [
        ("field", "chore:wire/east", "open", "2d06:45", ""),
        ("field", "chore:wire/west", "open", "2d12:30", ""),
    ]


@pytest.mark.parametrize(
    ("moved", "wanted"),
    [
        ("1d16:50", []),  # the evening before: for the next morning, though it is nearer to this morning's time
        ("1d06:40", ["2d05:45"]),  # late, while they graze it: for today
        ("1d05:30", ["2d05:45"]),
        ("16:50", ["2d05:45"]),  # yesterday evening: for today
        ("05:30", ["1d05:45"]),  # yesterday: today's was missed
    ],
)
def test_a_wire_moved_the_evening_before_is_moved_for_the_morning(moved: str, wanted: list[str]) -> None:
    """A move is for the first turn of its block that is not over: once they have grazed it, it is for the next."""
    early = GRAZING.replace(
        '"07:00", to: "13:00", move_wire_before: "06:45"', '"06:00", to: "12:00", move_wire_before: "05:45"'
    )
    said = WIRES.replace("1d06:30", moved)
    tables = rows(since="00:00", grazing=early, box_log=RECENT, chores=said)
    found = the_list(tables, at=moment("1d23:45"), grazing=early)
    assert [line[3] for line in shown(found) if line[1] == "chore:wire/east"] == wanted


def test_a_wire_not_moved_is_carried_over() -> None:
    """West was due at 12:30 yesterday and today; one move is wanted, and it is overdue since yesterday."""
    found = the_list(
        rows(since="00:00", grazing=GRAZING, box_log=RECENT, chores=WIRES.replace("1d10:00", "-1d12:20")),
        grazing=GRAZING,
    )
    assert ("field", "chore:wire/west", "open", "12:30", "06:30") in shown(found)
    west = next(i for i in items(found) if i.key == "chore:wire/west")
    assert (west.kind, west.overdue) == ("wire", True)


def test_a_farm_without_rounds_shows_what_stands_and_is_due_within_half_a_day() -> None:
    """No round is named, and nothing is carried over."""
    farm = replace(the_farm(), rounds=())
    found = worklist([alert(1, "cow:7")], rows(since="00:00", box_log=RECENT), the_rules(), farm, AT)
    assert (found.round, found.carried) == (None, 0)
    assert {"alert:1", "chore:filter/1"} <= {item.key for item in items(found)}


SUBJECTS = ("box:1", "box:2", "cow:7", "quarter:7/LF", "herd", "chore:filter/1", "chore:wire/east", "tank:1", "feed:a")


@st.composite
def alerts(draw: st.DrawFn) -> list[Alert]:
    """Some alerts of several rules, standing or over, answered or not."""
    found = []
    for n in range(draw(st.integers(0, 8))):
        since = AT - draw(st.integers(0, 3 * DAY_S))
        standing = draw(st.booleans())
        answered = draw(st.booleans())
        found.append(
            Alert(
                n + 1,
                draw(st.sampled_from(["late-cow", "filter-overdue", "chore-due", "other"])),
                draw(st.sampled_from(SUBJECTS)),
                since,
                since,
                draw(st.sampled_from(["now", "round", "log"])),
                "words",
                over_at=None if standing else draw(st.integers(since, AT)),
                answered_at=AT if answered else None,
                answered_by="Marit" if answered else "",
            )
        )
    return found


CHORE = st.tuples(
    st.sampled_from([("filter", "1"), ("filter", "2"), ("arm", "1"), ("wire", "east"), ("wire", "west")]),
    st.integers(0, 36),
)


def with_chores(done: list[tuple[tuple[str, str], int]]) -> Tables:
    """The farm with chores done so many hours before `AT`."""
    lines = [f"{chore}  {place}  {moment_text(AT - hours * HOUR_S)}  Marit" for (chore, place), hours in done]
    tables = rows(since="-3d00:00", grazing=GRAZING)
    return replace(tables, chores=table(CHORES.name, "\n".join(["chore  place  at  person", *lines])))


@settings(max_examples=25, deadline=None)
@given(alerts(), st.lists(CHORE, max_size=6), st.integers(-DAY_S, DAY_S))
def test_the_list_names_the_alerts_of_its_notice(
    some: list[Alert], done: list[tuple[tuple[str, str], int]], later: int
) -> None:
    """Whatever stands and whatever was done: each alert of the notice once, under the same heading, and no other."""
    at = AT + later
    known = [a for a in some if a.raised_at <= at]
    found = worklist(known, with_chores(done), the_rules(), the_farm(GRAZING), at)
    desk = Desk((), the_farm().rounds, 900, "UTC", ("1", "2"))
    notice = worklist_notice(at, desk, Person("Marit"), known, {}, at)
    standing = [item for item in items(found) if item.alert is not None and item.state != "over"]
    gone = {a.id for a in known if not a.standing}
    assert sorted(i.alert for i in standing if i.alert not in gone) == list(notice.alerts)
    assert len({item.key for item in items(found)}) == len(items(found))
    assert found.waiting == sum(item.state == "open" for item in items(found))
    begins = found.round.begins if found.round else 0
    for item in items(found):
        assert item.carried_from is None or (item.carried_from < begins and item.state == "open")
        assert (item.state == "open") == (item.done_at is None)


@settings(max_examples=25, deadline=None)
@given(alerts(), st.lists(CHORE, max_size=6), st.data())
def test_a_tick_ticks_its_item_and_leaves_the_others_as_they_are(
    some: list[Alert], done: list[tuple[tuple[str, str], int]], data: st.DataObject
) -> None:
    """Whichever open item is ticked, by its chore or by an answer."""
    before = worklist(some, with_chores(done), the_rules(), the_farm(GRAZING), AT)
    waiting = [item for item in items(before) if item.state == "open"]
    if not waiting:
        return
    item = data.draw(st.sampled_from(waiting))
    if item.chore:
        after_rows, after = with_chores([*done, ((item.chore, item.chore_place), 0)]), some
    else:
        after_rows = with_chores(done)
        after = [replace(a, answered_at=AT, answered_by="Tomas") if a.id == item.alert else a for a in some]
    ticked = {one.key: one for one in items(worklist(after, after_rows, the_rules(), the_farm(GRAZING), AT))}
    if item.due_at is not None or not item.chore:
        assert (ticked[item.key].state, ticked[item.key].done_at) == ("done", AT)
    others = {one.key: one.state for one in waiting if one.key != item.key and one.subject != item.subject}
    others = {key: state for key, state in others.items() if not item.chore or item.chore not in key}
    assert {key: ticked[key].state for key in others} == others
