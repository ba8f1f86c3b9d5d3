"""`report`: the report card of the rules."""

from __future__ import annotations

from pathlib import Path

from cli.typed import sentinel


def test_what_came_of_each_rule(log: Path) -> None:
    """Box failures: two alerts, both rang, one was answered; each month a line, then all of it."""
    month, whole = sentinel("report", log, "--json").records
    shown = sentinel("report", log)

    assert (whole["rule"], whole["month"], whole["raised"], whole["rung"]) == ("box-failures", "", 2, 2)
    assert (whole["answered"], whole["real"], whole["unanswered"]) == (1, 1, 1)
    assert {**whole, "month": month["month"]} == month
    assert "for something" in shown.words
    assert sentinel("report", log, "--until", "2020-01-01", "--json").records == []
