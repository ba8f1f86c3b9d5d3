"""The inbox: which files are complete, what is new in them, and that nothing is missed or touched.

The scans are told the time: `Folder.scan(after=...)` lets that many seconds pass, without waiting for them.
"""

from __future__ import annotations

import io
import os
import shutil
import subprocess
import sys
import threading
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from watchdog.observers.polling import PollingObserver

from sentinel.edges.clock import Clock
from sentinel.edges.inbox import Found, Inbox, Scan, Seen

MONDAY = 1_772_000_000
HEAD = b"cow;start;kg\n"


class Folder:
    """A folder with an inbox on it, and a hand-moved clock for both."""

    def __init__(self, path: Path, seen: dict[str, Seen] | None = None, **settings: float) -> None:
        path.mkdir(parents=True, exist_ok=True)
        self.path = path
        self.now_s = 1000.0
        self.seen = seen or {}
        self.inbox = Inbox(path, self.seen, **settings)  # type: ignore[arg-type]

    @property
    def wall_s(self) -> float:
        """The time by which files are stamped."""
        return MONDAY + self.now_s

    def write(self, name: str, content: bytes, age: float = 0.0, mode: str = "wb") -> Path:
        """Write a file as if by another program, `age` seconds ago."""
        path = self.path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open(mode) as file:
            file.write(content)
        stamp = self.wall_s - age
        os.utime(path, (stamp, stamp))
        return path

    def append(self, name: str, content: bytes) -> Path:
        """Append to a file as if by another program, now."""
        return self.write(name, content, mode="ab")

    def scan(self, after: float = 0.0) -> Scan:
        """Let `after` seconds pass, then scan; what was found is not settled."""
        self.now_s += after
        return self.inbox.scan(self.now_s, self.wall_s)

    def read(self, after: float = 0.0) -> list[Found]:
        """Let `after` seconds pass, scan, and settle what was found, as the service does after its tick."""
        found = list(self.scan(after).files)
        for one in found:
            self.seen[one.name] = one.seen
            self.inbox.settled(one.name, one.seen)
        return found


def new_part(found: Found) -> bytes:
    """The bytes of a find that were not handed over before."""
    return found.content[found.read_from :]


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    """An empty inbox folder."""
    return Folder(tmp_path / "inbox")


# --- when a file is complete ---


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


# --- files that grow or are written again ---


def test_an_appended_file_is_read_on_from_where_it_was_left(folder: Folder) -> None:
    """Only the new lines are new, while the content is whole for the sake of its heading."""
    folder.write("visits.csv", HEAD + b"217;06:00;9.1\n", age=10)
    folder.read()
    folder.append("visits.csv", b"218;06:10;8.4\n")
    folder.scan()
    (found,) = folder.read(after=2)

    assert found.content == HEAD + b"217;06:00;9.1\n218;06:10;8.4\n"
    assert new_part(found) == b"218;06:10;8.4\n"


def test_a_last_line_without_its_newline_is_held_back(folder: Folder) -> None:
    """Half a line waits and is said to; when its newline comes the line is handed over whole."""
    folder.write("visits.csv", HEAD + b"217;06:00;9.1\n218;06:")
    folder.scan()
    half = folder.scan(after=2)
    first = folder.read()
    folder.append("visits.csv", b"10;8.4\n")
    folder.scan()
    second = folder.read(after=2)

    assert [w.why for w in half.waiting] == ["its last line has no end yet (7 bytes are held back)"]
    assert [new_part(f) for f in first + second] == [HEAD + b"217;06:00;9.1\n", b"218;06:10;8.4\n"]


def test_a_program_that_never_ends_its_last_line_is_believed_after_the_tail_time(folder: Folder) -> None:
    """Unchanged for 60 s, the last line is taken as it is; if it grows after all it is read again as a whole."""
    folder.write("visits.csv", HEAD + b"217;06:00;9")
    folder.scan()
    first = folder.read(after=2)
    before = folder.read(after=57.9)
    due = folder.inbox.next_look_s - folder.now_s
    second = folder.read(after=0.1)
    folder.append("visits.csv", b".1\n218;06:10;8.4\n")
    folder.scan()
    third = folder.read(after=2)

    assert before == []
    assert due == pytest.approx(0.1)
    assert [new_part(f) for f in first + second + third] == [
        HEAD,
        b"217;06:00;9",
        b"217;06:00;9.1\n218;06:10;8.4\n",
    ]


def test_a_line_taken_early_that_grows_without_ending_waits_again(folder: Folder) -> None:
    """More bytes of a line that was taken unfinished are no new line: they wait for the newline or the tail time."""
    folder.write("visits.csv", HEAD + b"217;06:00", age=100)
    folder.read()
    folder.append("visits.csv", b";9")
    folder.scan()
    scan = folder.scan(after=2)

    assert scan.files == ()
    assert [w.why for w in scan.waiting] == ["its last line has no end yet (11 bytes are held back)"]
    assert [new_part(f) for f in folder.read(after=58)] == [b"217;06:00;9"]


def test_a_held_back_line_survives_a_restart(folder: Folder) -> None:
    """What was read before is remembered by bytes: after a restart the rest of the file is still new."""
    folder.write("visits.csv", HEAD + b"217;06:")
    folder.scan()
    folder.read(after=2)
    after_restart = Folder(folder.path, folder.seen)
    after_restart.now_s = folder.now_s + 3600
    (found,) = after_restart.read()

    assert new_part(found) == b"217;06:"
    assert after_restart.scan() == Scan()


def test_a_file_written_again_with_other_content_is_read_from_its_start(folder: Folder) -> None:
    """A corrected export under the same name is new from its first byte, also if it is longer than before."""
    folder.write("visits.csv", HEAD + b"217;06:00;9.1\n", age=10)
    folder.read()
    folder.write("visits.csv", HEAD + b"217;06:00;9.7\n218;06:10;8.4\n")
    folder.scan()
    (found,) = folder.read(after=2)

    assert found.read_from == 0
    assert found.content == HEAD + b"217;06:00;9.7\n218;06:10;8.4\n"


def test_a_file_cut_short_is_read_from_its_start(folder: Folder) -> None:
    """A program that begins its file again each day is followed."""
    folder.write("visits.csv", HEAD + b"217;06:00;9.1\n", age=10)
    folder.read()
    folder.write("visits.csv", HEAD)
    folder.scan()

    assert [(f.content, f.read_from) for f in folder.read(after=2)] == [(HEAD, 0)]


def test_the_same_content_again_is_not_found_again(folder: Folder) -> None:
    """A re-export with a new time and inode but the same bytes gives nothing to read, only a new stamp to keep."""
    for name in ("visits.csv", "positions.json"):
        folder.write(name, b"[1]\n", age=10)
    folder.read()
    for name in ("visits.csv", "positions.json"):
        (folder.path / name).unlink()
        folder.write(name, b"[1]\n")
    folder.scan()
    again = folder.scan(after=2)

    assert again.files == ()
    assert sorted(s.name for s in again.unchanged) == ["positions.json", "visits.csv"]
    assert folder.scan(after=60) == Scan()


def test_what_was_not_settled_is_found_again(folder: Folder) -> None:
    """If the tick could not be stored, nothing is lost: the next scan finds the same."""
    folder.write("visits.csv", HEAD + b"217;0", age=10)

    assert folder.scan().files == folder.scan().files
    assert folder.scan().files != ()


def test_a_file_gone_before_it_was_complete_is_named(folder: Folder) -> None:
    """A file that vanishes while it is waited for is told, once; one that was read may be cleared away."""
    folder.write("read.csv", HEAD, age=10)
    folder.read()
    folder.write("half.csv", HEAD)
    folder.scan()
    (folder.path / "half.csv").unlink()
    (folder.path / "read.csv").unlink()

    assert folder.scan(after=1).gone == ("half.csv",)
    assert folder.scan(after=1) == Scan()


def test_utf_16_lines_are_cut_at_whole_letters(folder: Folder) -> None:
    """A text export in UTF-16 is held back at a line's end, not in the middle of its two-byte newline."""
    text = "cow;kg\n217;9\u0a0a1\n218;".encode("utf-16-le")
    folder.write("visits.txt", b"\xff\xfe" + text, age=10)
    (found,) = folder.read()

    assert found.content.decode("utf-16") == "cow;kg\n217;9\u0a0a1\n"


LINES = st.lists(
    st.binary(max_size=6).map(lambda b: b.replace(b"\n", b".").replace(b"\xff", b".") + b"\n"), max_size=12
)


@settings(max_examples=60, deadline=None)
@given(lines=LINES, data=st.data())
def test_any_split_into_appends_gives_every_line_once_in_order(
    tmp_path_factory: pytest.TempPathFactory, lines: list[bytes], data: st.DataObject
) -> None:
    """However the bytes arrive, with pauses shorter or longer than the quiet time, each line comes exactly once."""
    folder = Folder(tmp_path_factory.mktemp("split"), tail_s=1e9)
    whole = b"".join(lines)
    cuts = data.draw(st.lists(st.integers(0, len(whole)), max_size=8).map(sorted))
    got: list[bytes] = []
    for begin, end in zip([0, *cuts], [*cuts, len(whole)], strict=True):
        folder.append("visits.csv", whole[begin:end])
        for pause in data.draw(st.lists(st.sampled_from([0.0, 0.5, 2.5]), max_size=3)):
            got += [new_part(f) for f in folder.read(after=pause)]
    folder.read(after=0.1)
    for pause in (2.0, 2.0):
        got += [new_part(f) for f in folder.read(after=pause)]
    again = Folder(folder.path, folder.seen, tail_s=1e9)
    again.now_s = folder.now_s + 10

    assert b"".join(got).splitlines(keepends=True) == whole.splitlines(keepends=True)
    assert all(part.endswith(b"\n") for part in got)
    assert again.read() == []


@settings(max_examples=60, deadline=None)
@given(lines=LINES, data=st.data())
def test_with_tails_taken_early_the_last_word_on_every_line_is_right(
    tmp_path_factory: pytest.TempPathFactory, lines: list[bytes], data: st.DataObject
) -> None:
    """Where a pause outlasts the tail time half a line is handed over, and later replaced by the whole line."""
    folder = Folder(tmp_path_factory.mktemp("tails"), tail_s=10)
    whole = b"".join(lines)
    cuts = data.draw(st.lists(st.integers(0, len(whole)), max_size=8).map(sorted))
    rows: dict[int, bytes] = {}

    def keep(found: list[Found]) -> None:
        for one in found:
            at = one.read_from
            for line in new_part(one).split(b"\n"):
                if line:
                    rows[at] = line
                at += len(line) + 1

    for begin, end in zip([0, *cuts], [*cuts, len(whole)], strict=True):
        folder.append("visits.csv", whole[begin:end])
        for pause in data.draw(st.lists(st.sampled_from([0.5, 2.5, 11.0]), max_size=3)):
            keep(folder.read(after=pause))
    for pause in (0.0, 2.0, 11.0):
        keep(folder.read(after=pause))
    expected = {}
    at = 0
    for line in lines:
        expected[at] = line[:-1]
        at += len(line)

    assert rows == {at: line for at, line in expected.items() if line}


# --- nothing is touched, and looking is cheap ---

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


# --- trouble ---


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


# --- the watch, in real time ---


class Live:
    """An inbox as the service runs it: woken, or looking again when a look is due."""

    def __init__(self, path: Path, quiet_s: float = 0.2, sweep_s: float = 30.0, **more: Any) -> None:
        self.clock = Clock()
        self.wake = threading.Event()
        self.inbox = Inbox(path, {}, quiet_s=quiet_s, sweep_s=sweep_s, on_wake=self.wake.set, **more)
        self.inbox.start()
        self.found: list[Found] = []
        self.look()

    def look(self) -> None:
        """One scan, with what it found settled."""
        self.wake.clear()
        for one in self.inbox.scan(self.clock.steady(), self.clock.stamps()).files:
            self.found.append(one)
            self.inbox.settled(one.name, one.seen)

    def until(self, count: int, within_s: float = 10.0) -> list[str]:
        """Run until that many files were found; their names."""
        end_s = self.clock.steady() + within_s
        while len(self.found) < count and self.clock.steady() < end_s:
            due_s = min(self.inbox.next_look_s, end_s) - self.clock.steady()
            self.wake.wait(max(0.0, due_s))
            if self.clock.steady() >= end_s:
                break  # no last look: it would find what nothing woke for
            self.look()
        return [f.name for f in self.found]


def test_the_watch_wakes_for_a_new_file_and_for_a_rename(tmp_path: Path) -> None:
    """With sweeps half a minute apart, a written file and one renamed into its name are found in a moment."""
    live = Live(tmp_path)
    begin_s = live.clock.steady()
    (tmp_path / "a.csv").write_bytes(HEAD)
    live.until(1)
    (tmp_path / "b.csv.tmp").write_bytes(HEAD)
    (tmp_path / "b.csv.tmp").rename(tmp_path / "b.csv")
    names = live.until(2)
    live.inbox.stop()

    assert names == ["a.csv", "b.csv"]
    assert live.clock.steady() - begin_s < 5


def test_a_rename_into_its_name_is_read_at_once(tmp_path: Path) -> None:
    """A program that writes beside and renames needs no settling, however long the quiet time is."""
    live = Live(tmp_path, quiet_s=60)
    begin_s = live.clock.steady()
    (tmp_path / "b.csv.tmp").write_bytes(HEAD)
    (tmp_path / "b.csv.tmp").rename(tmp_path / "b.csv")
    names = live.until(1)
    live.inbox.stop()

    assert names == ["b.csv"]
    assert live.clock.steady() - begin_s < 5


def test_a_file_is_read_when_its_writer_closes_it(tmp_path: Path) -> None:
    """Closed after writing it is complete, however long the quiet time; while it is held open it is waited for."""
    live = Live(tmp_path, quiet_s=60)
    begin_s = live.clock.steady()
    with (tmp_path / "a.csv").open("wb") as file:
        file.write(HEAD)
        file.flush()
        held_open = live.until(1, within_s=0.5)
        file.write(b"217;06:00;9.1\n")
    names = live.until(1)
    live.inbox.stop()

    assert held_open == []
    assert names == ["a.csv"]
    assert live.found[0].content == HEAD + b"217;06:00;9.1\n"
    assert live.clock.steady() - begin_s < 5


def test_a_file_renamed_in_from_elsewhere_is_read_at_once(tmp_path: Path) -> None:
    """Written outside the inbox and moved into it, also over a file that was read before, it needs no settling."""
    inbox, outside = tmp_path / "inbox", tmp_path / "outside"
    inbox.mkdir()
    outside.mkdir()
    live = Live(inbox, quiet_s=60)
    begin_s = live.clock.steady()
    for number in (1, 2):
        (outside / "a.csv").write_bytes(HEAD * number)
        (outside / "a.csv").rename(inbox / "a.csv")
        live.until(number)
    live.inbox.stop()

    assert [f.content for f in live.found] == [HEAD, HEAD * 2]
    assert live.clock.steady() - begin_s < 5


def test_a_copy_that_keeps_its_old_time_is_read_when_it_is_closed(tmp_path: Path) -> None:
    """The time that a copying program sets after it has closed the file is no writing."""
    inbox, outside = tmp_path / "inbox", tmp_path / "outside.csv"
    inbox.mkdir()
    outside.write_bytes(HEAD)
    os.utime(outside, (MONDAY, MONDAY))
    live = Live(inbox, quiet_s=60)
    shutil.copy2(outside, inbox / "a.csv")
    names = live.until(1, within_s=5)
    live.inbox.stop()

    assert names == ["a.csv"]


def test_a_file_opened_again_after_it_was_closed_is_waited_for(tmp_path: Path) -> None:
    """Whoever has it open may go on writing; when the last has let go of it, it is complete."""
    live = Live(tmp_path, quiet_s=60)
    path = tmp_path / "a.csv"
    path.write_bytes(HEAD)
    with path.open("rb"):
        held_open = live.until(1, within_s=0.5)
    names = live.until(1, within_s=5)
    live.inbox.stop()

    assert held_open == []
    assert names == ["a.csv"]


def test_a_linked_file_is_not_trusted_by_its_name_appearing(tmp_path: Path) -> None:
    """A link's file may still be written to under its other name, of which nothing is told here: it must be quiet."""
    inbox, outside = tmp_path / "inbox", tmp_path / "outside.csv"
    inbox.mkdir()
    outside.write_bytes(HEAD)
    (inbox / ".written.csv").write_bytes(HEAD)
    live = Live(inbox, quiet_s=1.0)
    os.link(outside, inbox / "hard.csv")
    (inbox / "soft.csv").symlink_to(inbox / ".written.csv")
    early = list(live.until(1, within_s=0.5))
    names = live.until(2)
    live.inbox.stop()

    assert early == []
    assert sorted(names) == ["hard.csv", "soft.csv"]


def test_a_writer_that_closes_and_goes_on_is_known_from_then_on(tmp_path: Path) -> None:
    """Rows appended in rounds are read once each; its next files are left to be quiet, those of others are not."""
    live = Live(tmp_path, quiet_s=2.0)
    path = tmp_path / "visits_0501.csv"
    path.write_bytes(HEAD + b"217;06:00;9.1\n")
    live.until(1, within_s=1.8)
    first = [f.content for f in live.found]
    for line in (b"218;06:10;8.4\n", b"219;06:20;7.7\n"):
        with path.open("ab") as file:
            file.write(line)
        live.until(len(live.found) + 1, within_s=0.4)
    early = [new_part(f) for f in live.found[1:]]
    live.until(2)
    (tmp_path / "visits_0502.csv").write_bytes(HEAD)
    (tmp_path / "tank.csv").write_bytes(HEAD)
    names = list(live.until(4, within_s=1.2))
    live.until(4)
    live.inbox.stop()

    assert first == [HEAD + b"217;06:00;9.1\n"]
    assert early == []
    assert new_part(live.found[1]) == b"218;06:10;8.4\n219;06:20;7.7\n"
    assert names == ["visits_0501.csv", "visits_0501.csv", "tank.csv"]
    assert live.found[3].name == "visits_0502.csv"


def test_a_line_an_hour_is_no_writing_in_rounds(tmp_path: Path) -> None:
    """A file to which a line is added long after it was read is read at once each time."""
    live = Live(tmp_path, quiet_s=0.3)
    path = tmp_path / "visits.csv"
    path.write_bytes(HEAD)
    live.until(1)
    live.wake.wait(0.5)
    live.inbox.quiet_s = 60  # from here on only closing can make it complete
    for count in (2, 3):
        with path.open("ab") as file:
            file.write(b"217;06:00;9.1\n")
        live.until(count, within_s=5)
        live.wake.wait(0.5)
    live.inbox.stop()

    assert [new_part(f) for f in live.found] == [HEAD, b"217;06:00;9.1\n", b"217;06:00;9.1\n"]


def test_a_closed_file_without_its_last_newline_is_held_back(tmp_path: Path) -> None:
    """Closing does not complete a line: half a line waits, and the lines before it are read."""
    live = Live(tmp_path, quiet_s=60)
    (tmp_path / "a.csv").write_bytes(HEAD + b"217;06:")
    live.until(1, within_s=5)
    live.inbox.stop()

    assert [f.content for f in live.found] == [HEAD]


def test_where_closing_is_not_told_a_file_must_be_quiet(tmp_path: Path) -> None:
    """A watch that only compares listings, as on a share, knows no closing and no renaming: the quiet time stays."""
    inbox, outside = tmp_path / "inbox", tmp_path / "outside"
    inbox.mkdir()
    outside.mkdir()
    live = Live(inbox, quiet_s=1.0, observer=lambda: PollingObserver(timeout=0.05))
    (inbox / "a.csv").write_bytes(HEAD)
    (outside / "b.csv").write_bytes(HEAD)
    (outside / "b.csv").rename(inbox / "b.csv")
    early = list(live.until(1, within_s=0.6))
    names = live.until(2)
    live.inbox.stop()

    assert early == []
    assert sorted(names) == ["a.csv", "b.csv"]


def test_same_size_same_time_but_other_bytes_is_noticed(tmp_path: Path) -> None:
    """A file changed in place whose size and time are put back is looked into, because the watch heard the write."""
    live = Live(tmp_path)
    path = tmp_path / "a.csv"
    path.write_bytes(b"217;9.1\n")
    live.until(1)
    stamp = path.stat()
    with path.open("r+b") as file:
        file.write(b"217;9.7\n")
    os.utime(path, ns=(stamp.st_atime_ns, stamp.st_mtime_ns))
    live.until(2)
    live.inbox.stop()

    assert [f.content for f in live.found] == [b"217;9.1\n", b"217;9.7\n"]


def test_a_file_heard_to_be_written_is_not_trusted_by_its_age(tmp_path: Path) -> None:
    """A program that writes with an old time (a copy that keeps times) must be quiet first, as any other."""
    live = Live(tmp_path, quiet_s=1.0)
    path = tmp_path / "a.csv"
    path.write_bytes(HEAD)
    os.utime(path, (MONDAY, MONDAY))
    live.wake.wait(5)
    live.inbox._watch.take()  # what a scan right at the first message would have taken
    with path.open("ab") as file:
        file.write(b"217;06:00;9.1\n")
    os.utime(path, (MONDAY, MONDAY))
    live.wake.clear()
    live.wake.wait(5)
    live.look()
    at_once = list(live.found)
    live.until(1)
    live.inbox.stop()

    assert at_once == []
    assert [f.content for f in live.found] == [HEAD + b"217;06:00;9.1\n"]


@pytest.mark.parametrize("when", ["before the start", "while it watches"])
def test_our_own_reading_wakes_nobody(tmp_path: Path, when: str) -> None:
    """Opening and reading a file does not count as a change: the service can sleep."""
    if when == "before the start":
        (tmp_path / "a.csv").write_bytes(HEAD)
    live = Live(tmp_path)
    if when == "while it watches":
        (tmp_path / "a.csv").write_bytes(HEAD)
    live.until(1)
    live.look()
    woken = live.wake.wait(0.4)
    live.inbox.stop()

    assert not woken


def test_a_folder_deleted_and_made_again_is_watched_again(tmp_path: Path) -> None:
    """The watch of a deleted folder is dead though it looks alive; it is put up on the new one."""
    path = tmp_path / "inbox"
    path.mkdir()
    live = Live(path)
    shutil.rmtree(path)
    live.wake.wait(5)
    live.look()
    path.mkdir()
    live.look()
    (path / "a.csv").write_bytes(HEAD)
    names = live.until(1)
    live.inbox.stop()

    assert names == ["a.csv"]


def test_a_folder_replaced_between_two_looks_is_watched_again(tmp_path: Path) -> None:
    """Deleted and made again before anybody looked, even under the same inode, the new folder is watched."""
    path = tmp_path / "inbox"
    path.mkdir()
    live = Live(path)
    shutil.rmtree(path)
    path.mkdir()
    live.wake.wait(5)
    live.look()
    (path / "a.csv").write_bytes(HEAD)
    names = live.until(1)
    live.inbox.stop()

    assert names == ["a.csv"]


def test_a_folder_that_another_takes_the_place_of_is_left_for_it(tmp_path: Path) -> None:
    """A link pointed elsewhere (or a share mounted over the folder): the watch moves, though the old one is alive."""
    for name in ("old", "new"):
        (tmp_path / name).mkdir()
    path = tmp_path / "inbox"
    path.symlink_to("old")
    live = Live(path)
    path.unlink()
    path.symlink_to("new")
    live.look()
    (path / "a.csv").write_bytes(HEAD)
    names = live.until(1)
    live.inbox.stop()

    assert names == ["a.csv"]


def test_a_dead_watch_is_started_again(tmp_path: Path) -> None:
    """If the watching thread ends, the next sweep puts the watch up again."""
    live = Live(tmp_path)
    live.inbox._watch._observer.stop()
    live.inbox._watch._observer.join(5)
    live.look()
    (tmp_path / "a.csv").write_bytes(HEAD)
    names = live.until(1)
    live.inbox.stop()

    assert names == ["a.csv"]


def test_an_error_in_the_service_does_not_end_the_watch(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    """If what is called on waking fails, it is logged, and the next change is heard all the same."""
    calls: list[int] = []
    heard = threading.Event()

    def wake() -> None:
        calls.append(1)
        heard.set()
        if len(calls) == 1:
            raise RuntimeError("the service is busy")

    inbox = Inbox(tmp_path, {}, on_wake=wake)
    inbox.start()
    (tmp_path / "a.csv").write_bytes(HEAD)
    assert heard.wait(5)
    heard.clear()
    inbox.scan(0.0, MONDAY)
    (tmp_path / "b.csv").write_bytes(HEAD)
    woken_again = heard.wait(5)
    inbox.stop()

    assert woken_again
    assert "the next sweep finds the file" in caplog.text


def test_where_changes_are_not_told_the_sweeps_do(tmp_path: Path) -> None:
    """When the system refuses a watch this is told once, and files are found by looking every `sweep_s`."""

    class NoObserver:
        """An observer as on a system without one left."""

        def schedule(self, *args: object, **kwargs: object) -> None:
            """Accepts anything."""

        def start(self) -> None:
            """Refuses, as the system does when the limit of watches is reached."""
            raise OSError(28, "No space left on device")

    inbox = Inbox(tmp_path, {}, sweep_s=0.1, observer=NoObserver)
    inbox.start()
    first = inbox.scan(0.0, MONDAY)
    (tmp_path / "a.csv").write_bytes(HEAD)
    second = inbox.scan(0.1, 1e11)
    inbox.stop()

    assert [str(p) for p in first.problems] == [
        "inbox: changes are not told here (No space left on device); it is looked through every 0.1 s"
    ]
    assert second.problems == ()
    assert [f.name for f in second.files] == ["a.csv"]


WRITER = """
import os, sys
for number in range(200):
    name = os.path.join(sys.argv[1], f"{number:03}.csv")
    how = number % 4
    if how == 0:
        open(name, "wb").write(b"cow\\n" + str(number).encode() + b"\\n")
    elif how == 1:
        open(name + ".tmp", "wb").write(b"cow\\n" + str(number).encode() + b"\\n")
        os.rename(name + ".tmp", name)
    elif how == 2:
        with open(name, "wb") as file:
            for part in (b"cow\\n", str(number).encode(), b"\\n"):
                file.write(part)
                file.flush()
    else:
        os.makedirs(os.path.join(sys.argv[1], str(number)), exist_ok=True)
        open(os.path.join(sys.argv[1], str(number), "a.csv"), "wb").write(b"cow\\n" + str(number).encode() + b"\\n")
"""


def test_two_hundred_files_of_another_process_are_all_found(tmp_path: Path) -> None:
    """Written straight, by rename, in pieces and into new subfolders: each file is found whole, none twice."""
    live = Live(tmp_path, sweep_s=1.0)
    writer = subprocess.Popen([sys.executable, "-c", WRITER, str(tmp_path)])
    live.until(200, within_s=20)
    writer.wait(10)
    live.until(201, within_s=0.5)
    live.inbox.stop()
    expected = {(f"{n}/a.csv" if n % 4 == 3 else f"{n:03}.csv"): f"cow\n{n}\n".encode() for n in range(200)}

    assert {f.name: f.content for f in live.found} == expected
    assert len(live.found) == 200
