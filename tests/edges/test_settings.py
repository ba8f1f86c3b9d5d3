"""A settings file written over: only what is as it was, and only within the farm folder."""

from __future__ import annotations

from pathlib import Path

import pytest

from sentinel.edges.settings import write_over
from sentinel.errors import ChangedMeanwhile, FarmFolderError


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    """A farm folder with one file of rules."""
    (tmp_path / "farm" / "rules").mkdir(parents=True)
    (tmp_path / "farm" / "rules" / "cows.yaml").write_text("old")
    return tmp_path / "farm"


def test_a_file_keeps_its_rights_and_is_refused_if_it_was_changed(farm: Path) -> None:
    """Another text is not overwritten."""
    path = farm / "rules" / "cows.yaml"
    path.chmod(0o640)
    write_over(farm, "rules/cows.yaml", "old", "new")

    assert (path.read_text(), path.stat().st_mode & 0o777) == ("new", 0o640)
    with pytest.raises(ChangedMeanwhile, match="changed meanwhile"):
        write_over(farm, "rules/cows.yaml", "old", "newer")
    assert path.read_text() == "new"


def test_a_link_within_the_folder_is_followed(farm: Path) -> None:
    """What it leads to is written, and it stays a link."""
    path = farm / "rules" / "cows.yaml"
    path.rename(farm / "own.yaml")
    path.symlink_to(farm / "own.yaml")
    write_over(farm, "rules/cows.yaml", "old", "new")

    assert ((farm / "own.yaml").read_text(), path.is_symlink()) == ("new", True)


@pytest.mark.parametrize("linked", ["rules/cows.yaml", "rules"])
def test_a_link_out_of_the_folder_is_not_followed(farm: Path, linked: str) -> None:
    """Of the file itself, or of its room."""
    elsewhere = farm.parent / "elsewhere"
    (farm / linked).rename(elsewhere)
    (farm / linked).symlink_to(elsewhere)
    with pytest.raises(FarmFolderError, match="leads out of the farm folder"):
        write_over(farm, "rules/cows.yaml", "old", "new")

    assert (farm / "rules" / "cows.yaml").read_text() == "old"
    assert (farm / linked).is_symlink()
