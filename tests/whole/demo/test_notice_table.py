"""The demo's week: so many notices besides the lists, and somebody needed each."""

from __future__ import annotations

from dataclasses import replace

import pytest
from whole.demo.notice_table import judged, rows_of, table
from whole.demo.played_demo import played

from sentinel.demo.phone import Message
from sentinel.flow.model import Alert, Entry, Notice

MOST = 8
"""So many notices besides the lists are enough for the week's troubles."""

BOX = Alert(1, "box-failures", "box:2", 1_778_065_000, 1_778_064_000, "now", "Box 2: failing")
PLANTED = [
    {
        "kind": "arm-out-of-line",
        "subject": "box:2",
        "from": "2026-05-06T10:00:00Z",
        "until": "2026-05-06T18:00:00Z",
        "rules": ["box-failures"],
        "figures": {},
    }
]
AT = BOX.raised_at
ANSWER = Entry(AT + 600, "answer", 1, person="Marit", body={"finding": "arm out of line"})


def sent(at: int, to: str, kind: str) -> tuple[Message, Notice]:
    """A notice about the box as it reached a phone."""
    return Message(at, to, "Box 2", ""), Notice(at, to, kind, "Box 2", "", "now", (1,))


@pytest.mark.timeout(620)
def test_the_week_has_few_notices_and_none_was_for_nothing(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Each tells somebody of a planted trouble that was news to them, or how one ended of which they had been told."""
    rows = rows_of(played(tmp_path_factory).farm)

    assert 0 < len(rows) <= MOST
    assert [row for row in rows if not row.needed] == []
    assert {row.planted for row in rows} == {"export-stopped", "arm-out-of-line", "udder-clinical", "cow-late"}
    assert table(rows).endswith("; 0 unneeded.")


@pytest.mark.parametrize(
    ("before", "notice", "needed", "why"),
    [
        ([], (AT, "Marit", "alert"), True, "Marit answered after 10 min: arm out of line"),
        (
            [(AT, "Marit", "alert")],
            (AT + 300, "Joren", "handed-on"),
            True,
            "nobody had answered; Marit did 5 min later",
        ),
        ([(AT, "Marit", "alert")], (AT + 300, "Marit", "alert"), False, "Marit had been told"),
        ([(AT, "Marit", "alert")], (AT + 900, "Joren", "handed-on"), False, "Marit had it already"),
        ([(AT, "Joren", "alert")], (AT + 601, "Joren", "has-it"), True, "Joren had been told, and hears how it ended"),
        ([(AT, "Marit", "alert")], (AT + 601, "Joren", "over"), False, "Joren never was told"),
    ],
)
def test_who_needed_a_notice_is_told_from_what_came_before_and_after_it(
    before: list[tuple[int, str, str]], notice: tuple[int, str, str], needed: bool, why: str
) -> None:
    """A ring of news that nobody has; of a trouble that somebody has, and of its end, only who was told of it."""
    rows = judged([sent(*one) for one in (*before, notice)], {1: BOX}, [ANSWER], PLANTED)

    assert (rows[-1].needed, rows[-1].why) == (needed, why)


def test_a_notice_of_what_was_not_planted_is_not_needed() -> None:
    """Nothing was wrong at box 1; nor was anything before the trouble began, nor what its rule does not tell of."""
    for other in (
        replace(BOX, subject="box:1"),
        replace(BOX, raised_at=AT - 86_400),
        replace(BOX, rule="filter-overdue"),
    ):
        [row] = judged([sent(AT, "Marit", "alert")], {1: other}, [ANSWER], PLANTED)
        assert (row.needed, row.why) == (False, "nothing was wrong")
