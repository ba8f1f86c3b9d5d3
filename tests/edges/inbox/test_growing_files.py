"""Files that grow or are written again: every line comes once, whole, with its last word."""

from __future__ import annotations

from pathlib import Path

import pytest
from edges.inbox.scanned_folder import HEAD, Folder, new_part
from hypothesis import given, settings
from hypothesis import strategies as st

from sentinel.edges.inbox import Found, Scan


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    """An empty inbox folder."""
    return Folder(tmp_path / "inbox")


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
