"""What a command meets instead of its work: nothing read yet, broken settings, a store that is held."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from cli.typed import sentinel

from sentinel.cli import main


def test_before_anything_was_read(farm: Path) -> None:
    """An untouched farm: commands say what to do instead of failing."""
    assert "Nothing has been read yet" in sentinel("alerts", farm).words
    said = sentinel("verify", farm / "exports")
    assert (said.code, "sentinel once" in said.err) == (2, True)
    said = sentinel("alerts", farm.parent / "elsewhere")
    assert (said.code, "sentinel init" in said.err) == (2, True)


def test_settings_with_a_fault_end_a_command_with_the_place(told: Path) -> None:
    """A broken rules file: alerts and once name the place and exit 1; verify works all the same."""
    (told / "rules" / "mine.yaml").write_text("- rule: [\n")

    for command in ("alerts", "once"):
        said = sentinel(command, told)
        assert said.code == 1
        assert "rules/mine.yaml:" in said.err
    assert sentinel("verify", told).code == 0


def test_a_store_that_another_process_holds_is_no_fault_of_sentinels_own(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is said as what it is, and that nothing was kept."""
    holder, other = (sqlite3.connect("file:held?mode=memory&cache=shared", uri=True, timeout=0) for _ in range(2))
    holder.execute("create table one (x)")
    holder.execute("begin immediate")

    def held(given: object) -> None:
        other.execute("begin immediate")

    monkeypatch.setattr("sentinel.cli.app", held)
    with pytest.raises(SystemExit) as ended:
        main(["once"])
    holder.close()
    other.close()

    assert ended.value.code == 2
    assert "another program is writing to the store, so nothing was saved" in capsys.readouterr().err
