"""Notices: who is told what and when, told as small days on an invented farm."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sentinel.flow.alerts.lifecycle import ENDED
from sentinel.flow.language import english
from sentinel.flow.model import DAY_S, HOUR_S, Alert, Notice
from sentinel.flow.notices import PUSHES, Desk, course_words, next_due, plan
from sentinel.flow.notices.wording import LINES_MOST, TITLE_LENGTH
from sentinel.flow.settings.people import ALWAYS, Person, read_hours

ZONE = "Europe/Berlin"
MIN = 60


def at(text: str, day: str = "2026-05-04") -> int:
    """UTC seconds of a wall-clock time in the farm's zone; 4 May 2026 is a Monday."""
    return int(
        datetime.fromisoformat(text if "T" in text else f"{day}T{text}").replace(tzinfo=ZoneInfo(ZONE)).timestamp()
    )


def clock(seconds: int) -> str:
    """A moment as the farm's clock shows it, with the day of the month if it is not the 4th."""
    then = datetime.fromtimestamp(seconds, ZoneInfo(ZONE))
    return f"{then:%H:%M}" if then.day == 4 else f"{then.day}. {then:%H:%M}"


@dataclass(frozen=True)
class Words:
    """What these tests need of a rule."""

    remind_every_s: int = 0
    remind_most: int = 0


def person(name: str, **given) -> Person:
    """A person who may always be reached, is followed after 20 min and takes 6 pushes per hour, unless said."""
    hours = {key: read_hours(given.pop(key)) for key in ("now", "round") if key in given}
    return Person(name, (f"{name.lower()}-phone",), **{**hours, **given})


def desk(*people: Person, **given) -> Desk:
    """A farm with three boxes and two rounds."""
    rounds = (time(6, 30), time(16, 30))
    return Desk(**{"people": people, "rounds": rounds, "zone": ZONE, "boxes": ("1", "2", "3"), **given})


def alert(number: int, raised: int, text: str = "", **given) -> Alert:
    """A standing alert that cannot wait, unless said otherwise."""
    given = {"rule": "box-failures", "subject": f"box:{number}", "urgency": "now", "since": raised, **given}
    return Alert(id=number, raised_at=raised, text=text or f"Alert {number}", **given)


Event = tuple[int, Alert]


def live(farm: Desk, events: Iterable[Event], until: int, extra: Iterable[int] = (), known=None) -> list[Notice]:
    """Live through events as the engine does: at each of them, and at each moment that was said to be due."""
    waiting = sorted(events, key=lambda event: event[0])
    extras = sorted(extra)
    alerts: dict[int, Alert] = {}
    sent: list[Notice] = []
    since = None
    due: int | None = None
    while True:
        upcoming = [
            m for m in (due, waiting[0][0] if waiting else None, extras[0] if extras else None) if m is not None
        ]
        if not upcoming or min(upcoming) > until:
            return sent
        now = min(upcoming)
        while waiting and waiting[0][0] <= now:
            _, happened = waiting.pop(0)
            alerts[happened.id] = happened
        extras = [m for m in extras if m > now]
        sent += plan(now, farm, list(alerts.values()), sent, since, known or {})
        since = now
        due = next_due(now, farm, list(alerts.values()), sent)
        assert due is None or due > now


def table(notices: Iterable[Notice]) -> list[str]:
    """Notices as lines: when, to whom, what kind, which alerts."""
    return [f"{clock(n.at)} {n.person} {n.kind} {' '.join(str(a) for a in n.alerts)}".strip() for n in notices]


# --- told at once, handed on, reminded, over -------------------------------------------------------------


def test_an_alert_goes_at_once_to_the_first_person_and_on_to_the_next_while_nobody_answers():
    """Each is given the time that stands with their name; when the list ends, it ends."""
    farm = desk(person("Marit"), person("Onno", next_after_s=10 * MIN), person("Wiebe"))

    sent = live(farm, [(at("10:00"), alert(1, at("10:00")))], at("20:00"))

    assert table(sent) == ["10:00 Marit alert 1", "10:20 Onno handed-on 1", "10:30 Wiebe handed-on 1"]
    assert sent[1].body.splitlines()[2] == "Marit was told at 10:00 and has not answered."


def test_an_answer_stops_handing_on_and_reminding_but_not_the_closing_line():
    """After the answer only the line that it is over is sent, to those who were told."""
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
        "11:00 Marit over 1",
        "11:00 Onno over 1",
    ]
    assert sent[-1].body == "Over at 11:00 (the condition ended): Alert 1. Onno: optics dirty."


def test_a_reminder_comes_at_most_so_often_as_the_rule_says():
    """The rule's `remind_every` is the time between two, its `remind_most` their number for each person."""
    farm = desk(person("Marit", next_after_s=None), rules={"box-failures": Words(30 * MIN, 2)})

    sent = live(farm, [(at("10:00"), alert(1, at("10:00")))], at("20:00"))

    assert table(sent) == ["10:00 Marit alert 1", "10:30 Marit reminder 1", "11:00 Marit reminder 1"]


def test_one_who_was_never_told_gets_no_closing_line():
    """An alert that ended before it was told, or was only on a worklist, ends in silence."""
    farm = desk(person("Marit", now="12:00-22:00"))
    raised = alert(1, at("10:00"))
    waits = alert(2, at("10:00"), urgency="round")
    events = [(at("10:00"), raised), (at("10:00"), waits)]
    events += [(at("11:00"), replace(one, over_at=at("11:00"))) for one in (raised, waits)]

    assert live(farm, events, at("23:00")) == []


def test_what_can_wait_is_not_pushed_until_it_cannot():
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


def test_a_covered_alert_is_pushed_when_it_is_let_through():
    """While its cause stands it is held back, reminders too; let through and still standing it is told."""
    farm = desk(person("Marit"), rules={"box-failures": Words(30 * MIN, 9)})
    held = alert(1, at("10:00"), covered_by=("box-quiet box:1",))
    free = replace(held, covered_by=())

    sent = live(farm, [(at("10:00"), held), (at("11:00"), free), (at("11:10"), held), (at("14:00"), free)], at("14:10"))

    assert table(sent) == ["11:00 Marit alert 1", "14:00 Marit reminder 1"]


def test_an_alert_that_comes_back_is_told_again_only_to_those_who_heard_its_end():
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
    assert "It was over and has come back." in sent[-1].body


# --- hours -----------------------------------------------------------------------------------------------


def test_only_those_on_duty_are_told_and_an_alert_waits_for_the_first_who_is():
    """At night Onno is first; when nobody is on duty the alert goes out at the first moment somebody is."""
    night = desk(person("Marit", now="05:00-22:00"), person("Onno", now="22:00-02:00"))

    sent = live(night, [(at("23:00"), alert(1, at("23:00")))], at("12:00", "2026-05-05"))
    alone = live(night, [(at("03:00"), alert(1, at("03:00")))], at("04:59"))
    morning = live(night, [(at("03:00"), alert(1, at("03:00")))], at("05:00"))

    assert table(sent) == ["23:00 Onno alert 1", "5. 05:00 Marit handed-on 1"]
    assert table(alone) == []
    assert table(morning) == ["05:00 Marit alert 1"]


def test_the_closing_line_waits_for_the_hours_of_the_person_but_not_for_ever():
    """Told in the evening, over at night: the line comes in the morning; more than two days later it is left out."""
    raised = alert(1, at("21:50"))
    events = [(at("21:50"), raised), (at("23:00"), replace(raised, over_at=at("23:00")))]

    daily = live(desk(person("Marit", now="05:00-22:00")), events, at("12:00", "2026-05-12"))
    weekly = live(desk(person("Marit", now="Mo 05:00-22:00")), events, at("12:00", "2026-05-12"))

    assert table(daily) == ["21:50 Marit alert 1", "5. 05:00 Marit over 1"]
    assert table(weekly) == ["21:50 Marit alert 1"]
    assert daily[1].body == "Over at Mon 23:00: Alert 1."


# --- the ceiling -----------------------------------------------------------------------------------------


def test_several_alerts_at_once_come_one_each_and_what_does_not_fit_as_one_digest():
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


def test_of_very_many_together_the_first_are_named_and_how_many_more_there_are():
    """Services cut a long text into parts, each of which rings; every alert counts as told all the same."""
    farm = desk(person("Marit", next_after_s=None, at_most=1))
    many = [(at("10:00"), alert(n, at("10:00"))) for n in range(500)]

    [told] = live(farm, many, at("10:30"))

    assert told.title == "500 alerts together"
    assert sum(line.startswith("- ") for line in told.body.splitlines()) == LINES_MOST
    assert told.body.endswith(f"\nand {500 - LINES_MOST} more")
    assert told.alerts == tuple(range(500))


def test_beyond_the_ceiling_the_rest_waits_and_comes_as_one_digest_when_the_hour_frees_a_push():
    """Nothing is lost: what came in the meantime, and still stands unanswered, is in the digest."""
    farm = desk(person("Marit", next_after_s=None, at_most=2))
    events = [(at(f"10:{n}0"), alert(n, at(f"10:{n}0"))) for n in range(6)]
    events.append((at("10:55"), replace(events[3][1], answered_at=at("10:55"), answered_by="Onno")))

    sent = live(farm, events, at("20:00"))

    assert table(sent) == ["10:00 Marit alert 0", "10:10 Marit alert 1", "11:00 Marit digest 2 4 5"]


def test_ends_come_together_in_one_notice_after_what_still_stands():
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


def test_what_waits_for_a_free_push_goes_to_the_next_on_duty_when_the_first_goes_home():
    """Marit has had her one push and goes off duty at 10:30: the second alert goes to Onno then, not at 11:00."""
    farm = desk(person("Marit", next_after_s=None, at_most=1, now="05:00-10:30"), person("Onno", now="09:00-22:00"))

    sent = live(farm, [(at("10:00"), alert(1, at("10:00"))), (at("10:10"), alert(2, at("10:10")))], at("20:00"))

    assert table(sent) == ["10:00 Marit alert 1", "10:30 Onno alert 2"]


# --- texts -----------------------------------------------------------------------------------------------


def test_a_notice_says_what_since_when_and_what_to_look_at_first():
    """A title for the lock screen, the sentence, the farm's clock, all that is to be minded, three other hints."""
    mind = ("Put the box out of operation first", "If a teat looks wrong, ask the vet")
    hints = ("Is the lens clean?", "Compare with box 1", "Look at the log", "Call the service")
    farm = desk(person("Marit"))
    text = "Box 2: 5 failed attachments of 18, 1.2 expected"

    (notice,) = live(
        farm,
        [(at("10:00"), alert(1, at("10:00"), text, since=at("09:40"), caution=mind, look_first=hints))],
        at("10:10"),
    )

    assert notice.title == "Box 2: 5 failed attachments of 18"
    assert notice.body.splitlines() == [
        "Box 2: 5 failed attachments of 18, 1.2 expected.",
        "Since 09:40.",
        "Look first:",
        "- Put the box out of operation first",
        "- If a teat looks wrong, ask the vet",
        "- Is the lens clean?",
        "- Compare with box 1",
        "- Look at the log",
    ]


def test_a_notice_that_is_read_later_says_what_it_was_raised_at_the_worst_since_and_now():
    """Told, reminded and handed on: the figures beside the sentence, and that it has come back within its bound."""
    farm = desk(person("Marit"), person("Onno", next_after_s=None), rules={"box-failures": Words(10 * MIN, 1)})
    raised = alert(1, at("10:00"), "Cow 7: 1 % under its usual, 3.9 points", subject="quarter:7/LF")
    course = "raised at 6.8 points, highest since 8.2 points, now 3.9 points"
    later = replace(raised, course=course, eased="6 points")

    sent = live(farm, [(at("10:00"), raised), (at("10:05"), later)], at("10:25"))

    assert [one.kind for one in sent] == ["alert", "reminder", "handed-on"]
    assert "aised at" not in sent[0].body
    for one in sent[1:]:
        assert one.body.splitlines()[1:4] == [
            "Since 10:00.",
            "Raised at 6.8 points, highest since 8.2 points, now 3.9 points.",
            "Was urgent, has eased since (bound 6 points).",
        ]


def test_a_list_says_the_course_of_what_stands_and_the_caution_of_boxes_only_where_one_is():
    """One line each; once something is over it has no course any more, and a list of cows has no box's caution."""
    farm = desk(person("Marit", worklist=True, next_after_s=None))
    cow = alert(1, at("05:00"), "Cow 7 not milked for 16 h", subject="cow:7", urgency="round")
    cow = replace(cow, course="raised at 14 h, now 16 h")

    (sent,) = [n for n in live(farm, [(at("05:00"), cow)], at("12:00")) if n.kind == "worklist"]

    assert sent.body.splitlines()[:2] == ["Cows:", "- Cow 7 not milked for 16 h, since 05:00; raised at 14 h, now 16 h"]
    assert "out of operation" not in sent.body
    assert course_words(replace(cow, over_at=at("06:00")), english(ZONE)) == []


@given(st.text(min_size=1, max_size=200), st.sampled_from(["alert", "reminder", "over"]))
def test_every_title_fits_a_lock_screen(text, kind):
    """Whatever a rule says, a title has at most 40 characters."""
    farm = desk(person("Marit"), rules={"box-failures": Words(10 * MIN, 1)})
    raised = alert(1, at("10:00"), text)
    events = [(at("10:00"), raised), (at("10:11"), replace(raised, over_at=at("10:11")))]

    sent = {notice.kind: notice for notice in live(farm, events, at("10:15"))}

    assert len(sent[kind].title) <= TITLE_LENGTH


# --- the worklist ----------------------------------------------------------------------------------------


def test_the_worklist_comes_before_each_round_in_the_order_the_operator_walks():
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

    assert [(clock(n.at), n.person, n.title) for n in sent] == [("06:15", "Marit", "06:30 round: 9 to look at")]
    assert sent[0].body.splitlines() == [
        "Still standing:",
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


def test_a_quiet_farm_gets_one_line_that_says_so_and_how_far_it_is_known():
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
def test_a_round_is_at_the_farms_own_time_on_the_days_the_clock_changes(day, sends):
    """06:30 exists once on the day the clock goes forward and on the day it goes back."""
    farm = desk(person("Marit", worklist=True), rounds=(time(6, 30),))

    sent = live(farm, [], at("23:59", day), extra=[at("00:01", day)])

    assert [f"{datetime.fromtimestamp(n.at, ZoneInfo(ZONE)):%Y-%m-%d %H:%M}" for n in sent] == [f"{day} {sends}"]


def test_a_round_in_a_repeated_hour_gets_one_worklist_and_in_a_skipped_hour_still_one():
    """02:30 comes twice on 25 October and not at all on 29 March: either way one worklist."""
    farm = desk(person("Marit", worklist=True), rounds=(time(2, 30),))

    autumn = live(farm, [], at("23:59", "2026-10-25"), extra=[at("00:01", "2026-10-25")])
    spring = live(farm, [], at("23:59", "2026-03-29"), extra=[at("00:01", "2026-03-29")])

    assert [datetime.fromtimestamp(n.at, ZoneInfo("UTC")).strftime("%H:%M") for n in autumn] == ["00:15"]
    assert [datetime.fromtimestamp(n.at, ZoneInfo("UTC")).strftime("%H:%M") for n in spring] == ["01:15"]


def test_a_worklist_that_was_missed_is_sent_late_but_not_hours_late():
    """After a stop over 06:15 the list is sent at the start, once; after two hours it is left out."""
    farm = desk(person("Marit", worklist=True))

    soon = plan(at("06:40"), farm, [], [], at("05:00"), {})
    twice = plan(at("06:50"), farm, [], soon, at("05:00"), {})
    late = plan(at("09:00"), farm, [], [], at("05:00"), {})
    first_ever = plan(at("06:40"), farm, [], [], None, {})

    assert table(soon) == ["06:40 Marit worklist"]
    assert (twice, late, first_ever) == ([], [], [])


def test_a_worklist_is_for_those_on_duty_when_it_was_due():
    """It is sent once even if two ticks fall on its second, and late to one whose hours had begun at 06:15."""
    punctual = desk(person("Marit", worklist=True, round="06:00-06:30"))
    later = desk(person("Marit", worklist=True, round="06:30-22:00"))

    once = plan(at("06:15"), punctual, [], [], at("05:00"), {})

    assert table(once) == ["06:15 Marit worklist"]
    assert plan(at("06:15"), punctual, [], once, at("05:00"), {}) == []
    assert table(plan(at("06:40"), punctual, [], [], at("05:00"), {})) == ["06:40 Marit worklist"]
    assert plan(at("06:40"), later, [], [], at("05:00"), {}) == []


# --- whatever happens ------------------------------------------------------------------------------------

HOURS = st.sampled_from(["always", "05:00-22:00", "22:00-05:00", "09:00-11:00, 14:00-16:00", "Tu 08:00-09:00"])
START = at("08:00")
END = at("08:00", "2026-05-07")


@st.composite
def farms(draw) -> Desk:
    """One to three people with all kinds of hours and ceilings, and a rule that may remind."""
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
    rule = Words(draw(st.sampled_from([0, 15 * MIN, 60 * MIN])), draw(st.integers(0, 3)))
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
def test_looking_more_often_changes_nothing(farm, events, extra):
    """Ticks in between send nothing twice, nothing earlier and nothing else: the due moments are exact."""
    assert live(farm, events, END, extra) == live(farm, events, END)


@settings(max_examples=80, deadline=None)
@given(farms(), events_of_a_farm)
def test_nobody_is_pushed_more_often_than_their_ceiling(farm, events):
    """In no hour does a person get more pushes than they asked for, digests and closing lines included."""
    sent = live(farm, events, END)

    for one in farm.people:
        pushes = [n.at for n in sent if n.person == one.name and n.kind in PUSHES]
        for start in pushes:
            assert sum(start <= push < start + HOUR_S for push in pushes) <= one.at_most


@settings(max_examples=80, deadline=None)
@given(farms(), events_of_a_farm)
def test_every_alert_that_cannot_wait_reaches_somebody(farm, events):
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


@settings(max_examples=80, deadline=None)
@given(farms(), events_of_a_farm)
def test_what_is_answered_over_or_held_back_is_not_told(farm, events):
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
            else:
                assert one.standing and one.urgency == "now" and not one.answered and not one.covered_by
        person_ = next(p for p in farm.people if p.name == notice.person)
        assert person_.now.cover(notice.at, ZONE)


@settings(max_examples=80, deadline=None)
@given(farms(), events_of_a_farm)
def test_everyone_who_was_told_is_told_once_that_it_is_over(farm, events):
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


def test_a_replay_gives_the_same_notices():
    """The same inputs in another order of alerts give equal notices: nothing depends on what came first in a list."""
    farm = desk(person("Marit", at_most=3, worklist=True), person("Onno"))
    alerts: Sequence[Alert] = [alert(n, at("06:15")) for n in range(8)]

    forward = plan(at("06:15"), farm, alerts, [], at("06:00"), {})

    assert forward == plan(at("06:15"), farm, list(reversed(alerts)), [], at("06:00"), {})
    assert table(forward)[-1] == "06:15 Marit worklist 0 1 2 3 4 5 6 7"


# --- put off and handed over ---------------------------------------------------------------------------------


def test_an_alert_that_was_put_off_is_told_again_at_that_time_to_who_put_it_off():
    """Until then nobody is told or reminded; from then on it goes on as if it had been told first then."""
    farm = desk(person("Marit"), person("Onno"), rules={"box-failures": Words(30 * MIN, 4)})
    raised = alert(1, at("10:00"))
    put_off = replace(raised, lies_with="Marit", lies_from=at("14:00"))
    answered = replace(put_off, answered_at=at("14:25"), answered_by="Onno")

    sent = live(farm, [(at("10:00"), raised), (at("10:05"), put_off), (at("14:25"), answered)], at("20:00"))

    assert table(sent) == ["10:00 Marit alert 1", "14:00 Marit lies-with 1", "14:20 Onno handed-on 1"]
    assert "put off until now" in sent[1].body


def test_an_alert_that_was_handed_over_is_told_to_that_person_at_once():
    """And to the next in the list when they do not answer in their time either."""
    farm = desk(person("Marit"), person("Onno"), person("Wiebe"))
    raised = alert(1, at("10:00"))
    handed = replace(raised, lies_with="Wiebe", lies_from=at("10:05"))

    sent = live(farm, [(at("10:00"), raised), (at("10:05"), handed)], at("10:30"))

    assert table(sent) == ["10:00 Marit alert 1", "10:05 Wiebe lies-with 1", "10:25 Marit handed-on 1"]


def test_an_alert_handed_to_somebody_who_is_not_listed_any_more_goes_to_the_first_who_may_be_reached():
    """Nothing is lost because a name was taken out of people.yaml."""
    farm = desk(person("Marit"), person("Onno"))
    gone = replace(alert(1, at("10:00")), lies_with="Wiebe", lies_from=at("12:00"))

    assert table(live(farm, [(at("10:00"), gone)], at("12:10"))) == ["12:00 Marit alert 1"]


def test_the_worklist_says_with_whom_an_alert_lies():
    """Put off until a time, or handed over."""
    farm = desk(person("Marit", worklist=True, at_most=1))
    put_off = alert(1, at("05:00"), lies_with="Marit", lies_from=at("08:00"))
    handed = alert(2, at("05:00"), lies_with="Onno", lies_from=at("05:10"))

    notice = plan(at("06:15"), farm, [put_off, handed], [], at("06:00"), {})[-1]

    assert "Alert 1, since 05:00 (Marit put it off until 08:00)" in notice.body
    assert "Alert 2, since 05:00 (with Onno)" in notice.body
