"""The folder of exports: nothing in it is touched, looking is cheap, and trouble is told once."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from edges.inbox.scanned_folder import HEAD, MONDAY, Folder

from sentinel.edges.inbox import Inbox, Scan


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    """An empty inbox folder."""
    return Folder(tmp_path / "inbox")


_opened: list[tuple[str, str, int]] = []
_listening = threading.Event()
_on_open: list[Callable[[str], None]] = []


def _listen(event: str, args: tuple[object, ...]) -> None:
    """Note what the interpreter does with files while a test listens."""
    changing = ("os.rename", "os.remove", "os.rmdir", "os.mkdir", "os.chmod", "os.utime", "os.link", "os.truncate")
    if _listening.is_set() and (event == "open" or event in changing):
        flags = args[2] if event == "open" else -1
        _opened.append((event, str(args[0]), flags if isinstance(flags, int) else 0))
        if _on_open and str(args[0]).endswith(".csv"):
            _on_open.pop()(str(args[0]))


sys.addaudithook(_listen)


@pytest.fixture
def opened() -> Iterator[list[tuple[str, str, int]]]:
    """What this process opened or changed while the test runs: event, path, flags."""
    _opened.clear()
    _listening.set()
    yield _opened
    _listening.clear()
    _on_open.clear()


def test_exports_are_read_and_never_touched(folder: Folder, opened: list[tuple[str, str, int]]) -> None:
    """In a read-only folder of read-only files everything is read; bytes, times and rights stay as they were."""
    for name in ("a.csv", "sub/b.json", "c.csv.tmp"):
        folder.write(name, b"[1]\n217", age=1000).chmod(0o444)
    for path in (folder.path / "sub", folder.path):
        path.chmod(0o555)
    paths = sorted(folder.path.rglob("*"))
    before = [(p, p.stat()) for p in [folder.path, *paths]]
    opened.clear()
    folder.inbox.start()
    names = sorted(f.name for f in folder.read())
    folder.read(after=100)
    folder.inbox.stop()
    after = [(p, p.stat()) for p in [folder.path, *paths]]
    inside = [one for one in opened if one[1].startswith(str(folder.path))]
    folder.path.chmod(0o755)
    (folder.path / "sub").chmod(0o755)

    assert names == ["a.csv", "sub/b.json"]
    assert [(p, s.st_mode, s.st_size, s.st_mtime_ns, s.st_atime_ns, s.st_ctime_ns) for p, s in before] == [
        (p, s.st_mode, s.st_size, s.st_mtime_ns, s.st_atime_ns, s.st_ctime_ns) for p, s in after
    ]
    assert {event for event, _, _ in inside} == {"open"}
    assert all(flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC) == 0 for _, _, flags in inside)


@pytest.mark.parametrize("change", ["grows", "is replaced"])
def test_a_file_that_changes_while_it_is_read_waits(
    folder: Folder, opened: list[tuple[str, str, int]], change: str
) -> None:
    """A writer that goes on in the middle of our reading: nothing is handed over until it is quiet again."""
    folder.write("visits.csv", HEAD + b"217;06:00;9.1\n", age=10)

    def while_reading(path: str) -> None:
        if change == "is replaced":
            os.unlink(path)
            Path(path).write_bytes(HEAD + b"217;06:00;9.7\n")
        else:
            with open(path, "ab") as file:
                file.write(b"218;06:10;8.4\n")
        os.utime(path, (folder.wall_s, folder.wall_s))

    _on_open.append(while_reading)
    scan = folder.scan()
    expected = {"grows": b"217;06:00;9.1\n218;06:10;8.4\n", "is replaced": b"217;06:00;9.7\n"}

    assert scan.files == ()
    assert [w.why for w in scan.waiting] == ["it changed while it was read"]
    assert folder.scan(after=1).files == ()
    assert [f.content for f in folder.read(after=3)] == [HEAD + expected[change]]


def test_files_read_before_are_not_opened_again(folder: Folder, opened: list[tuple[str, str, int]]) -> None:
    """A sweep over 2,000 old files only looks at their stamps, also after a restart."""
    for number in range(2000):
        folder.write(f"{number:04}.csv", HEAD, age=5000 - number)
    assert len(folder.read()) == 2000
    opened.clear()
    restarted = Folder(folder.path, folder.seen)
    restarted.now_s = folder.now_s + 60
    scans = [folder.scan(after=15), restarted.scan()]

    assert scans == [Scan(), Scan()]
    assert [one for one in opened if one[1].endswith(".csv")] == []


def test_a_long_backlog_is_handed_over_in_parts(tmp_path: Path) -> None:
    """Past the byte limit the rest is left for the next scan, which is due at once; order and number stay right.

    One that is larger than the limit comes alone: two of them were handed over together, and lay in memory so.
    """
    folder = Folder(tmp_path, most_bytes=100)
    for number in range(10):
        folder.write(f"{number}.csv", b"x" * (199 if number in (4, 5) else 39) + b"\n", age=500 - number)
    scan = folder.scan()
    due = folder.inbox.next_look_s - folder.now_s
    names: list[list[str]] = []
    while found := folder.read():
        names.append([f.name[0] for f in found])

    assert (len(scan.files), scan.more, due) == (2, True, 0.0)
    assert ["".join(part) for part in names] == ["01", "23", "4", "5", "67", "89"]


def test_a_file_that_cannot_be_read_is_told_once_and_tried_again(folder: Folder) -> None:
    """A link that goes in circles is a problem value, told once; mended, it is read; the others go on."""
    bad = folder.path / "bad.csv"
    bad.symlink_to(bad)
    folder.write("good.csv", HEAD, age=10)
    first = folder.scan()
    second = folder.scan(after=15)
    bad.unlink()
    folder.write("bad.csv", HEAD, age=10)
    third = folder.scan(after=15)

    assert [str(p) for p in first.problems] == [
        "bad.csv: cannot be read (Too many levels of symbolic links); it is tried again"
    ]
    assert second.problems == ()
    assert [f.name for f in third.files if f.name == "bad.csv"] == ["bad.csv"]


@pytest.mark.skipif(not hasattr(os, "seteuid"), reason="rights of files as Unix knows them")
def test_a_file_without_the_right_to_read_is_told_once_and_tried_again(folder: Folder) -> None:
    """Permission denied is told once while it lasts, does not hurry the next look, and ends when it is given."""
    path = folder.write("visits.csv", HEAD, age=10)
    path.chmod(0o000)
    inner = [folder.path, *(p for p in folder.path.parents if p.stat().st_uid == os.geteuid() and p != Path("/"))]
    modes = [p.stat().st_mode for p in inner]
    me = os.geteuid()
    if me == 0:
        for p in inner:
            p.chmod(p.stat().st_mode | 0o055)
        os.seteuid(65534)
    try:
        first, second = folder.scan(), folder.scan(after=15)
    finally:
        os.seteuid(me)
        for p, mode in zip(inner, modes, strict=True):
            p.chmod(mode & 0o7777)
    due = folder.inbox.next_look_s - folder.now_s
    path.chmod(0o644)

    assert [str(p) for p in first.problems] == ["visits.csv: cannot be read (Permission denied); it is tried again"]
    assert second.problems == ()
    assert due == 15.0
    assert [f.name for f in folder.read(after=15)] == ["visits.csv"]


def test_a_name_that_is_not_utf_8_is_read_under_a_name_that_can_be_stored(folder: Folder) -> None:
    """A file name in an old encoding is shown with its odd bytes spelled out."""
    os.close(os.open(os.fsencode(folder.path) + b"/melk\xe4.csv", os.O_CREAT | os.O_WRONLY))
    (found,) = folder.read(after=1e9)

    assert found.name == "melk\\xe4.csv"
    assert found.name.encode("utf-8")


def test_odd_things_in_the_folder_are_left_alone(folder: Folder) -> None:
    """A pipe would hang a reader for ever; it, a link into nothing and a linked folder are passed over."""
    os.mkfifo(folder.path / "pipe.csv")
    (folder.path / "nothing.csv").symlink_to(folder.path / "absent.csv")
    (folder.path / "round").symlink_to(folder.path, target_is_directory=True)
    folder.write("visits.csv", HEAD, age=10)

    assert [f.name for f in folder.read()] == ["visits.csv"]


def test_a_missing_folder_is_told_once_and_read_when_it_comes(tmp_path: Path) -> None:
    """A folder that is not there (yet) is a problem value, not an end; when it appears its files are found."""
    inbox = Inbox(tmp_path / "later", {})
    inbox.start()
    first, second = inbox.scan(0.0, MONDAY), inbox.scan(15.0, MONDAY + 15)
    (tmp_path / "later").mkdir()
    (tmp_path / "later" / "visits.csv").write_bytes(HEAD)
    third = inbox.scan(30.0, 1e11)
    inbox.stop()

    assert len(first.problems) == 1
    assert "is not there (No such file or directory)" in first.problems[0].message
    assert second.problems == ()
    assert [f.name for f in third.files] == ["visits.csv"]
