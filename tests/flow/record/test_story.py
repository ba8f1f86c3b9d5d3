"""What became of an alert: held back from when to when, told to whom how, had by whom; and why some were not told."""

from __future__ import annotations

import pytest

from sentinel.flow.alerts.chain import START, Logged, chained
from sentinel.flow.model import Alert, Entry, Notice
from sentinel.flow.record.story import Story, came_entry, stood_at, story
from sentinel.flow.settings.people import NEVER, Person

AT = 1_777_881_600
ALERT = Alert(7, "late-cow", "cow:1", AT, AT - 60, "now", "Cow 1")
PUSHES, TELLING = ("alert", "over"), ("alert",)
MARIT, JOREN, ANNA = Person("Marit", ("phone",), at_most=2), Person("Joren", ("phone",), now=NEVER), Person("Anna")


def entry(at: int, kind: str, person: str = "", **body: object) -> Entry:
    """An entry about the alert."""
    return Entry(AT + at, kind, 7, "late-cow", "cow:1", person, body)


def log(*entries: Entry) -> list[Logged]:
    """The log's entries."""
    return chained(entries, START, 0)


def told(*notices: Notice, outcome: str = "delivered", pushed: int = 0, entries: tuple[Entry, ...] = ()) -> Story:
    """The alert's story with notices that all ended alike."""
    rows = [(one.id, "phone", outcome, 2, AT + 30, None) for one in notices]
    moments = {"Marit": [AT - 60 * n for n in range(pushed)]}
    return story(ALERT, log(*entries), notices, rows, (MARIT, JOREN, ANNA), "UTC", moments, AT, PUSHES, TELLING)


def notice(kind: str = "alert", alerts: tuple[int, ...] = (7,), urgency: str = "now") -> Notice:
    """A notice to Marit."""
    return Notice(AT, "Marit", kind, "Cow 1", "", urgency, alerts, "3")


def test_it_rang_where_a_notice_that_tells_arrived() -> None:
    """Delivered is rung; given up, or only that it is over, is not; and one of its incident counts and is marked."""
    assert told(notice()).rang
    assert not told(notice(), outcome="gave_up").rang
    assert not told(notice("over")).rang
    assert [one.names for one in told(notice(alerts=(8,))).sent] == [False]


@pytest.mark.parametrize(("pushed", "why"), [(0, "nobody"), (2, "ceiling")])
def test_those_who_were_not_told_say_why(pushed: int, why: str) -> None:
    """No channel, not within their hours, or the most that they asked for had come within the hour."""
    found = {one.person: one for one in told(pushed=pushed).not_told}

    assert {name: one.why for name, one in found.items()} == {"Marit": why, "Joren": "hours", "Anna": "no-channel"}
    assert found["Marit"].pushes == pushed and found["Joren"].from_at is None


def test_what_held_it_back_ends_when_it_was_let_through_or_over() -> None:
    """Two stretches, the second lasting until the end of the alert."""
    found = told(
        entries=(
            entry(0, "raised"),
            entry(10, "held-back", covered_by=["box-quiet box:2"]),
            entry(20, "let-through", covered_by=[]),
            entry(30, "held-back", covered_by=["box-quiet box:1"]),
            entry(50, "over"),
        )
    ).held_back

    assert [(one.since - AT, one.until and one.until - AT, one.by) for one in found] == [
        (10, 20, ("box-quiet box:2",)),
        (30, 50, ("box-quiet box:1",)),
    ]


def test_who_had_it_is_told_in_order_with_the_entry() -> None:
    """Put off, handed on, answered: each with its moment, and what was said."""
    found = told(
        entries=(
            entry(0, "raised"),
            entry(5, "put-off", "Marit", until=AT + 60, answered_at=AT + 4),
            entry(6, "handed", "Marit", to="Joren"),
            entry(9, "answer", "Joren", finding="seen to", note="brought up", answered_at=AT + 8),
        )
    ).had

    assert [(one.kind, one.person, one.at - AT, one.entry) for one in found] == [
        ("put-off", "Marit", 4, 2),
        ("handed", "Marit", 6, 3),
        ("answer", "Joren", 8, 4),
    ]
    assert (found[1].to, found[2].finding, found[2].note) == ("Joren", "seen to", "brought up")


def test_the_log_tells_which_alert_stood_at_a_moment() -> None:
    """From when it came to when it was over, with what held it back just then."""
    entries = log(
        entry(0, "raised", since=AT - 5),
        entry(10, "held-back", covered_by=["box-quiet box:2"]),
        entry(30, "over"),
        entry(40, "again", since=AT + 39),
    )

    def at(seconds: int) -> tuple[int, tuple[str, ...]] | None:
        stood = stood_at(entries, "late-cow", "cow:1", AT + seconds)
        return None if stood is None else (stood.since - AT, stood.held_back_by)

    assert [at(-1), at(5), at(15), at(35), at(45)] == [None, (-5, ()), (-5, ("box-quiet box:2",)), None, (39, ())]
    newest = came_entry(entries, 7)
    assert newest is not None and newest.entry.kind == "again"
