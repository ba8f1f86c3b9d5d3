"""What page and terminal both show."""

from __future__ import annotations

import csv
import io
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.chain import START, chained
from sentinel.flow.model import ENTRY_KINDS, Alert, Entry
from sentinel.flow.views.parts.csv_text import csv_text
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
from sentinel.flow.visible import visible
from sentinel.flow.words import Plain

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
        ("held-back", {"covered_by": ["a box:1", "b box:2"]}, "by a box:1, b box:2"),
        ("read", {"file": "a.csv", "rows": 9, "new": 3, "corrected": 1}, "a.csv: 9 rows, 3 new, 1 corrected"),
        ("set-aside", {"file": "a.csv", "rows": 2, "line": 5, "reason": "no time"},
         "a.csv: 2 set aside, line 5: no time"),
        ("correction", {"table": "visits", "file": "b.csv", "old": {"milk_kg": 138.0, "modified": 1},
                        "new": {"milk_kg": 13.8, "modified": 2}}, "visits: milk_kg 138.0 → 13.8 (b.csv)"),
        ("rules-changed", {"changes": ["a", "b"]}, "a; b"),
        ("problem", {"said": "no map for x"}, "no map for x"),
        ("start", {}, ""),
        ("put-off", {"until": 1_777_888_800, "note": "in the field"}, "until 11:00; in the field"),
        ("photo", {"file": "0.jpg"}, "picture 0.jpg"),
    ],
)  # fmt: skip
def test_an_entry_is_told_in_words(kind: str, body: dict[str, object], said: str) -> None:
    """What happened, without having to know the program."""
    assert what_words(Entry(1_777_881_600, kind, body=body), Plain("Europe/Dublin")) == said


@pytest.mark.parametrize("kind", ENTRY_KINDS)
def test_every_kind_of_entry_has_a_row_of_history(kind: str) -> None:
    """Also one whose body is empty."""
    [logged] = chained([Entry(NOON, kind, 4, "late-cow", "cow:7", "Marit")], START, 0)
    row = history_row(logged, "Europe/Berlin", None)
    assert len(row) == len(HISTORY_COLUMNS)
    assert row[:7] == ("1", "2024-06-03 14:00:00+02:00", kind, "4", "late-cow", "cow 7", "Marit")
    record = history_record(logged)
    assert (record["at"], record["hash"], record["body"]) == (rfc3339(NOON), logged.hash, {})


HOSTILE = st.text(st.sampled_from("=+-@\uff1d;,\t\r\n \"'\u00a0\ufeff\u200b\u202e\x00\x1b|a1é")) | st.text(max_size=6)


@given(st.lists(st.lists(HOSTILE, min_size=2, max_size=2), max_size=4))
def test_no_cell_of_a_csv_can_start_a_formula_and_nothing_is_lost(rows: list[list[str]]) -> None:
    """Read back, each cell is the text with what is not seen written out, and quotes before what would be a formula."""
    text = csv_text(["a", "b"], rows)
    read = list(csv.reader(io.StringIO(text, newline="")))[1:]
    for cells, originals in zip([row for row in read if row], rows, strict=True):
        for cell, original in zip(cells, originals, strict=True):
            assert cell.replace("'", "") == visible(original).replace("'", "")
            assert not cell.lstrip(" \u00a0\ufeff\u200b").startswith(("=", "+", "-", "@", "\t", "\r", "\n"))


@pytest.mark.parametrize("separator", [";", "\t"])
@given(HOSTILE, st.booleans())
def test_no_part_of_a_cell_is_a_formula_where_a_spreadsheet_splits_elsewhere(
    separator: str, note: str, quotes: bool
) -> None:
    """Split at semicolons or tabs, with or without heed of quotes, by lines or not: no part begins like a formula."""
    text = csv_text(["number", "note"], [["1", note], ["2", f"seen{separator}{note}"]])
    heeded = csv.QUOTE_MINIMAL if quotes else csv.QUOTE_NONE
    for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator, quoting=heeded):
        for part in row:
            assert part.strip(' \u00a0\ufeff\u200b"')[:1] not in ("=", "+", "-", "@", "\uff1d"), text
            assert not part.startswith(("\t", "\r", "\n")), text


@pytest.mark.parametrize(
    "note", ["\u00a0=1", "\ufeff=1", " \u2003@x", "seen;=1", 'seen; "=1"', "a\n=1", "\uff1d1", "a\t-1"]
)
def test_a_formula_behind_spaces_marks_and_separators_is_text(note: str) -> None:
    """No-break spaces, byte-order marks, semicolons, line breaks, tabs: one by one, as spreadsheets have met them."""
    cell = csv_text(["note"], [[note]]).split("\r\n")[1].strip('"')

    assert not re.search(r"(^|[;\t\n])[\s\ufeff\"]*[=@\uff1d-]", cell), cell
