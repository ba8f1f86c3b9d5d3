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
            keys = ["rule", "subject", "raised_at", "over_at", "urgency", "value", "suspects", "incident", "rings_at"]
            assert list(one) == keys
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


def test_beside_another_threshold_both_are_told_tick_by_tick_by_one_set_of_rules(log: Path) -> None:
    """The farm's own bound was changed since: the rule as it is now is compared, with and without the setting."""
    path = log / "rules" / "boxes.yaml"
    path.write_text(path.read_text().replace("raise_over: 5 failures", "raise_over: 6 failures"))
    how = ("--as-arrived", "--changes", "--json")

    assert sentinel("replay", log, *how, "--set", "box-failures.raise_over=6 failures").records == []
    [missed] = sentinel("replay", log, *how, "--set", "box-failures.raise_over=7 failures").records
    assert (missed["change"], missed["before"]["subject"]) == ("missed", "box:1")


def test_replay_of_a_folder_that_was_never_run(farm: Path) -> None:
    """Everything in the inbox counts as if it had been on time; nothing is stored."""
    (farm / "exports" / "a.csv").write_text(export(*failures("2", 6, 100)))

    found = sentinel("replay", farm, "--json").records

    assert [one["subject"] for one in found] == ["box:2"]
    assert not (farm / STORE_NAME).exists()


def test_replay_beside_other_rules(log: Path, tmp_path: Path) -> None:
    """By a folder of rules: what it misses, counted by rule, listed alert by alert, and drawn."""
    other = tmp_path / "other"
    other.mkdir()
    for path in (log / "rules").glob("*.yaml"):
        text = path.read_text()
        assert "raise_over: 5 failures" in text
        (other / path.name).write_text(text.replace("raise_over: 5 failures", "raise_over: 6 failures"))
    how = ("--rules", str(other))

    counts = sentinel("replay", log, *how, "--by", "rule", "--json").records
    changed = sentinel("replay", log, *how, "--changes", "--json").records
    back = sentinel("replay", log, "--against", str(other), "--changes", "--json").records
    shown = sentinel("replay", log, *how, "--changes", "--picture", str(tmp_path / "both.svg"))
    weeks = sentinel("replay", log, "--by", "week")

    assert [(one["name"], one["alerts"], one["alerts_before"], one["missed"]) for one in counts] == [
        ("box-failures", 1, 2, 1),
        ("rows-set-aside", 0, 0, 0),
    ]
    assert (counts[0]["rings"], counts[0]["rings_before"]) == (1, 2)
    [missed] = [one for one in changed if one["change"] == "missed"]
    assert (missed["before"]["subject"], missed["after"]) == ("box:2", None)
    assert [one["after"]["subject"] for one in back if one["change"] == "new"] == ["box:2"]
    moved = {one["before"]["subject"]: one["later_s"] for one in changed if one["change"] == "later"}
    assert {one["before"]["subject"]: -one["later_s"] for one in back if one["change"] == "earlier"} == moved
    assert ("missed" in shown.words, (tmp_path / "both.svg").read_text()[:4]) == (True, "<svg")
    assert "incidents" in weeks.words


def test_replay_of_a_span(log: Path) -> None:
    """Only what is raised in it; a word that is none is refused with what would be right."""
    [first, *_] = sentinel("replay", log, "--json").records
    day = first["raised_at"][:10]

    assert len(sentinel("replay", log, "--json", "--since", day).records) == 2
    assert len(sentinel("replay", log, "--json", "--until", day).records) == 2
    assert sentinel("replay", log, "--json", "--until", f"{day} 00:00").records == []
    assert "rule, week, subject" in sentinel("replay", log, "--by", "cow").words
    assert "--set" in sentinel("replay", log, "--changes").words
    assert "there is no rule" in sentinel("replay", log, "--rules", str(log / "feeds" / "none")).words
