"""`report`: the report card of the rules."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from cli.typed import sentinel
from freezegun import freeze_time

from sentinel.cli.base import now


def test_what_came_of_each_rule(log: Path) -> None:
    """Box failures: two alerts, both rang, one was answered; each month a line, then all of it."""
    month, whole = sentinel("report", log, "--json").records
    shown = sentinel("report", log)

    assert (whole["rule"], whole["month"], whole["raised"], whole["rung"]) == ("box-failures", "", 2, 2)
    assert (whole["answered"], whole["real"], whole["unanswered"]) == (1, 1, 1)
    assert {**whole, "month": month["month"]} == month
    assert "something found" in shown.words
    assert "only seen" in shown.words
    assert whole["answered"] == whole["real"] + whole["nothing_found"] + whole["seen"]
    assert sentinel("report", log, "--until", "2020-01-01", "--json").records == []


def test_an_alert_of_a_look_ahead_of_the_clock_counts(log: Path) -> None:
    """Two looks within a second: the second one is dated later than the clock stands."""
    with freeze_time(datetime.fromtimestamp(now() - 30, UTC)):
        *_, whole = [one for one in sentinel("report", log, "--json").records if one.get("month") == ""]

    assert whole["raised"] == 2
