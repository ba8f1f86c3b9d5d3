"""`init`: a folder that works, and nothing overwritten."""

from __future__ import annotations

from pathlib import Path

from cli.typed import sentinel


def test_init_makes_a_folder_that_check_accepts_and_overwrites_nothing(tmp_path: Path) -> None:
    """Two runs: the second makes nothing new and keeps an edit; the secrets are the owner's alone."""
    folder = tmp_path / "farm"
    first = sentinel("init", folder, "--name", "Hillside")
    (folder / "people.yaml").write_text("- person: Anna\n  channels: [operator-phone]\n")
    second = sentinel("init", folder)

    assert (first.code, second.code) == (0, 0)
    assert f"sentinel once {folder}" in first.words
    assert "nothing new" in second.words
    assert "Anna" in (folder / "people.yaml").read_text()
    assert {p.name: p.stat().st_mode & 0o077 for p in (folder / "secrets.yaml", folder / "page.key")} == {
        "secrets.yaml": 0,
        "page.key": 0,
    }
    checked = sentinel("check", folder)
    assert (checked.code, "All good: 0 feed maps" in checked.words) == (0, True)
