"""`seal`: a day's seal, kept elsewhere; and `verify --seals`, which compares the log with it."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path

import pytest
from cli.typed import sentinel

from sentinel.flow.record.seal import Seal, seal_line


def test_yesterday_is_sealed_to_a_file(log: Path, tmp_path: Path) -> None:
    """One line, which is printed too; the log says that it was made and fits it."""
    said = sentinel("seal", log, "--to", tmp_path / "seals.jsonl")
    assert said.code == 0, said.err

    assert json.loads(said.out) == json.loads((tmp_path / "seals.jsonl").read_text())
    found = sentinel("verify", log, "--seals", tmp_path / "seals.jsonl")
    assert found.code == 0 and "It fits 1 seal." in found.words
    assert len(sentinel("history", log, "--kind", "seal", "--json").records) == 1


def test_a_log_made_anew_does_not_fit_its_seal(log: Path, tmp_path: Path) -> None:
    """The chain is whole, and the seal that lies elsewhere shows that it is not the one of then."""
    conn = sqlite3.connect(log / "sentinel.db")
    seq, head = conn.execute("select seq, hash from log order by seq desc limit 1").fetchone()
    conn.close()
    good, other, later = (
        Seal("x", "2026-05-04", *values, 1) for values in ((seq, head), (seq, "0" * 64), (seq + 9, head))
    )
    for seal, code in ((good, 0), (other, 4), (later, 4)):
        (tmp_path / "s").write_text(seal_line(seal) + "\n")
        found = sentinel("verify", log, "--seals", tmp_path / "s")
        assert (found.code == 0) == (code == 0), found.words
        assert code == 0 or "does not fit its seals" in found.err


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--day", "4 May"), "is no day"),
        (("--day", "2999-01-01"), "is not over yet"),
        (("--to", "/no/such/folder/s"), "cannot be written"),
    ],
)
def test_what_cannot_be_sealed_is_refused(log: Path, more: tuple[str, str], said: str) -> None:
    """With one sentence; and a line that is no seal is named."""
    found = sentinel("seal", log, *more)

    assert found.code == 2 and said in found.err


def test_a_file_of_seals_that_is_broken_is_named_by_its_line(log: Path, tmp_path: Path) -> None:
    """And one that is not there."""
    (tmp_path / "s").write_text("no seal\n")

    assert "s:1: this line is no seal" in sentinel("verify", log, "--seals", tmp_path / "s").err
    assert "cannot be read" in sentinel("verify", log, "--seals", tmp_path / "none").err
