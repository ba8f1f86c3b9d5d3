"""`tune`: a range of a bound on the farm's own history, with what people said."""

from __future__ import annotations

from pathlib import Path

from cli.typed import sentinel


def test_each_bound_with_what_people_said(log: Path) -> None:
    """Box 2 failed six times and optics were dirty; box 1 failed seven times and nobody has answered."""
    how = ("--range", "raise_over=3 failures..8 failures", "--values", "6", "--json")
    as_it_is, *tried = sentinel("tune", "box-failures", log, *how).records

    assert (as_it_is["settings"], as_it_is["alerts"], as_it_is["rings"], as_it_is["missed"]) == ({}, 2, 2, [])
    assert [(one["settings"]["raise_over"], one["alerts"]) for one in tried] == [
        *((f"{n} failures", 2) for n in (3, 4, 5)),
        ("6 failures", 1),
        *((f"{n} failures", 0) for n in (7, 8)),
    ]
    assert [(one["real"], one["nothing_found"], one["unanswered"]) for one in tried[2:5]] == [
        (1, 0, 1),
        (0, 0, 1),
        (0, 0, 0),
    ]
    assert [[e["subject"] for e in one["missed"]] for one in tried[2:4]] == [[], ["box:2"]]
    assert not any(one["recommended"] for one in tried)


def test_the_table_says_what_is_missed_and_recommends_nothing_from_one_answer(log: Path, tmp_path: Path) -> None:
    """With a picture."""
    drawing = tmp_path / "tune.svg"
    shown = sentinel("tune", "box-failures", log, "--picture", drawing)

    assert "2 alerts were raised, 1 answered" in shown.words
    assert "missed from raise_over 6 failures on: box 2" in shown.words
    assert "none is recommended" in shown.words
    assert drawing.read_text().startswith("<svg")


def test_two_keys_at_once(log: Path) -> None:
    """Every value of the one with every value of the other."""
    how = ("--range", "raise_over=4 failures..5 failures", "--range", "lasting=1 min..1 h", "--values", "2", "--json")
    _, *tried = sentinel("tune", "box-failures", log, *how).records

    assert [list(one["settings"].values()) for one in tried] == [
        ["4 failures", "60 s"],
        ["4 failures", "3600 s"],
        ["5 failures", "60 s"],
        ["5 failures", "3600 s"],
    ]


def test_what_cannot_be_tried_is_refused(log: Path) -> None:
    """With what would be right."""
    assert 'did you mean "box-failures"' in sentinel("tune", "box-failurs", log).words
    assert "had been on time" in sentinel("tune", "rows-set-aside", log).words
    assert "KEY=FROM..TO" in sentinel("tune", "box-failures", log, "--range", "raise_over").words
    assert (
        "at most 2"
        in sentinel("tune", "box-failures", log, *["--range", "raise_over=1 failures..2 failures"] * 3).words
    )


def test_a_value_is_written_by_who_may_and_put_back(log: Path) -> None:
    """The difference is shown, the rest of the file stays, and the log says who and why."""
    path = log / "rules" / "boxes.yaml"
    before, how = path.read_bytes(), ("--write", "raise_over=7 failures", "--by", "Operator", "--why", "too many")
    refused = sentinel("tune", "box-failures", log, *how)
    (log / "people.yaml").write_text((log / "people.yaml").read_text().replace("# tunes: yes", "tunes: yes"))
    written = sentinel("tune", "box-failures", log, *how)

    assert (refused.code, "tunes: yes" in refused.words) == (2, True)
    assert "- raise_over: 5 failures + raise_over: 7 failures" in written.words
    assert path.read_bytes() == before.replace(b"5 failures", b"7 failures")
    [entry] = sentinel("history", log, "--kind", "rule-edited", "--json").records
    assert (entry["person"], entry["body"]["why"], entry["rule"]) == ("Operator", "too many", "box-failures")

    undone = sentinel("tune", "box-failures", log, "--undo", "--by", "Operator")
    assert (undone.code, path.read_bytes()) == (0, before)
    for _ in range(2):
        again = sentinel("tune", "box-failures", log, "--undo", "--by", "Operator")
        assert (again.code, "already put back" in again.words, path.read_bytes()) == (2, True, before)
    assert "KEY=VALUE" in sentinel("tune", "box-failures", log, "--write", "raise_over").words


def test_only_what_is_a_bound_and_changes_something_is_written(log: Path) -> None:
    """Neither a rule's name nor its sentence; and what the file says already would cost the way back."""
    path, by = log / "rules" / "boxes.yaml", ("--by", "Operator", "--why", "x")
    (log / "people.yaml").write_text((log / "people.yaml").read_text().replace("# tunes: yes", "tunes: yes"))
    before = path.read_bytes()
    for setting, why in (
        ("rule=late-bull", "only a bound and a length of time"),
        ("say=never", "only a bound and a length of time"),
        ("raise_over=5 failures", "says so already"),
    ):
        refused = sentinel("tune", "box-failures", log, "--write", setting, *by)
        assert (refused.code, why in refused.words) == (2, True)
    assert path.read_bytes() == before
    assert sentinel("history", log, "--kind", "rule-edited", "--json").records == []


def test_bounds_that_must_move_along_are_written_together(log: Path) -> None:
    """The raising bound alone would not fit; one step puts both back."""
    path, by = log / "rules" / "boxes.yaml", ("--by", "Operator", "--why", "too many")
    (log / "people.yaml").write_text((log / "people.yaml").read_text().replace("# tunes: yes", "tunes: yes"))
    path.write_text(
        path.read_text().replace("raise_over: 5 failures", "raise_over: 5 failures\n  clear_under: 4 failures")
    )
    before = path.read_bytes()
    both = ("--write", "raise_over=3 failures", "--write", "clear_under=2 failures")
    alone = sentinel("tune", "box-failures", log, *both[:2], *by)
    written = sentinel("tune", "box-failures", log, *both, *by)

    assert (alone.code, written.code) == (2, 0)
    assert "raise_over 5 failures → 3 failures, clear_under 4 failures → 2 failures" in written.words
    assert path.read_bytes() == before.replace(b"5 failures", b"3 failures", 1).replace(b"4 failures", b"2 failures")
    assert sentinel("tune", "box-failures", log, "--undo", "--by", "Operator").code == 0
    assert path.read_bytes() == before
