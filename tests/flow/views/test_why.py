"""Why it came, in words: every part under its heading, and in JSON the same."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from view_farm import AT

from sentinel.flow.language import english
from sentinel.flow.model import Alert, Notice, State
from sentinel.flow.reasons import Reason
from sentinel.flow.record.evidence import FeedThen, InForce, Reading, Seen
from sentinel.flow.record.rule_version import RuleVersion
from sentinel.flow.record.story import Had, HeldBack, NotTold, Sent, Story
from sentinel.flow.record.why import RowShown, Usual, Why
from sentinel.flow.views.for_programs.why_record import why_record
from sentinel.flow.views.why import why_page

ALERT = Alert(7, "late-cow", "cow:217", AT, AT - 60, "now", "Cow 217 not milked for 14 h")
FORCE = InForce(1, (("milkings_allowed", ("1",)),), 26.0, 25.0, 30.0, True, 600, "round", (("status", "milking"),))
SEEN = Seen(
    AT, "late-cow", "cow:217", State.HOLDS.value, 26.5, "h", "round", AT - 60, AT - 30, "", None, True, FORCE,
    (Reading(AT - 95000, None),), (), (FeedThen("visits", AT - 30, None),),
)  # fmt: skip
VERSION = RuleVersion("rules/cows.yaml:3", "abc123def456", AT - 900, 42, ("raise_over 24 → 26 h",), "Marit", "heat")
ROWS = tuple(
    RowShown("visits", AT - 100 * n, (("cow", "217"), ("milk_kg", 9.25)), (("m.csv", n),)) for n in range(10, 0, -1)
)
NOTICE = Notice(AT, "Marit", "alert", "Cow 217", "", "now", (7,), "3")
GIVEN_UP = Sent(NOTICE, "mail", "gave_up", AT + 9, 5, Reason("no-connection"), True)
STORY = Story(
    (HeldBack(AT, AT + 60, ("box-quiet box:2",)),),
    (Sent(NOTICE, "phone", "delivered", AT + 5, 2, None, True), GIVEN_UP),
    (NotTold("Joren", "hours", AT + 3600), NotTold("Anna", "ceiling", None, 6)),
    (Had(AT + 90, "answer", "Marit", 55, "seen to", "brought up", "", None),),
    True,
)
WHY = Why(AT, "late-cow", "cow:217", ALERT, VERSION, SEEN, None, ROWS, (Usual("visits", 120, AT - 9000, AT),), STORY, None, 26.5, True)  # fmt: skip  # noqa: E501


def said(why: Why) -> str:
    """All its lines."""
    return "\n".join(line for heading, lines in why_page(why, english()) for line in (heading, *lines))


@pytest.mark.parametrize(
    "text",
    [
        "The rule held, with 26 h 30 min.",
        "the value is the one in the log",
        "An alert comes above 26 h.",
        "It cannot wait above 30 h.",
        "It is over at 25 h or less.",
        "It must last for 10 min before.",
        "the rule's class 1 (milkings_allowed: 1)",
        "Known of it: status: milking.",
        "rules/cows.yaml:3, version abc123def456",
        "Entry 42 of the log brought it: raise_over 24 → 26 h.",
        "Changed by Marit.",
        "Reason given: heat",
        "m.csv, line 1",
        "2 earlier rows",
        "120 rows of visits",
        "by box-quiet box:2.",
        "A phone rang for it.",
        "delivered by phone at",
        "given up by mail at",
        "Joren could be reached from",
        "Anna had had 6 notices in the hour before",
        "Marit answered: seen to (brought up) (entry 55)",
    ],
)
def test_each_thing_that_is_known_is_said(text: str) -> None:
    """The value, the bounds and whose, the edit, rows with their lines, channels with results, answers with entries."""
    assert text in said(WHY)


def test_what_differs_from_the_log_or_cannot_be_told_is_said() -> None:
    """Another value than the log's, an unknown one, a subject the rule is not for, a past that is gone."""
    assert "The log has 20 h" in said(replace(WHY, told_value=20.0, agrees=False))
    unknown = replace(SEEN, state="unknown", why="the export has not come that far")
    assert "It could not be told: the export has not come that far." in said(replace(WHY, seen=unknown))
    left_out = replace(SEEN, state="not looked at", why="left-out")
    assert "the rule is not for it" in said(replace(WHY, seen=left_out))
    gone = replace(WHY, seen=None, version=None, cannot=Reason("past-unread"), story=None)
    assert "nothing had been read yet then" in said(gone)


def test_what_could_wait_rang_nobody_for_that_reason() -> None:
    """It says so instead of going through who could have been reached."""
    waiting = replace(WHY, alert=replace(ALERT, urgency="round"), story=replace(STORY, rang=False, sent=()))

    assert "It could wait" in said(waiting) and "Joren could be" not in said(waiting)


def test_programs_get_the_same() -> None:
    """Plain JSON with every row, and times in UTC."""
    record = json.loads(json.dumps(why_record(WHY)))

    assert record["saw"]["value"] == 26.5 and record["threshold"]["raise_over"] == 26.0
    assert len(record["rows"]) == 10 and record["rows"][-1]["stands"] == [{"file": "m.csv", "line": 1}]
    assert record["told"][1]["detail"] == "no connection, or no sensible answer"
    assert record["threshold"]["edit"] == 42 and record["rang"] is True
