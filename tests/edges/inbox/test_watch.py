"""The watch on a folder, in real time: it wakes for what is new and nothing else, and is put up again when it died."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from edges.inbox.live_inbox import Live
from edges.inbox.scanned_folder import HEAD, MONDAY

from sentinel.edges.inbox import Inbox


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
