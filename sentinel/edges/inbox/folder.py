"""The inbox folder: each scan lists it, compares with what was read before, and reads what is complete."""

from __future__ import annotations

import contextlib
import hashlib
import math
import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, Literal

from sentinel.edges.inbox.complete import complete_part, end_of_last_line, held_back, is_line_file
from sentinel.edges.inbox.files import HEAD, Stamp, read, reason
from sentinel.edges.inbox.listing import exports_in
from sentinel.edges.inbox.mounts import is_within, mount_of
from sentinel.edges.inbox.reading_order import MOST_DEFERRED, Due, Kept, ReadingOrder
from sentinel.edges.inbox.rounds import Rounds
from sentinel.edges.inbox.scans import Found, Scan, Seen, Waiting
from sentinel.edges.inbox.under_way import UnderWay
from sentinel.edges.inbox.watch import Heard, Watch, full_observer
from sentinel.flow.bounds import USUAL, megabytes
from sentinel.flow.model import Problem, Source
from sentinel.flow.reasons import Reason

MOST_BYTES = 8_000_000
"""One scan hands over so much at most, or one file, so that a backlog and several large ones do not fill the memory."""

NOT_READ = "not read"
"""Stands for the SHA-256 of a file that is too large."""


@dataclass(slots=True)
class _Look:
    """What is known of a file that has not been handed over whole: its stamp and when to look into it.

    `since`: steady seconds at which it was first seen with this stamp; `due`: when to read it; `old`: unchanged for
    longer than `tail_s` when first seen; `closed`: its writer closed it, and nobody opened it since. `state`:
    `settling` until it is first read; `waiting` if it was read and was not complete; `given` if it was handed over, or
    could not be read: the next scan tries it again.
    """

    stamp: Stamp
    since: float
    due: float
    old: bool = False
    closed: bool = False
    state: Literal["settling", "waiting", "given"] = "settling"
    why: str = "it was written to a moment ago"

    def wait(self, why: str, due: float) -> None:
        """It is not complete: look again at `due` unless it changes before."""
        self.state, self.why, self.due = "waiting", why, due


class Inbox:
    """The watched folder. `on_wake` is called from another thread when a scan is worth making; it must only signal.

    `seen` is what was read before, by name. Nothing here asks the clock: a scan is told the steady seconds
    (`now_s`) and the time by which files are stamped (`wall_s`). `observer` makes the operating system's watch,
    `under_way` keeps which file is being read.
    """

    def __init__(
        self,
        folder: Path,
        seen: Mapping[str, Seen],
        quiet_s: float = 2.0,
        sweep_s: float = 15.0,
        tail_s: float = 60.0,
        on_wake: Callable[[], None] = lambda: None,
        most_bytes: int = MOST_BYTES,
        observer: Callable[[], Any] = full_observer,
        reopen_s: float = 0.1,
        largest: int = USUAL.size,
        under_way: UnderWay | None = None,
        kept: Kept = lambda name: None,
        mount: str = "",
    ) -> None:
        self.folder = Path(os.path.abspath(folder))
        self.quiet_s = quiet_s
        self.sweep_s = sweep_s
        self.tail_s = tail_s
        self.reopen_s = reopen_s
        self.most_bytes = most_bytes
        self.largest = largest
        self.under_way = under_way or UnderWay(None)
        self.mount = mount
        self._seen = dict(seen)
        self._looks: dict[str, _Look] = {}
        self.use(kept)
        self._rounds = Rounds(quiet_s)
        self._told: dict[str, str] = {}
        self._next_look_s = -math.inf
        self._watch = Watch(self.folder, on_wake, self._is_settling, observer)
        self._started = False

    def use(self, kept: Kept) -> None:
        """Go by other feeds from now on."""
        self._order = ReadingOrder(kept)
        for name, seen in self._seen.items():
            self._order.saw(name, seen.mtime_ns)
        for name, look in self._looks.items():
            self._order.saw(name, look.stamp[1])

    def start(self) -> None:
        """Put up the watch. Without it (one single look) scans work all the same."""
        self._started = True
        with contextlib.suppress(OSError):  # the first scan tells it
            self._watch.keep()

    def stop(self) -> None:
        """Take the watch down."""
        self._started = False
        self._watch.stop()

    @property
    def next_look_s(self) -> float:
        """When the next scan is due at the latest, on the same scale as `now_s`."""
        return self._next_look_s

    def settled(self, name: str, seen: Seen) -> None:
        """Say that what was found is stored: it is not given again."""
        self._seen[name] = seen
        self.under_way.was_read(name, seen.stamp)
        look = self._looks.get(name)
        if look is not None and look.stamp == seen.stamp and seen.read_to < seen.size:
            look.wait(held_back(seen.size - seen.read_to), look.since + self.tail_s)
            self._next_look_s = min(self._next_look_s, look.due)
        else:
            self._looks.pop(name, None)

    def forget(self, names: Iterable[str]) -> None:
        """Give these files again, as if they had never been read."""
        for name in names:
            self._seen.pop(name, None)

    def content_of(self, name: str) -> bytes | None:
        """All that a file holds now, whatever was read of it; None if it is not there, or is too large to be read."""
        try:
            content, stamp = read(str(self.folder / name), os.path.realpath(self.folder), self.largest)
        except OSError:
            return None
        return content if stamp[0] <= self.largest else None

    def is_there(self, name: str) -> bool:
        """Whether there is a file of this name."""
        return (self.folder / name).is_file()

    def scan(self, now_s: float, wall_s: float) -> Scan:
        """Look at every file and read those that are complete.

        `now_s`: steady seconds; `wall_s`: UTC seconds as files are stamped with. A file that was read before and
        still has the same stamp is not opened.
        """
        heard = self._watch.take()
        problems: list[Problem] = []
        waiting: list[Waiting] = []
        ready: list[Due] = []
        unmet = set(self._looks)
        has_files, away = False, self._away(problems)
        for name, path, stamp in self._walk(problems) if not away else ():
            has_files = True
            unmet.discard(name)
            known, look = self._seen.get(name), self._looks.get(name)
            if (
                known
                and look is None
                and name not in heard.touched
                and known.stamp == stamp
                and known.read_to == stamp[0]
            ):
                continue
            before = look
            if look is None or look.stamp != stamp:
                look = self._new_look(name, stamp, now_s, wall_s, name in heard.touched)
            self._hurry(name, look, before, heard, now_s)
            if now_s >= look.due:
                ready.append((stamp[1], name, path))
            else:
                waiting.append(Waiting(name, look.why, stamp[0]))
        away = away or self._unmounted(has_files, problems)
        gone = tuple(sorted(unmet)) if not away else ()
        for name in gone:
            del self._looks[name]
            self._told.pop(name, None)
        first, deferred = self._order.parted(sorted(ready))
        files, unchanged, left = self._read_ready(first, math.inf, now_s, waiting, problems)
        if not (files or left):
            files, more, later = self._read_ready(deferred, MOST_DEFERRED, now_s, waiting, problems)
            unchanged, deferred = [*unchanged, *more], deferred[len(deferred) - later :]
        dues = [look.due for look in self._looks.values() if look.state != "given"]
        self._next_look_s = now_s if left or deferred else max(now_s, min([now_s + self.sweep_s, *dues]))
        waiting.sort(key=lambda one: one.name)
        until = deferred[-1][0] // 1_000_000_000 if deferred else 0
        seen = tuple(files), tuple(waiting), gone, tuple(problems), tuple(unchanged)
        return Scan(*seen, left, len(deferred), until, away)

    def _new_look(self, name: str, stamp: Stamp, now_s: float, wall_s: float, touched: bool) -> _Look:
        """Begin to watch a file with a stamp not seen before.

        Only a file never seen changing is trusted by its age: the clock of a file server may be behind ours.
        """
        age_s = 0.0 if touched or name in self._looks else wall_s - stamp[1] / 1e9
        due = now_s if age_s > self.quiet_s else now_s + self.quiet_s
        look = self._looks[name] = _Look(stamp, now_s, due, old=age_s > self.tail_s)
        self._order.saw(name, min(stamp[1], round(wall_s * 1e9)))
        return look

    def _hurry(self, name: str, look: _Look, before: _Look | None, heard: Heard, now_s: float) -> None:
        """A message about a file makes it due sooner, unless its writer is known to carry on after closing."""
        if name in heard.touched:
            went_on = before is not None and before.closed and before.stamp[0] > 0
            self._rounds.was_written(name, went_on, now_s)
        elif before and before.closed and look is not before and (look.stamp[0], look.stamp[2]) != before.stamp[::2]:
            self._watch.forget(name)  # it became another without a word: not all is told here
            return
        if name in heard.moved:
            look.due = now_s
        if look.state != "settling":
            return
        opened_again = look.closed and (name in heard.touched or name not in heard.closed)
        if opened_again:
            look.closed, look.due = False, now_s + self.quiet_s
        if name in heard.closed and not look.closed and name not in self._rounds:
            look.closed, look.due = True, min(look.due, now_s + self.reopen_s)

    def _is_settling(self, name: str) -> bool:
        """Whether the file is known to be growing and is looked at anyway; asked from the watch's thread."""
        look = self._looks.get(name)
        return look is not None and look.state == "settling"

    # --- reading ---

    def _read_ready(
        self,
        ready: list[Due],
        most: float,
        now_s: float,
        waiting: list[Waiting],
        problems: list[Problem],
    ) -> tuple[list[Found], list[Seen], int]:
        """Read the files that are due, in time order, up to the byte limit or `most` found; adds to `waiting` and
        `problems`.

        Gives what was found, what had not changed, and how many were left.
        """
        files: list[Found] = []
        unchanged: list[Seen] = []
        taken, root = 0, os.path.realpath(self.folder)
        for number, (_, name, path) in enumerate(ready):
            if len(files) >= most:
                return files, unchanged, len(ready) - number
            look = self._looks[name]
            if taken and taken + min(look.stamp[0], self.largest) > self.most_bytes:
                return files, unchanged, len(ready) - number
            self._watch.forget(name)  # what comes from here on is news
            refused = self._refused(name, look.stamp)
            try:
                with self.under_way.reading(name, look.stamp):
                    content, stamp = read(path, root, HEAD if refused else self.largest)
            except FileNotFoundError:
                continue  # the next scan finds it gone
            except OSError as error:
                look.state = "given"
                self._tell(problems, name, f"cannot be read ({reason(error)}); it is tried again")
                continue
            self._told.pop(name, None)
            if stamp != look.stamp:
                look = self._looks[name] = _Look(stamp, now_s, now_s + self.quiet_s)
                waiting.append(Waiting(name, "it changed while it was read", stamp[0]))
                continue
            with self.under_way.reading(name, stamp):
                given = self._judge(name, content, look, now_s, refused)
            if isinstance(given, Found):
                look.state = "given"
                if look.closed:
                    self._rounds.was_read(name, now_s)
                files.append(given)
                taken += len(given.content)
                if given.seen.read_to < given.seen.size:
                    waiting.append(Waiting(name, held_back(given.seen.size - given.seen.read_to), given.seen.size))
            elif isinstance(given, Seen):
                self.settled(name, given)
                unchanged.append(given)
            else:
                look.wait(given.why, look.since + self.tail_s)
                waiting.append(given)
        return files, unchanged, 0

    def _refused(self, name: str, stamp: Stamp) -> Reason | None:
        """Why a file is not even read; None if it is."""
        if stamp[0] > self.largest:
            return Reason("file-too-large", size=megabytes(self.largest))
        return self.under_way.given_up(name, stamp)

    def _judge(
        self, name: str, content: bytes, look: _Look, now_s: float, refused: Reason | None
    ) -> Found | Seen | Waiting:
        """What a file that was read gives: something found, nothing new (`Seen`), or a reason to wait."""
        size, mtime_ns, inode = look.stamp
        known = self._seen.get(name)
        if refused:
            seen = Seen(name, size, mtime_ns, inode, size, NOT_READ)
            if known and known.sha256 == NOT_READ and size > self.largest:
                return seen  # it was told; one that goes on growing is not told anew with each line
            return Found(name, content, mtime_ns // 1_000_000_000, 0, seen, refused)
        upto, why = len(content), ""
        if not (look.old or now_s >= look.since + self.tail_s):
            upto, why = complete_part(name, content)
        digest = hashlib.sha256(content[:upto]).hexdigest()
        seen = Seen(name, size, mtime_ns, inode, upto, digest)
        if known and (known.read_to, known.sha256) == (upto, digest):
            return Waiting(name, why, size) if why else seen
        if why and not upto:
            return Waiting(name, why, size)
        read_from = 0
        if known and known.read_to and is_line_file(name):
            before = content[: known.read_to]
            if len(before) == known.read_to and hashlib.sha256(before).hexdigest() == known.sha256:
                if upto < known.read_to:  # its unfinished last line was taken earlier and has grown, not ended
                    return Waiting(name, why, size)
                read_from = end_of_last_line(before)
        return Found(name, content[:upto], mtime_ns // 1_000_000_000, read_from, seen)

    # --- listing ---

    def _away(self, problems: list[Problem]) -> str:
        """Why the folder cannot be listed, "" if it can; if started, the watch on it is put up again where needed."""
        try:
            os.scandir(self.folder).close()
        except OSError as error:
            self._watch.stop()
            away = f"{self.folder} is not there ({reason(error)}); it is looked for again"
            self._tell(problems, "inbox", away)
            return away
        try:
            if self._started:
                self._watch.keep()
            self._told.pop("inbox", None)
        except OSError as error:
            sentence = f"changes are not told here ({reason(error)}); it is looked through every {self.sweep_s:g} s"
            self._tell(problems, "inbox", sentence)
        return ""

    def _unmounted(self, has_files: bool, problems: list[Problem]) -> str:
        """Why an empty folder is not the one that had files: what was mounted there is not; "" if nothing is amiss."""
        mount = mount_of(self.folder)
        if has_files or not self.mount or is_within(mount, self.mount):
            self.mount = mount if has_files else self.mount
            self._told.pop("mount", None)
            return ""
        away = f"{self.folder} is empty, as nothing is mounted at {self.mount}; it is looked for again"
        self._tell(problems, "mount", away)
        return away

    def _walk(self, problems: list[Problem]) -> Iterator[tuple[str, str, Stamp]]:
        """Every file that may be an export: its name under the folder, its path, its stamp."""
        return exports_in(self.folder, partial(self._tell, problems), lambda name: self._told.pop(name, None))

    def _tell(self, problems: list[Problem], name: str, message: str) -> None:
        """Note a problem unless the same was told before and has not gone away since."""
        if self._told.get(name) != message:
            self._told[name] = message
            problems.append(Problem(Source(name), message))
