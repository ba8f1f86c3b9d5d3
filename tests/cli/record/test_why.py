"""`why`: why the phone rang, or did not, as it is typed."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.typed import sentinel


def test_an_alert_is_told_with_file_line_value_and_version(log: Path) -> None:
    """The failed visits with their lines of the export, the value that comes out again, the bound, the answer."""
    said = sentinel("why", 1, "--farm", log)

    assert said.code == 0, said.err
    for text in ("a.csv, line 2", "the value is the one in the log", "An alert comes above 5 failures", "version "):
        assert text in said.words
    assert "Operator answered: optics dirty" in said.words and "No phone rang for it." in said.words


def test_programs_get_all_rows(log: Path) -> None:
    """One object, whose rows name file and line."""
    [record] = sentinel("why", 1, "--json", "--farm", log).records

    assert record["value_agrees"] is True and record["saw"]["state"] == "holds"
    assert {place["file"] for row in record["rows"] for place in row["stands"]} == {"a.csv"}
    assert sorted(place["line"] for row in record["rows"] for place in row["stands"]) == [2, 3, 4, 5, 6, 7]


def test_a_silence_is_told(log: Path) -> None:
    """Box 1 before it failed: no alert of the rule, and what it saw then."""
    said = sentinel("why", "--not", "rows-set-aside", "file:milkings/a.csv", "--at", "0 s", "--farm", log)

    assert said.code == 0, said.err
    assert "No alert of this rule stood on it then." in said.words


@pytest.mark.parametrize(
    "given", [("why",), ("why", "late"), ("why", "1", "--at", "6 h"), ("why", "--not", "a", "b"), ("why", "999")]
)
def test_what_is_typed_wrong_is_refused_with_what_would_be_right(log: Path, given: tuple[str, ...]) -> None:
    """No trace, exit 1, and one sentence."""
    said = sentinel(*given, "--farm", log)

    assert (
        said.code not in (0, None) and "Traceback" not in said.err and ("--not" in said.err or "sentinel" in said.err)
    )
