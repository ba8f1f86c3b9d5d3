"""Why an alert came, or none did: put together again from what was known then, whatever came later."""

from __future__ import annotations

import pytest
from text_tables import moment
from whole.whole_farm import (
    BOX_FAILURES,
    BOX_LOG_FEED,
    FEED,
    FEED_QUIET,
    HERD_FEED,
    LATE_COW,
    Life,
    batch,
    setup_of,
)

from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.keeping import let_go_rows
from sentinel.errors import UsageError
from sentinel.flow.model import Answer, State
from sentinel.flow.record.evidence import NOT_LOOKED_AT
from sentinel.runtime.record.past import why_alert, why_not

PEOPLE = """
- person: Marit
  channels: [marit-phone]
- person: Joren
  channels: [joren-phone]
  hours: {now: "20:00-21:00"}
- person: Anna
  channels: []
"""
CLASSED = LATE_COW + "  classes:\n    - where: {milkings_allowed: 1}\n      raise_over: 26 h\n"


def herd_list(file: str = "herd_1.csv") -> object:
    """Cow 1 is in milk, cow 2 milked once a day, cow 3 dry."""
    rows = "cow from milkings_allowed status\n1 00:00 3 milking\n2 00:00 1 milking\n3 00:00 3 dry"
    return batch("\n".join("  ".join(line.split(" ")) for line in rows.splitlines()), "cows", feed="herd", file=file)


def visits(*rows: str, file: str) -> object:
    """Visits, written `cow start box outcome`."""
    text = "\n".join(["cow  start  box  outcome", *("  ".join(row.split(" ")) for row in rows)])
    return batch(text, file=file)


@pytest.fixture
def life() -> Life:
    """Three cows; cow 1 and 2 are milked once in the night and then stay away, while others keep the feed known."""
    rules = CLASSED + FEED_QUIET + BOX_FAILURES
    lived = Life(setup_of(rules, (FEED, BOX_LOG_FEED, HERD_FEED), people=PEOPLE))
    lived.at("00:10", herd_list())
    lived.at("01:00", visits("9 00:20 1 milked", "1 00:40 1 milked", "2 00:45 2 milked", file="m_1.csv"))
    for hour in range(2, 20):
        lived.at(f"{hour:02}:00", visits(f"9 {hour - 1:02}:50 1 milked", file=f"m_{hour}.csv"))
    return lived


def late(life: Life) -> int:
    """The number of the alert on cow 1."""
    return next(one.id for one in all_alerts(life.store) if (one.rule, one.subject) == ("late-cow", "cow:1"))


def test_an_alert_is_told_with_the_row_file_and_line_it_rested_on(life: Life) -> None:
    """The last milking, as the second row of her file, the value that the log has, the bound and the rule's version."""
    why = why_alert(life.store, late(life))

    assert why.seen is not None and why.version is not None and why.seen.in_force is not None
    milked = [row for row in why.rows if row.table == "visits"]
    assert [(row.at, row.stands) for row in milked] == [(moment("00:40"), (("m_1.csv", 3),))]
    assert why.agrees is True and why.told_value == why.seen.value
    assert (why.seen.in_force.raises, why.seen.in_force.number) == (14.0, 0)
    assert dict(why.seen.in_force.says)["status"] == "milking"
    assert why.version.entry is None


def test_a_row_that_was_corrected_later_is_told_as_it_stood(life: Life) -> None:
    """What is known today is not what was known then: the alert still rests on the milking, and on its first file."""
    number = late(life)
    life.at("19:30", visits("1 00:40 2 failed", "9 19:20 1 milked", file="late.csv"))

    why = why_alert(life.store, number)

    assert why.agrees is True and why.seen is not None and why.seen.state == State.HOLDS
    [row] = [row for row in why.rows if row.table == "visits"]
    assert row.stands == (("m_1.csv", 3),) and dict(row.says)["outcome"] == "milked"


def test_the_edit_that_brought_the_threshold_is_named() -> None:
    """After a rule was changed, its alerts name the log's entry about the edit; those before name none."""
    life = Life(setup_of(LATE_COW, (FEED,)))
    life.at("01:00", visits("1 00:40 1 milked", file="m_1.csv"))
    life.engine.use(setup_of(LATE_COW.replace("14 h", "6 h"), (FEED,)))
    for hour in range(2, 10):
        life.at(f"{hour:02}:00", visits(f"9 {hour - 1:02}:50 1 milked", file=f"m_{hour}.csv"))

    why = why_alert(life.store, late(life))

    assert why.version is not None and why.seen is not None and why.seen.in_force is not None
    assert why.version.entry is not None and why.seen.in_force.raises == 6.0
    assert any("raise_over 14 → 6 h" in change for change in why.version.changes)
    before = why_not(life.store, "late-cow", "cow:1", moment("01:30"))
    assert before.version is not None and before.version.entry is None
    assert before.version.version != why.version.version


@pytest.mark.parametrize(
    ("subject", "at", "state"),
    [
        ("cow:1", "10:00", State.CLEAR),
        ("cow:1", "16:00", State.HOLDS),
        ("cow:2", "16:00", State.CLEAR),
        ("cow:3", "16:00", NOT_LOOKED_AT),
        ("cow:77", "16:00", NOT_LOOKED_AT),
    ],
)
def test_a_silence_is_told_by_what_the_rule_saw_then(life: Life, subject: str, at: str, state: str) -> None:
    """Clear within her bound, or her class's; holding while an alert stands; not looked at if dry or never heard of."""
    why = why_not(life.store, "late-cow", subject, moment(at))

    assert why.seen is not None and why.seen.state == state
    assert (why.stood is not None) == (state == State.HOLDS)
    if subject == "cow:2":
        assert why.seen.in_force is not None and (why.seen.in_force.number, why.seen.in_force.raises) == (1, 26.0)


def test_a_silence_for_want_of_an_export_says_so(life: Life) -> None:
    """Between two exports she passes her bound, and nobody can know it: unknown; and how far the feed told is said."""
    life.at("20:00", visits("1 19:30 1 milked", "9 19:50 1 milked", file="m_20.csv"))

    why = why_not(life.store, "late-cow", "cow:1", moment("1d12:00"))

    assert why.seen is not None and why.seen.state == State.UNKNOWN
    assert why.seen.why == "the export has not come that far"
    assert [feed.quiet_since is not None for feed in why.seen.feeds if feed.feed == "milkings"] == [True]


def test_what_became_of_it_is_told_to_the_person_and_the_channel(life: Life) -> None:
    """Failures at box 2 ring Marit; Joren is not to be reached by day and Anna has no phone; Marit answers."""
    life.at(
        "19:10",
        visits("4 19:01 2 failed", "5 19:02 2 failed", "6 19:03 2 failed", "9 19:05 1 milked", file="f_1.csv"),
    )
    [alert] = [one for one in all_alerts(life.store) if one.rule == "box-failures"]
    life.at("19:20", answers=(Answer(alert.id, moment("19:15"), "Marit", "seen", "on my way"),))

    why = why_alert(life.store, alert.id)

    assert why.story is not None and why.agrees is True
    assert [(one.notice.person, one.channel, one.outcome) for one in why.story.sent][:1] == [
        ("Marit", "marit-phone", "waiting")
    ]
    assert not why.story.rang  # it waits in the outbox: no phone has rung yet
    assert {(one.person, one.why) for one in why.story.not_told} == {("Joren", "hours"), ("Anna", "no-channel")}
    assert [(one.person, one.at, one.note) for one in why.story.had] == [("Marit", moment("19:15"), "on my way")]
    lines = {line for row in why.rows for _, line in row.stands}
    assert {2, 3, 4} <= lines


def test_what_cannot_be_put_together_again_is_said(life: Life) -> None:
    """Before anything was read, and of a rule that was not there, the answer says so; an unknown number is refused."""
    assert "nothing had been read" in str(why_not(life.store, "late-cow", "cow:1", moment("00:00") - 60).cannot)
    assert "there was no rule" in str(why_not(life.store, "late-bull", "cow:1", moment("10:00")).cannot)
    with pytest.raises(UsageError, match="no alert 999"):
        why_alert(life.store, 999)


def test_what_was_let_go_is_not_told_from_what_is_left(life: Life) -> None:
    """After the rows of then are gone the answer is that they are, and not another one."""
    number = late(life)
    let_go_rows(life.store, moment("18:00"))

    why = why_alert(life.store, number)

    assert why.seen is None and "let go" in str(why.cannot)
    assert why.story is not None
