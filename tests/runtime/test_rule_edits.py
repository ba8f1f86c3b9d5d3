"""A bound that a person writes into the rules: who may, what is written down, and that one step puts it back."""

from __future__ import annotations

from pathlib import Path

import pytest
from whole.whole_farm import FARM, LATE_COW, setup_of, shipped_rules

from sentinel.edges.settings import Secrets
from sentinel.edges.store import Store
from sentinel.edges.store.log import log_entries
from sentinel.errors import FarmFolderError, UsageError
from sentinel.runtime.farm_folder import Farmyard
from sentinel.runtime.rule_edits import last_edit, prepared, undoing, write

PEOPLE = "- person: Marit\n  channels: []\n  tunes: yes\n- person: Joren\n  channels: []\n"
AT = 1_717_372_800


@pytest.fixture
def yard(tmp_path: Path) -> Farmyard:
    """A farm folder with one rule, which Marit may change and Joren may not."""
    setup = setup_of(LATE_COW, farm=FARM, people=PEOPLE)
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "rules.yaml").write_bytes(LATE_COW.replace("\n", "\r\n").encode())
    return Farmyard(tmp_path, setup, Secrets({}), Store(None))


def file(yard: Farmyard) -> bytes:
    """The rule's file."""
    return (yard.folder / "rules" / "rules.yaml").read_bytes()


def test_it_is_written_and_logged_with_who_and_why_and_put_back_in_one_step(yard: Farmyard) -> None:
    """Byte for byte as it was; the step back is in the log, too, and the chain is whole."""
    rule, before = yard.setup.rules["late-cow"], file(yard)
    (yard.folder / "rules" / "rules.yaml").chmod(0o644)
    write(yard, rule, prepared(yard, rule, [("raise_over", "16 h")], AT), "Marit", "too  many\nat night", AT)

    assert file(yard) == before.replace(b"14 h", b"16 h")
    assert (yard.folder / "rules" / "rules.yaml").stat().st_mode & 0o777 == 0o644
    last = last_edit(yard, rule)
    assert last is not None
    assert (last.entry.person, last.entry.body["why"]) == ("Marit", "too many at night")
    assert [line for line in last.entry.body["diff"] if line[:2] in ("- ", "+ ")] == [
        "-  raise_over: 14 h",
        "+  raise_over: 16 h",
    ]

    write(yard, rule, undoing(yard, rule, AT + 60, last.seq), "Marit", "", AT + 60)
    assert file(yard) == before
    with pytest.raises(UsageError, match="already put back"):
        undoing(yard, rule, AT + 60)
    assert [one.entry.body.get("undoes") for one in log_entries(yard.store, kind="rule-edited")] == [None, last.seq]
    yard.store.verify()


def test_nobody_without_the_right_and_nobody_without_a_reason(yard: Farmyard) -> None:
    """Nothing is written and nothing logged."""
    rule, before = yard.setup.rules["late-cow"], file(yard)
    what = prepared(yard, rule, [("raise_over", "16 h")], AT)

    for person, why, said in (("Joren", "x", "tunes: yes"), ("", "x", "tunes: yes"), ("Marit", " ", "say why")):
        with pytest.raises(UsageError, match=said):
            write(yard, rule, what, person, why, AT)
    assert (file(yard), log_entries(yard.store)) == (before, [])


def test_what_was_changed_meanwhile_is_not_overwritten(yard: Farmyard) -> None:
    """Nor logged as if it had been."""
    rule = yard.setup.rules["late-cow"]
    what = prepared(yard, rule, [("raise_over", "16 h")], AT)
    (yard.folder / "rules" / "rules.yaml").write_text(LATE_COW + "# mine\n")

    with pytest.raises(FarmFolderError, match="changed meanwhile"):
        write(yard, rule, what, "Marit", "x", AT)
    assert file(yard).endswith(b"# mine\n")
    assert log_entries(yard.store) == []


def test_an_undo_of_what_is_no_longer_there_is_refused(yard: Farmyard) -> None:
    """A person has edited the file since; and before the first edit there is nothing to undo."""
    rule = yard.setup.rules["late-cow"]
    with pytest.raises(UsageError, match="nothing to undo"):
        undoing(yard, rule, AT)
    write(yard, rule, prepared(yard, rule, [("raise_over", "16 h")], AT), "Marit", "x", AT)
    (yard.folder / "rules" / "rules.yaml").write_text(LATE_COW.replace("14 h", "17 h"))

    with pytest.raises(UsageError, match="is 17 h by now"):
        undoing(yard, rule, AT)


def test_an_example_that_no_longer_comes_out_is_said_and_written_only_anyway(tmp_path: Path) -> None:
    """The rule that ships, with a bound that no example of it passes."""
    texts = shipped_rules()
    (tmp_path / "rules").mkdir()
    for name, text in texts.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    yard = Farmyard(tmp_path, setup_of(texts, people=PEOPLE), Secrets({}), Store(None))
    rule = yard.setup.rules["quarter-conductivity"]
    what = prepared(yard, rule, [("now_over", f"{10 * (rule.now_over or 1):g} {rule.unit}")], AT)

    assert what.failing
    with pytest.raises(UsageError, match="would no longer come out"):
        write(yard, rule, what, "Marit", "x", AT)
    logged = write(yard, rule, what, "Marit", "x", AT, anyway=True)
    assert logged.entry.body["failing"] == list(what.failing)


def test_what_must_move_along_is_written_and_put_back_in_one_edit(yard: Farmyard) -> None:
    """One entry of the log, and one step back."""
    rules = yard.folder / "rules" / "rules.yaml"
    text = LATE_COW.replace("raise_over: 14 h", "raise_over: 14 h\n  now_over: 18 h")
    rules.write_text(text)
    rule = setup_of(text).rules["late-cow"]
    both = [("raise_over", "20 h"), ("now_over", "25 h")]
    with pytest.raises(UsageError, match="now_over"):
        prepared(yard, rule, both[:1], AT)
    logged = write(yard, rule, prepared(yard, rule, both, AT), "Marit", "x", AT)

    assert rules.read_text() == text.replace("14 h", "20 h", 1).replace("18 h", "25 h")
    assert logged.entry.body["along"] == [{"key": "now_over", "before": "18 h", "after": "25 h"}]
    write(yard, rule, undoing(yard, rule, AT + 60, logged.seq), "Marit", "", AT + 60)
    assert rules.read_text() == text


def test_what_was_decided_on_another_value_is_refused(yard: Farmyard) -> None:
    """Somebody else has written one in between."""
    rule = yard.setup.rules["late-cow"]
    with pytest.raises(UsageError, match=r"rules\.yaml: raise_over is 14 h by now, not 15 h"):
        prepared(yard, rule, [("raise_over", "16 h")], AT, seen=["15 h"])


def test_only_a_bound_or_a_length_of_time_is_written(yard: Farmyard) -> None:
    """Not the rule's name, and not what it says."""
    rule, before = yard.setup.rules["late-cow"], file(yard)
    for setting in (("rule", "late-bull"), ("say", "never"), ("measure", "x")):
        with pytest.raises(UsageError, match="only a bound and a length of time"):
            prepared(yard, rule, [setting], AT)
    assert file(yard) == before


def test_a_rule_that_lies_outside_of_the_farm_folder_is_not_written(yard: Farmyard, tmp_path: Path) -> None:
    """A link to rules that several farms share; nor is it logged."""
    rules, shared = yard.folder / "rules" / "rules.yaml", tmp_path.parent / f"{tmp_path.name}-shared.yaml"
    shared.write_text(LATE_COW)
    rules.unlink()
    rules.symlink_to(shared)
    rule = yard.setup.rules["late-cow"]

    with pytest.raises(FarmFolderError, match="leads out of the farm folder"):
        write(yard, rule, prepared(yard, rule, [("raise_over", "16 h")], AT), "Marit", "x", AT)
    assert (shared.read_text(), log_entries(yard.store)) == (LATE_COW, [])
