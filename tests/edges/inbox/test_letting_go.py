"""A file that its writer closes or moves in is read at once, in real time; where that is not told it must be quiet."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

from edges.inbox.live_inbox import Live
from edges.inbox.scanned_folder import HEAD, MONDAY, new_part
from watchdog.observers.polling import PollingObserver


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
