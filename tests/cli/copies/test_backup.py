"""`backup`: a whole copy, with the photos, that overwrites nothing."""

from __future__ import annotations

from pathlib import Path

from cli.typed import sentinel

from sentinel.edges.settings import STORE_NAME


def test_a_backup_is_a_whole_store_and_overwrites_nothing(log: Path) -> None:
    """The copy holds the same log and verifies; a second backup to the same name is refused."""
    target = log.parent / "copy" / STORE_NAME
    target.parent.mkdir()
    first = sentinel("backup", target, "--farm", log)
    second = sentinel("backup", target, "--farm", log)

    assert (first.code, second.code) == (0, 2)
    assert "already exists" in second.err
    assert sentinel("verify", target.parent).out == sentinel("verify", log).out


def test_a_backup_takes_the_photos_along(log: Path) -> None:
    """Whole ones only, into a folder beside the copy; a folder that is there already is left as it is."""
    (log / "photos").mkdir()
    (log / "photos" / f"{'a' * 32}.jpg").write_bytes(b"a photo")
    (log / "photos" / f"{'b' * 32}.jpg.part").write_bytes(b"half a ph")
    target = log.parent / "with-photos.db"

    first = sentinel("backup", target, "--farm", log)
    target.unlink()
    second = sentinel("backup", target, "--farm", log)

    assert (first.code, second.code) == (0, 2)
    assert [path.name for path in target.with_suffix(".photos").iterdir()] == [f"{'a' * 32}.jpg"]
    assert "Copied 1 photo to" in first.words
    assert "with-photos.photos already exists" in second.words
    assert not target.exists()
