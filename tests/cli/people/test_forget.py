"""`people forget`: a name is replaced, the proof stays whole, and what cannot be done is said first."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.typed import sentinel

from sentinel.runtime.farm_folder import lock


def test_a_name_is_replaced_and_the_log_stays_whole(log: Path) -> None:
    """Counted first; then done, said in the log with who did it; the note they wrote stays."""
    first = sentinel("people", "forget", "Operator", "--by", "Anna", "--farm", log)
    assert first.code in (0, 2), first.err
    people = log / "people.yaml"
    people.write_text("- person: Anna\n  channels: []\n")
    first = sentinel("people", "forget", "Operator", "--by", "Anna", "--farm", log)
    assert "entries of the log name Operator" in first.words, first.words

    said = sentinel(
        "people", "forget", "Operator", "--as", "Helper 1", "--by", "Anna", "--why", "asked", "--yes", "--farm", log
    )

    assert said.code == 0, said.err
    assert "The log is whole" in sentinel("verify", log).words
    [answer] = sentinel("history", log, "--kind", "answer", "--json").records
    assert answer["person"] == "Helper 1" and answer["body"]["note"] == "=2+5"
    [done] = sentinel("history", log, "--kind", "name-replaced", "--json").records
    assert (done["person"], done["body"]["why"], done["body"]["as"]) == ("Anna", "asked", "Helper 1")
    assert "Operator" not in sentinel("alerts", log, "--all").words


@pytest.mark.parametrize(
    ("name", "instead", "said"),
    [
        ("Operator", "Operator 2", "something else"),
        ("Operator", "[x]", "cannot stand for a name"),
        ("", "x", "name the person"),
    ],
)
def test_what_cannot_stand_for_a_name_is_refused(log: Path, name: str, instead: str, said: str) -> None:
    """Nothing is changed."""
    found = sentinel("people", "forget", name, "--as", instead, "--by", "Anna", "--yes", "--farm", log)

    assert found.code == 2 and said in found.err


def test_who_is_still_told_or_watched_over_is_not_forgotten(log: Path) -> None:
    """The name would come back: first out of people.yaml, and the service stopped."""
    (log / "people.yaml").write_text("- person: Operator\n  channels: []\n")
    assert "out of people.yaml" in sentinel("people", "forget", "Operator", "--by", "A", "--yes", "--farm", log).err
    (log / "people.yaml").write_text("- person: Anna\n  channels: []\n")
    taken = lock(log)
    try:
        found = sentinel("people", "forget", "Operator", "--by", "A", "--yes", "--farm", log)
    finally:
        taken.release()
    assert found.code == 2 and "stop the running sentinel" in found.err
