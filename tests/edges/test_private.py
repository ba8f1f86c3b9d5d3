"""What is its owner's alone: the key, the store with all that SQLite makes beside it, copies of it, photos."""

from __future__ import annotations

import io
import logging
import os
import shutil
import stat
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from PIL import Image

from sentinel.edges.photos import Photos
from sentinel.edges.private import write_whole
from sentinel.edges.settings import KEY_NAME, REFUSED_KEY_NAME, page_key, read_secrets
from sentinel.edges.store import Store
from sentinel.errors import FarmFolderError

pytestmark = pytest.mark.skipif(os.name != "posix", reason="rights as POSIX has them")


@pytest.fixture(autouse=True)
def a_careless_mask() -> Iterator[None]:
    """Whoever starts sentinel lets everybody read what they make, as most systems do unless told otherwise."""
    before = os.umask(0o022)
    yield
    os.umask(before)


def rights(path: Path) -> str:
    """What who may do with a file, as `ls` counts it."""
    return f"{stat.S_IMODE(path.stat().st_mode):o}"


# --- the key ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "left",
    [b"", b"\n", b"short\n", b"\0" * 44, b"x" * 43 + b"\n", "ключ".encode() * 20, b"two words " * 10],
    ids=["a full disk", "a line", "by hand", "a power cut", "one letter", "no ascii", "a sentence"],
)
def test_what_cannot_be_a_key_signs_nothing(tmp_path: Path, left: bytes, caplog: pytest.LogCaptureFixture) -> None:
    """It is put aside, a new key is made, and the person reads that links given out before open nothing."""
    (tmp_path / KEY_NAME).write_bytes(left)
    (tmp_path / KEY_NAME).chmod(0o600)
    with caplog.at_level(logging.WARNING):
        key = page_key(tmp_path)

    assert len(key) == 43
    assert (tmp_path / KEY_NAME).read_text() == key + "\n"
    assert (tmp_path / REFUSED_KEY_NAME).read_bytes() == left
    assert "give out new ones (sentinel people link NAME)" in caplog.text
    assert page_key(tmp_path) == key
    assert len(caplog.records) == 1


def test_a_key_is_made_once_and_is_its_owners_alone(tmp_path: Path) -> None:
    """Nothing else is left beside it."""
    key = page_key(tmp_path)

    assert page_key(tmp_path) == key
    assert [path.name for path in tmp_path.iterdir()] == [KEY_NAME]
    assert rights(tmp_path / KEY_NAME) == "600"


def test_a_longer_key_of_ones_own_is_used(tmp_path: Path) -> None:
    """As `openssl rand` writes one."""
    write_whole(tmp_path / KEY_NAME, b"8f14e45fceea167a5a36dedd4bea2543\n")

    assert page_key(tmp_path) == "8f14e45fceea167a5a36dedd4bea2543"


def test_commands_that_make_the_key_at_once_have_the_same_one(tmp_path: Path) -> None:
    """The first one's stays; all sign with it."""
    with ThreadPoolExecutor(8) as several:
        keys = list(several.map(lambda _: page_key(tmp_path), range(40)))

    assert len(set(keys)) == 1


@pytest.mark.parametrize("mode", [0o644, 0o640, 0o660])
def test_a_key_that_others_could_read_is_refused_as_secrets_are(tmp_path: Path, mode: int) -> None:
    """Whoever read it can make links; the check says so in the words that it has for secrets.yaml."""
    page_key(tmp_path)
    (tmp_path / KEY_NAME).chmod(mode)

    _, problems = read_secrets(tmp_path, {})
    assert [str(one) for one in problems] == [
        "page.key: others on this machine can read it; make it yours alone: chmod 600 page.key"
    ]
    with pytest.raises(FarmFolderError, match=r"chmod 600 page\.key"):
        page_key(tmp_path)


def test_a_file_is_whole_or_not_there(tmp_path: Path) -> None:
    """What was there stays if the new one cannot be written to its end."""
    write_whole(tmp_path / "a", b"first")
    (tmp_path / "b").mkdir()
    with pytest.raises(OSError, match="directory"):
        write_whole(tmp_path / "b", b"a folder has that name")

    assert (tmp_path / "a").read_bytes() == b"first"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a", "b"]


# --- the store -------------------------------------------------------------------------------------------


def test_the_store_and_what_lies_beside_it_are_its_owners_alone(tmp_path: Path) -> None:
    """From the first moment, whatever the mask; so is a copy of it."""
    store = Store(tmp_path / "sentinel.db")
    store.put_meta("a", "b")
    store.backup(tmp_path / "copy.db")

    assert {path.name: rights(path) for path in tmp_path.iterdir()} == {
        "sentinel.db": "600",
        "sentinel.db-was-here": "600",
        "sentinel.db-wal": "600",
        "sentinel.db-shm": "600",
        "copy.db": "600",
    }
    store.close()
    assert Store(tmp_path / "copy.db").meta("a") == "b"


def test_a_store_that_others_could_read_becomes_its_owners_alone(tmp_path: Path) -> None:
    """One that an earlier sentinel made, with its log still beside it."""
    first = Store(tmp_path / "sentinel.db")
    first.put_meta("a", "b")
    for path in tmp_path.iterdir():
        path.chmod(0o644)
    second = Store(tmp_path / "sentinel.db")

    assert {rights(path) for path in tmp_path.iterdir()} == {"600"}
    assert second.meta("a") == "b"
    first.close()
    second.close()


# --- photos ----------------------------------------------------------------------------------------------


def test_photos_and_their_copies_are_their_owners_alone(tmp_path: Path) -> None:
    """Those of an earlier sentinel, too, once another is added; copying keeps it so."""
    old = tmp_path / "photos"
    old.mkdir(mode=0o755)
    (old / f"{'0' * 32}.jpg").write_bytes(b"an old one")
    out = io.BytesIO()
    Image.new("RGB", (40, 20)).save(out, "PNG")
    Photos(tmp_path).put(out.getvalue())
    shutil.copytree(old, tmp_path / "copy.photos")

    for folder in (old, tmp_path / "copy.photos"):
        assert rights(folder) == "700"
        assert [rights(path) for path in folder.iterdir()] == ["600", "600"]
