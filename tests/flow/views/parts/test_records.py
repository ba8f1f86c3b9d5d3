"""Alerts and the log as page and terminal both show them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sentinel.flow.alerts.chain import ENTRY_KINDS, START, chained
from sentinel.flow.language import english
from sentinel.flow.model import Alert, Entry
from sentinel.flow.views.parts.records import (
    HISTORY_COLUMNS,
    alert_record,
    answer_words,
    by_walk,
    history_record,
    history_row,
    rfc3339,
    what_words,
)

NOON = 1_717_416_000  # 2024-06-03T12:00:00Z


def alert(number: int, subject: str, urgency: str = "round", **more: object) -> Alert:
    """An alert raised at noon."""
    return Alert(number, "r", subject, NOON, NOON - 60 * number, urgency, "words", **more)  # type: ignore[arg-type]


def test_alerts_stand_in_the_order_they_are_walked() -> None:
    """What cannot wait first; then boxes, tank, cows and quarters, chores, feeds; the oldest first at each place."""
    subjects = ["feed:herd", "chore:wire/east", "quarter:7/LF", "cow:7", "tank:1", "box:2", "box:1"]
    alerts = [alert(n, subject) for n, subject in enumerate(subjects)] + [alert(9, "cow:9", "now")]
    assert [one.subject for one in by_walk(alerts)] == ["cow:9", "box:1", "box:2", *reversed(subjects[:-2])]


def test_an_alert_for_programs_has_times_in_utc_and_null_for_nothing() -> None:
    """Names and values as the README shows them."""
    record = alert_record(alert(3, "cow:7", value=14.5, over_at=NOON + 60, answered_at=NOON, answered_by="Marit"))
    assert (record["raised_at"], record["over_at"], record["answered_by"]) == (
        "2024-06-03T12:00:00Z", "2024-06-03T12:01:00Z", "Marit",
    )  # fmt: skip
    listed = [{"cow": "217", "state": "new"}, {"cow": "5", "state": "low"}]
    several = replace(alert(4, "recording:2024-06-03"), facts={"listed": listed})
    assert (record["cows"], alert_record(several)["cows"]) == ([], ["217"])
    assert (record["finding"], record["note"], alert_record(alert(3, "cow:7"))["over_at"]) == (None, None, None)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({}, ""),
        ({"covered_by": ("box-quiet box:2", "feed-quiet feed:a")}, "held back: box-quiet box:2"),
        ({"answered_at": NOON, "answered_by": "Marit"}, "Marit 14:00"),
        ({"answered_at": NOON, "answered_by": "Marit", "finding": "lame", "note": "left hind"},
         "Marit 14:00: lame (left hind)"),
    ],
)  # fmt: skip
def test_who_answered_is_said_in_the_farms_time(more: dict[str, object], said: str) -> None:
    """In a zone two hours east."""
    assert answer_words(alert(1, "cow:7", **more), NOON + 60, "Europe/Berlin") == said


@pytest.mark.parametrize(
    ("kind", "body", "said"),
    [
        ("raised", {"text": "Box 2: 6 failures", "because": "an edit"}, "Box 2: 6 failures (because an edit)"),
        ("answer", {}, "seen"),
        ("answer", {"finding": "lame", "note": "left hind"}, "lame; left hind"),
        ("chore", {"note": ""}, "done"),
        ("notice", {"kind": "alert", "title": "Box 2", "notice": "4"}, "alert: Box 2 (notice 4)"),
        ("delivered", {"notice": "4", "channel": "phone", "attempts": 1, "detail": "x"}, "notice 4 to phone, try 1"),
        ("gave-up", {"notice": "4", "channel": "phone", "attempts": 9, "detail": "busy"},
         "notice 4 to phone, try 9: busy"),
        ("held-back", {"covered_by": ["a box:1", "b box:2"]}, "by a, box 1; b, box 2"),
        ("read", {"file": "a.csv", "rows": 9, "new": 3, "corrected": 1}, "a.csv: 9 rows, 3 new, 1 corrected"),
        ("set-aside", {"file": "a.csv", "rows": 2, "line": 5, "reason": "no time"},
         "a.csv: 2 set aside, line 5: no time"),
        ("correction", {"table": "visits", "file": "b.csv", "old": {"milk_kg": 138.0, "modified": 1},
                        "new": {"milk_kg": 13.8, "modified": 2}}, "visits: milk_kg 138 → 13.8 (b.csv)"),
        ("rules-changed", {"changes": ["a", "b"]}, "a; b"),
        ("problem", {"said": "no map for x"}, "no map for x"),
        ("rule-edited", {"key": "raise_over", "before": "14 h", "after": "16 h", "why": "too many"},
         "raise_over: 14 h → 16 h; too many"),
        ("rule-edited", {"key": "raise_over", "before": "16 h", "after": "14 h", "why": "", "undoes": 7},
         "raise_over: 16 h → 14 h (as it was before)"),
        ("start", {}, ""),
        ("put-off", {"until": 1_777_888_800, "note": "in the field"}, "until 11:00; in the field"),
        ("photo", {"file": "0.jpg"}, "picture 0.jpg"),
    ],
)  # fmt: skip
def test_an_entry_is_told_in_words(kind: str, body: dict[str, object], said: str) -> None:
    """What happened, without having to know the program."""
    assert what_words(Entry(1_777_881_600, kind, body=body), english("Europe/Dublin")) == said


@pytest.mark.parametrize("kind", ENTRY_KINDS)
def test_every_kind_of_entry_has_a_row_of_history(kind: str) -> None:
    """Also one whose body is empty."""
    [logged] = chained([Entry(NOON, kind, 4, "late-cow", "cow:7", "Marit")], START, 0)
    row = history_row(logged, "Europe/Berlin", None)
    assert len(row) == len(HISTORY_COLUMNS)
    assert row[:7] == ("1", "2024-06-03 14:00:00+02:00", kind, "4", "late-cow", "cow 7", "Marit")
    record = history_record(logged)
    assert (record["at"], record["hash"], record["body"]) == (rfc3339(NOON), logged.hash, {})
