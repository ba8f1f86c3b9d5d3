"""Two readings of one history: what is new, missed, earlier or later, and what rings, by rule, week and subject."""

from __future__ import annotations

from text_tables import lines, moment

from sentinel.flow.replay import Founder, Raised
from sentinel.flow.tuning.compare import Counted, Ring, changes, counted, rings, within


def raised(text: str) -> list[Raised]:
    """Alerts from a text table; `founder` is the rule of the one on the same subject that founded the incident."""
    _, *rows = lines(text)
    began = {(rule, subject): moment(at) for rule, subject, at, *_ in rows}
    found = []
    for rule, subject, at, over, ring, founder in rows:
        first = Founder(founder, subject, began[founder, subject]) if founder != "-" else None
        over_at, rings_at = (None if cell == "-" else moment(cell) for cell in (over, ring))
        urgency = "now" if rings_at else "round"
        found.append(Raised(rule, subject, moment(at), over_at, urgency, None, incident=first, rings_at=rings_at))
    return found


BEFORE = raised("""
    rule          subject  raised  over   rings  founder
    late-cow      cow:7    06:00   09:00  -      -
    late-cow      cow:8    06:00   12:00  07:00  -
    late-cow      cow:9    7d06:00  7d08:00  -    -
    box-failures  box:1    08:00   -      08:00  -
""")
AFTER = raised("""
    rule          subject  raised  over   rings  founder
    late-cow      cow:8    08:00   12:00  -      -
    late-cow      cow:9    7d05:00  7d08:00  -    -
    late-cow      cow:9    8d05:00  8d08:00  -    -
    box-failures  box:1    08:00   -      08:00  -
""")


def test_what_stands_together_is_one_alert_told_earlier_or_later() -> None:
    """Cow 7 is missed, cow 8 told two hours later, cow 9 an hour earlier and once more."""
    found = [(change.one.subject, change.how, change.later_s) for change in changes(BEFORE, AFTER)]

    assert found == [
        ("cow:7", "missed", 0),
        ("box:1", "same", 0),
        ("cow:8", "later", 7200),
        ("cow:9", "earlier", -3600),
        ("cow:9", "new", 0),
    ]


def test_one_alert_in_place_of_several_is_none_of_them_missed() -> None:
    """A lower clearing bound joins two: the second is told with the first, and only that says how much earlier."""
    two = raised("""
        rule      subject  raised  over   rings  founder
        late-cow  cow:7    06:00   07:00  -      -
        late-cow  cow:7    08:00   09:00  -      -
    """)
    one = raised("""
        rule      subject  raised  over   rings  founder
        late-cow  cow:7    05:30   09:00  -      -
    """)

    assert [(change.how, change.later_s) for change in changes(two, one)] == [("earlier", -1800), ("same", 0)]
    assert [(change.how, change.later_s) for change in changes(one, two)] == [("later", 1800)]


def test_an_alert_that_ends_as_the_other_begins_is_another_one() -> None:
    """The end is no part of an alert."""
    early = raised("rule  subject  raised  over  rings  founder\nlate-cow  cow:7  06:00  07:00  -  -")
    later = raised("rule  subject  raised  over  rings  founder\nlate-cow  cow:7  07:00  -  -  -")

    assert [change.how for change in changes(early, later)] == ["missed", "new"]


def test_counts_of_two_readings_by_rule_week_and_subject() -> None:
    """A rule without an alert has its line; weeks begin on the farm's Monday, and day 0 is one."""
    by_rule = counted(AFTER, BEFORE, "rule", "UTC", ("late-share", "late-cow", "box-failures"))
    by_week = counted(AFTER, BEFORE, "week", "UTC")
    by_subject = counted(AFTER, BEFORE, "subject", "UTC")

    assert by_rule == [
        Counted("late-share", 0, 0, 0),
        Counted("late-cow", 3, 3, 0, 3, 3, 1, new=1, missed=1, earlier=1, later=1, earlier_s=3600, later_s=7200),
        Counted("box-failures", 1, 1, 1, 1, 1, 1),
    ]
    assert [(one.name, one.alerts, one.alerts_before, one.new, one.missed) for one in by_week] == [
        ("2024-06-03", 2, 3, 0, 1),
        ("2024-06-10", 2, 1, 1, 0),
    ]
    assert [(one.name, one.alerts) for one in by_subject] == [("box:1", 1), ("cow:7", 0), ("cow:8", 1), ("cow:9", 2)]
    assert counted(AFTER, None, "rule", "UTC")[1] == Counted("late-cow", 3, 3, 0)


def test_a_trouble_rings_once_at_each_place() -> None:
    """A box's second rule joins its incident; a cow that is late by it is another place, as the phone has it."""
    alerts = raised("""
        rule          subject  raised  over  rings  founder
        box-failures  box:1    06:00   -     06:30  -
        arm-offset    box:1    07:00   -     07:00  box-failures
        slow-attach   box:1    07:00   -     -      -
        late-cow      cow:7    08:00   -     08:00  -
    """)
    alerts[0] = Raised(*(getattr(alerts[1], n) for n in ("rule", "subject", "raised_at")), None, "now", None,
                       incident=alerts[1].incident, rings_at=moment("07:00"))  # fmt: skip
    alerts[1] = Raised("box-failures", "box:1", moment("06:00"), None, "now", None,
                       incident=alerts[1].incident, rings_at=moment("06:30"))  # fmt: skip

    assert rings(alerts) == [
        Ring(moment("06:30"), "box-failures", "box:1"),
        Ring(moment("08:00"), "late-cow", "cow:7"),
    ]


def test_a_span_has_its_beginning_and_not_its_end() -> None:
    """By when an alert was raised."""
    assert [one.subject for one in within(BEFORE, moment("06:00"), moment("08:00"))] == ["cow:7", "cow:8"]
    assert [one.subject for one in within(BEFORE, moment("08:00"), None)] == ["cow:9", "box:1"]
