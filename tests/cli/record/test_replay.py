"""`replay`: what the rules say of what was read, as they are or with another bound."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from cli.typed import export, failures, sentinel

from sentinel.edges.settings import STORE_NAME


def test_replay_prints_one_object_a_line(log: Path) -> None:
    """The shape of a replayed alert, in both readings of history; times in UTC to the second."""
    bulk, arrived = (sentinel("replay", log, "--json", *how).records for how in ((), ("--as-arrived",)))

    for found in (bulk, arrived):
        assert {(one["rule"], one["subject"]) for one in found} == {
            ("box-failures", "box:1"),
            ("box-failures", "box:2"),
        }
        for one in found:
            assert list(one) == ["rule", "subject", "raised_at", "over_at", "urgency", "value", "suspects", "incident"]
            assert datetime.strptime(one["raised_at"], "%Y-%m-%dT%H:%M:%SZ")  # noqa: DTZ007
            assert (one["over_at"], one["urgency"], one["suspects"]) == (None, "now", [])
    live = {a["subject"]: a["raised_at"] for a in sentinel("alerts", log, "--json").records}
    assert {one["subject"]: one["raised_at"] for one in arrived} == live


def test_replay_tries_another_threshold(log: Path) -> None:
    """With the bound at six failures only box 1 is left; the file keeps its own bound; a wrong setting is refused."""
    tried = sentinel("replay", log, "--json", "--set", "box-failures.raise_over=6 failures").records
    shown = sentinel("replay", log, "--set", "box-failures.raise_over=6 failures")
    wrong = sentinel("replay", log, "--set", "box-failures.raise_ovr=6 failures")
    nothing = sentinel("replay", log, "--set", "box-failures")

    assert [one["subject"] for one in tried] == ["box:1"]
    assert "before" in shown.words
    assert len(sentinel("replay", log, "--json").records) == 2
    assert (wrong.code, 'did you mean "raise_over"?' in wrong.words) == (1, True)
    assert (nothing.code, "RULE.FIELD=VALUE" in nothing.words) == (1, True)


def test_replay_of_a_folder_that_was_never_run(farm: Path) -> None:
    """Everything in the inbox counts as if it had been on time; nothing is stored."""
    (farm / "exports" / "a.csv").write_text(export(*failures("2", 6, 100)))

    found = sentinel("replay", farm, "--json").records

    assert [one["subject"] for one in found] == ["box:2"]
    assert not (farm / STORE_NAME).exists()
