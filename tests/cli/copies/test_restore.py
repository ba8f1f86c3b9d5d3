"""`restore`: the store is back as the copy had it, proven, and the gap is told by what the old store still shows."""

from __future__ import annotations

from pathlib import Path

from cli.typed import sentinel

from sentinel.edges.store.copies import lost_since


def test_the_gap_is_told_by_what_the_old_log_still_has(log: Path, tmp_path: Path) -> None:
    """An answer and a seal made after the copy: counted, and that the seal fits no longer; the store is whole."""
    assert sentinel("backup", tmp_path / "copy.db", "--farm", log).code == 0
    assert sentinel("answer", 2, "--by", "Operator", "--found", "nothing found", "--farm", log).code == 0
    assert sentinel("seal", log, "--to", tmp_path / "seals.jsonl").code == 0

    said = sentinel("restore", tmp_path / "copy.db", "--farm", log)

    assert said.code == 0, said.err
    assert "1 answer" in said.words and "1 seal" in said.words
    assert "Seals made after the copy (1) fit the log that was set aside" in said.words
    assert "The log is whole" in sentinel("verify", log).words
    assert len(sentinel("history", log, "--kind", "answer", "--json").records) == 1


def test_without_a_gap_none_is_told(log: Path, tmp_path: Path) -> None:
    """The copy has all that the store had."""
    assert sentinel("backup", tmp_path / "copy.db", "--farm", log).code == 0

    said = sentinel("restore", tmp_path / "copy.db", "--farm", log)

    assert said.code == 0 and "entries more" not in said.words


def test_of_a_store_that_cannot_be_read_nothing_is_claimed(tmp_path: Path) -> None:
    """A file that is no database, or not there."""
    (tmp_path / "x.db").write_bytes(b"no database")

    assert lost_since(tmp_path / "x.db", 0) == lost_since(tmp_path / "none.db", 0) == {}
