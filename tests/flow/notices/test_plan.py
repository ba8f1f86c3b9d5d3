"""All that is sent at a moment: the ceiling of each person's pushes, digests, and what holds whatever happens."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from flow.notices.small_days import MIN, ZONE, Event, Words, alert, at, desk, live, person, table
from hypothesis import given, settings
from hypothesis import strategies as st

from sentinel.flow.model import DAY_S, HOUR_S, Alert
from sentinel.flow.notices import PUSHES, Desk, plan
from sentinel.flow.notices.wording import LINES_MOST
from sentinel.flow.settings.people import ALWAYS, Person, read_hours


def test_several_alerts_at_once_come_one_each_and_what_does_not_fit_as_one_digest() -> None:
    """With three pushes per hour, five alerts at once are two notices and a digest of the other three."""
    farm = desk(person("Marit", next_after_s=None, at_most=3))

    fit = live(farm, [(at("10:00"), alert(n, at("10:00"))) for n in (1, 2, 3)], at("20:00"))
    more = live(farm, [(at("10:00"), alert(n, at("10:00"))) for n in (1, 2, 3, 4, 5)], at("20:00"))

    assert table(fit) == ["10:00 Marit alert 1", "10:00 Marit alert 2", "10:00 Marit alert 3"]
    assert table(more) == ["10:00 Marit alert 1", "10:00 Marit alert 2", "10:00 Marit digest 3 4 5"]
    assert more[-1].title == "3 alerts together"
    assert more[-1].body.splitlines() == [
        "More than 3 notices in an hour, so these come together:",
        "Put the box out of operation first, as its manual says, before you step or reach in.",
        "- Alert 3, since 10:00",
        "- Alert 4, since 10:00",
        "- Alert 5, since 10:00",
    ]


def test_of_very_many_together_the_first_are_named_and_how_many_more_there_are() -> None:
    """Services cut a long text into parts, each of which rings; every alert counts as told all the same."""
    farm = desk(person("Marit", next_after_s=None, at_most=1))
    many = [(at("10:00"), alert(n, at("10:00"))) for n in range(500)]

    [told] = live(farm, many, at("10:30"))

    assert told.title == "500 alerts together"
    assert sum(line.startswith("- ") for line in told.body.splitlines()) == LINES_MOST
    assert told.body.endswith(f"\nand {500 - LINES_MOST} more")
    assert told.alerts == tuple(range(500))


def test_beyond_the_ceiling_the_rest_waits_and_comes_as_one_digest_when_the_hour_frees_a_push() -> None:
    """Nothing is lost: what came in the meantime, and still stands unanswered, is in the digest."""
    farm = desk(person("Marit", next_after_s=None, at_most=2))
    events = [(at(f"10:{n}0"), alert(n, at(f"10:{n}0"))) for n in range(6)]
    events.append((at("10:55"), replace(events[3][1], answered_at=at("10:55"), answered_by="Onno")))

    sent = live(farm, events, at("20:00"))

    assert table(sent) == ["10:00 Marit alert 0", "10:10 Marit alert 1", "11:00 Marit digest 2 4 5"]


def test_ends_come_together_in_one_notice_after_what_still_stands() -> None:
    """Three alerts that end at once are one closing notice; without a free push it waits for one."""
    farm = desk(person("Marit", next_after_s=None, at_most=3))
    raised = [alert(n, at("10:00")) for n in (1, 2, 3)]
    events = [(at("10:00"), one) for one in raised] + [
        (at("10:30"), replace(one, over_at=at("10:30"))) for one in raised
    ]

    sent = live(farm, events, at("20:00"))

    assert table(sent)[3:] == ["11:00 Marit over 1 2 3"]
    assert sent[3].title == "Over: 3 alerts"
    assert len(sent[3].body.splitlines()) == 3


def test_what_waits_for_a_free_push_goes_to_the_next_on_duty_when_the_first_goes_home() -> None:
    """Marit has had her one push and goes off duty at 10:30: the second alert goes to Onno then, not at 11:00."""
    farm = desk(person("Marit", next_after_s=None, at_most=1, now="05:00-10:30"), person("Onno", now="09:00-22:00"))

    sent = live(farm, [(at("10:00"), alert(1, at("10:00"))), (at("10:10"), alert(2, at("10:10")))], at("20:00"))

    assert table(sent) == ["10:00 Marit alert 1", "10:30 Onno alert 2"]


HOURS = st.sampled_from(["always", "05:00-22:00", "22:00-05:00", "09:00-11:00, 14:00-16:00", "Tu 08:00-09:00"])
START = at("08:00")
END = at("08:00", "2026-05-07")


@st.composite
def farms(draw) -> Desk:
    """One to three people with all kinds of hours and ceilings, and a rule that may remind and gather."""
    people = [
        Person(
            name,
            now=ALWAYS if (hours := draw(HOURS)) == "always" else read_hours(hours),
            next_after_s=draw(st.sampled_from([None, 5 * MIN, 20 * MIN, 90 * MIN])),
            at_most=draw(st.integers(1, 3)),
            worklist=draw(st.booleans()),
        )
        for name in ("Marit", "Onno", "Wiebe")[: draw(st.integers(1, 3))]
    ]
    together_s = draw(st.sampled_from([0, 30 * MIN, 120 * MIN]))
    rule = Words(draw(st.sampled_from([0, 15 * MIN, 60 * MIN])), draw(st.integers(0, 3)), together_s)
    return desk(*people, rules={"box-failures": rule})


@st.composite
def lives(draw, number: int) -> list[Event]:
    """One alert's life: raised, then up to five things that can happen to it, minutes or hours apart."""
    moment = START + MIN * draw(st.integers(0, 300))
    now = alert(number, moment, urgency=draw(st.sampled_from(["now", "now", "round"])))
    events = [(moment, now)]
    for what in draw(st.lists(st.sampled_from(["press", "hold", "free", "answer", "over"]), max_size=5)):
        moment += draw(st.sampled_from([30, 7 * MIN, 40 * MIN, 3 * HOUR_S]))
        if not now.standing:
            now = replace(now, over_at=None, answered_at=None, answered_by="", again=now.again + 1)
        elif what == "press":
            now = replace(now, urgency="now")
        elif what == "hold":
            now = replace(now, covered_by=("box-quiet box:1",))
        elif what == "free":
            now = replace(now, covered_by=())
        elif what == "answer":
            now = replace(now, answered_at=moment, answered_by="Marit")
        else:
            now = replace(now, over_at=moment, covered_by=())
        events.append((moment, now))
    return events


events_of_a_farm = st.integers(1, 6).flatmap(
    lambda count: st.tuples(*(lives(n) for n in range(count))).map(lambda all_: [e for life in all_ for e in life])
)
moments = st.lists(st.integers(START, START + 2 * DAY_S), max_size=20)


@settings(max_examples=80, deadline=None)
@given(farms(), events_of_a_farm, moments)
def test_looking_more_often_changes_nothing(farm, events, extra) -> None:
    """Ticks in between send nothing twice, nothing earlier and nothing else: the due moments are exact."""
    assert live(farm, events, END, extra) == live(farm, events, END)


@settings(max_examples=80, deadline=None)
@given(farms(), events_of_a_farm)
def test_nobody_is_pushed_more_often_than_their_ceiling(farm, events) -> None:
    """In no hour does a person get more pushes than they asked for, digests and closing lines included."""
    sent = live(farm, events, END)

    for one in farm.people:
        pushes = [n.at for n in sent if n.person == one.name and n.kind in PUSHES and n.urgency != "log"]
        for start in pushes:
            assert sum(start <= push < start + HOUR_S for push in pushes) <= one.at_most


@settings(max_examples=80, deadline=None)
@given(farms(), events_of_a_farm)
def test_every_alert_that_cannot_wait_reaches_somebody(farm, events) -> None:
    """Whatever stands unanswered and not held back is told in the end, alone or in a digest, within hours."""
    sent = live(farm, events, END)

    last: dict[int, Event] = {}
    for event in sorted(events, key=lambda e: e[0]):
        last[event[1].id] = event
    for moment, one in last.values():
        if one.standing and one.urgency == "now" and not one.covered_by and not one.answered:
            ends = [n.at for n in sent if n.kind == "over" and one.id in n.alerts]
            told = [n for n in sent if n.kind in PUSHES and n.kind != "over" and one.id in n.alerts]
            assert any(not ends or n.at >= ends[-1] for n in told), (moment, one)


@st.composite
def troubles(draw: st.DrawFn) -> list[Event]:
    """One trouble at a box: a few alerts that come and go, and come again, with nobody answering."""
    events = []
    for number in range(draw(st.integers(1, 4))):
        moment = START + MIN * draw(st.integers(0, 600))
        now = replace(alert(number, moment), subject="box:2", incident=9, suspect="arm")
        events.append((moment, now))
        for hours in draw(st.lists(st.integers(1, 5), max_size=3)):
            moment += hours * HOUR_S
            over = now.standing
            came = {"over_at": moment} if over else {"over_at": None, "came_at": moment, "again": now.again + 1}
            now = replace(now, **came)
            events.append((moment, now))
    return events


@settings(max_examples=150, deadline=None)
@given(farms(), troubles())
def test_one_trouble_rings_once_until_it_is_over(farm, events) -> None:
    """Whatever joins or leaves it: one is told first, others are handed it, and all hear once that it is over."""
    sent = live(farm, events, END)

    first, owed = 0, set()
    for notice in sent:
        if notice.kind == "over":
            assert notice.person in owed
            first, owed = 0, owed - {notice.person}
        elif notice.kind in PUSHES:
            first += notice.kind == "alert"
            owed.add(notice.person)
        assert first <= 1


@settings(max_examples=80, deadline=None)
@given(farms(), events_of_a_farm)
def test_what_is_answered_over_or_held_back_is_not_told(farm, events) -> None:
    """At the moment of each notice its alerts stand unanswered, uncovered and pressing; a closing line is true."""
    sent = live(farm, events, END)
    ordered = sorted(events, key=lambda e: e[0])

    for notice in sent:
        if notice.kind == "worklist":
            continue
        now = {one.id: one for moment, one in ordered if moment <= notice.at}
        for one in (now[number] for number in notice.alerts):
            if notice.kind == "over":
                assert not one.standing
            elif notice.kind == "has-it":
                assert one.standing and one.answered and one.answered_by != notice.person
            else:
                assert one.standing and one.urgency == "now" and not one.answered and not one.covered_by
        person_ = next(p for p in farm.people if p.name == notice.person)
        assert notice.urgency == "log" or person_.now.cover(notice.at, ZONE)


@settings(max_examples=80, deadline=None)
@given(farms(), events_of_a_farm)
def test_everyone_who_was_told_is_told_once_that_it_is_over(farm, events) -> None:
    """Between two tellings of the end to one person there is a telling of the alert, and never two ends in a row."""
    sent = live(farm, events, END)

    pairs: dict[tuple[str, int], list[str]] = {}
    for notice in sent:
        for number in notice.alerts if notice.kind in PUSHES else ():
            pairs.setdefault((notice.person, number), []).append("over" if notice.kind == "over" else "told")
    last = {one.id: one for _, one in sorted(events, key=lambda e: e[0])}
    always = {p.name for p in farm.people if p.now.always}
    for (name, number), said in pairs.items():
        assert said[0] == "told"
        assert "over over" not in " ".join(said)
        if not last[number].standing and name in always:
            assert said[-1] == "over"


def test_a_replay_gives_the_same_notices() -> None:
    """The same inputs in another order of alerts give equal notices: nothing depends on what came first in a list."""
    farm = desk(person("Marit", at_most=3, worklist=True), person("Onno"))
    alerts: Sequence[Alert] = [alert(n, at("06:15")) for n in range(8)]

    forward = plan(at("06:15"), farm, alerts, [], at("06:00"), {})

    assert forward == plan(at("06:15"), farm, list(reversed(alerts)), [], at("06:00"), {})
    assert table(forward)[-1] == "06:15 Marit worklist 0 1 2 3 4 5 6 7"
