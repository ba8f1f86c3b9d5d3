"""What may be an export is listed with its stamp, and what cannot be looked at is told."""

from __future__ import annotations

from pathlib import Path

from sentinel.edges.inbox.listing import exports_in


def test_files_are_listed_by_their_path_under_the_folder(tmp_path: Path) -> None:
    """Folders within too; hidden and unfinished ones, and links that lead out, are left out."""
    (tmp_path / "in" / "boxes").mkdir(parents=True)
    for name in ("in/a.csv", "in/boxes/b.csv", "in/.hidden.csv", "in/c.csv.tmp", "secret.csv"):
        (tmp_path / name).write_text("x")
    (tmp_path / "in" / "out.csv").symlink_to(tmp_path / "secret.csv")
    told: list[str] = []

    found = {name: stamp for name, _, stamp in exports_in(tmp_path / "in", lambda name, why: told.append(name))}

    info = (tmp_path / "in" / "a.csv").stat()
    assert sorted(found) == ["a.csv", "boxes/b.csv"]
    assert found["a.csv"] == (1, info.st_mtime_ns, info.st_ino)
    assert told == ["out.csv"]


def test_a_folder_that_is_not_there_holds_nothing(tmp_path: Path) -> None:
    """And that is told, with why."""
    told: list[tuple[str, str]] = []

    assert [*exports_in(tmp_path / "gone", lambda *one: told.append(one))] == []
    assert told == [(".", "the folder cannot be listed (No such file or directory)")]
