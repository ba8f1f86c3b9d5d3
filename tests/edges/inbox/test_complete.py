"""When a file is complete: whatever is still being written is waited for, and that is said."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest
from edges.inbox.scanned_folder import HEAD, MONDAY, Folder

from sentinel.edges.inbox import Scan


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    """An empty inbox folder."""
    return Folder(tmp_path / "inbox")


def test_a_slow_writer_is_waited_for(folder: Folder) -> None:
    """A file that grows is said to be waiting, and is handed over once, 2 s after its last change."""
    folder.write("visits.csv", HEAD)
    first = folder.scan()
    folder.append("visits.csv", b"217;06:00;9.1\n")
    second = folder.scan(after=1.9)
    third = folder.scan(after=1.9)
    done = folder.read(after=0.2)

    assert [s.files for s in (first, second, third)] == [(), (), ()]
    assert [(w.name, w.why, w.size) for w in third.waiting] == [("visits.csv", "it was written to a moment ago", 27)]
    assert [f.content for f in done] == [HEAD + b"217;06:00;9.1\n"]
    assert folder.scan(after=60) == Scan()


def test_the_next_look_is_when_the_file_should_be_quiet(folder: Folder) -> None:
    """While a file settles the next scan is due after the quiet time; otherwise after a sweep."""
    folder.write("visits.csv", HEAD)
    folder.scan()
    settling = folder.inbox.next_look_s - folder.now_s
    folder.read(after=2)
    folder.scan()

    assert settling == 2.0
    assert folder.inbox.next_look_s - folder.now_s == 15.0


def test_a_file_that_is_old_when_first_seen_is_read_at_once(folder: Folder) -> None:
    """Renamed in from elsewhere with its old time, or there before the start: no settling is needed."""
    folder.write("visits.csv", HEAD, age=3)

    assert [f.name for f in folder.read()] == ["visits.csv"]


def test_a_growing_file_with_old_stamps_is_not_trusted(folder: Folder) -> None:
    """A file server whose clock is 30 s behind makes a growing file look old: once seen growing it must settle."""
    folder.write("positions.json", b'[{"x": 1}', age=30)
    folder.scan()
    folder.write("positions.json", b'[{"x": 1}, {"x": 2}]', age=30)

    assert folder.scan(after=1).files == ()
    assert [f.content for f in folder.read(after=2)] == [b'[{"x": 1}, {"x": 2}]']


def test_what_is_there_at_the_start_comes_in_time_order(folder: Folder) -> None:
    """A backlog is handed over oldest first, then by name, whatever the folder's own order."""
    for name, age in (("c.csv", 500), ("a.csv", 100), ("b.csv", 300), ("sub/d.csv", 300)):
        folder.write(name, HEAD + name.encode() + b"\n", age=age)

    assert [f.name for f in folder.read()] == ["c.csv", "b.csv", "sub/d.csv", "a.csv"]


def test_the_file_says_when_it_was_modified(folder: Folder) -> None:
    """The modification time is handed over in whole UTC seconds."""
    folder.write("visits.csv", HEAD, age=3600)

    assert [f.modified_at for f in folder.read()] == [MONDAY + 1000 - 3600]


def test_names_that_writers_use_while_writing_are_never_read(folder: Folder) -> None:
    """Hidden, temporary and lock files are skipped; a name that only looks a bit like one is read."""
    for name in (
        ".visits.csv",
        "visits.csv.tmp",
        "VISITS.PART",
        "visits.csv~",
        "~$visits.xlsx",
        ".old/a.csv",
        "tmp.csv",
    ):
        folder.write(name, HEAD, age=100)

    assert [f.name for f in folder.read()] == ["tmp.csv"]


def test_an_empty_file_waits_then_is_handed_over_empty(folder: Folder) -> None:
    """A program that creates first and writes later is waited for, up to the tail time."""
    folder.write("tank.csv", b"")
    waiting = folder.scan(after=3)
    waiting = folder.scan(after=3)

    assert [w.why for w in waiting.waiting] == ["it is still empty"]
    assert [f.content for f in folder.read(after=60)] == [b""]
    assert folder.scan(after=60) == Scan()


def test_json_and_xlsx_without_their_end_are_still_being_written(folder: Folder) -> None:
    """Half a JSON or XLSX file that stays still is waited for; when it is whole it is read."""
    sheet = io.BytesIO()
    with zipfile.ZipFile(sheet, "w") as archive:
        archive.writestr("sheet1.xml", "<row/>" * 500)
    whole = {"visits.json": b'{"member": [1, 2]}\n ', "tests.xlsx": sheet.getvalue()}
    for name, content in whole.items():
        folder.write(name, content[: len(content) // 2])
    folder.scan()
    half = folder.scan(after=5)
    for name, content in whole.items():
        folder.write(name, content)
    folder.scan(after=1)

    assert {w.name: w.why for w in half.waiting} == {
        "visits.json": "its JSON has no end yet",
        "tests.xlsx": "its sheets have no end yet",
    }
    assert {f.name: f.content for f in folder.read(after=2)} == whole


def test_json_that_never_gets_its_end_is_handed_over_in_the_end(folder: Folder) -> None:
    """After the tail time the reader of JSON gets it as it is, to set it aside with its reason."""
    folder.write("visits.json", b'{"member": [')
    folder.scan()

    assert folder.scan(after=59).files == ()
    assert [f.content for f in folder.read(after=1)] == [b'{"member": [']
