"""`history`: the log by what is asked for, as a table, as lines and for a spreadsheet."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from cli.typed import sentinel

from sentinel.edges.clock import Clock


def test_into_a_pipe_every_entry_of_the_history_is_one_line(told: Path) -> None:
    """However long its words are, so that it can be searched by line."""
    lines = sentinel("history", told, "--kind", "raised").out.splitlines()

    assert len(lines) == 2
    assert len(lines[1]) > 80


def test_history_is_filtered_by_every_option(log: Path) -> None:
    """Each filter gives exactly the entries it names; together they narrow."""

    def found(*given: str | int) -> list[dict[str, Any]]:
        return sentinel("history", log, "--json", *given).records

    every = found()
    assert [entry["number"] for entry in every] == list(range(1, len(every) + 1))
    assert {e["rule"] for e in found("--rule", "box-failures")} == {"box-failures"}
    assert {e["subject"] for e in found("--subject", "box:1")} == {"box:1"}
    assert [e["kind"] for e in found("--subject", "box:1", "--kind", "raised")] == ["raised"]
    assert {e["person"] for e in found("--person", "Operator")} == {"Operator"}
    assert [e["kind"] for e in found("--alert", 1)][:2] == ["raised", "notice"]
    assert "answer" in [e["kind"] for e in found("--alert", 1)]
    assert found("--since", "1 h") == every
    assert found("--until", "1 h") == []
    today = f"{datetime.fromtimestamp(Clock().now(), UTC):%Y-%m-%d}"
    assert found("--since", "2020-01-01", "--until", today) == every
    assert found("--until", "2020-01-01 12:00") == []
    wrong = sentinel("history", log, "--since", "yesterday-ish")
    assert (wrong.code, '"2026-05-13 14:00"' in wrong.words) == (2, True)


def test_history_as_csv_is_safe_to_open_in_a_spreadsheet(log: Path) -> None:
    """One line per entry with the table's columns; no cell begins as a formula."""
    rows = list(csv.reader(io.StringIO(sentinel("history", log, "--csv").out)))

    assert rows[0] == ["number", "time", "kind", "alert", "rule", "subject", "person", "what"]
    assert len(rows) - 1 == len(sentinel("history", log, "--json").records)
    assert all(len(row) == len(rows[0]) for row in rows)
    assert [cell for row in rows for cell in row if cell[:1] in tuple("=+-@\t\r")] == []
    assert any("=2+5" in row[-1] for row in rows)
    (log / "people.yaml").write_text("- person: '=1+1'\n  channels: [operator-phone]\n")
    sentinel("answer", 1, "--by", "=1+1", "--farm", log)
    rows = list(csv.reader(io.StringIO(sentinel("history", log, "--csv", "--kind", "answer").out)))
    assert rows[-1][-2] == "'=1+1"


def test_history_is_a_table_for_people(log: Path) -> None:
    """The table tells the raise, the notice and the answer in words."""
    words = sentinel("history", log).words

    for part in ("raised", "box 2", "answer", "optics dirty"):
        assert part in words
