"""The watch on the folder: the operating system's messages about changes, which only wake the next scan."""

from __future__ import annotations

import logging
import os
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from watchdog.events import FileSystemEvent, FileSystemEventHandler
from watchdog.observers import Observer

from sentinel.edges.inbox.complete import is_unfinished

_WAKING = ("created", "modified", "moved", "closed")
_HANDS = ("opened", "closed_no_write")
_logger = logging.getLogger(__name__)


def full_observer() -> Any:
    """The system's watch; on Linux one that also tells a file renamed in from elsewhere from one that is begun here."""
    kind: Any = Observer
    return kind(generate_full_events=True) if kind.__name__ == "InotifyObserver" else kind()


@dataclass(frozen=True, slots=True)
class Heard:
    """What the watch was told since the last scan, by name.

    `moved`: renamed into place; `touched`: written to, or closed after that; `closed`: closed by their writer and now
    in nobody's hands, whenever that was told.
    """

    moved: set[str]
    touched: set[str]
    closed: set[str]


@dataclass(slots=True)
class _Hands:
    """In whose hands a file is: how many have it open, and whether all that was written to it has been closed."""

    open: int = 0
    closed: bool = False


class Watch:
    """Watches one folder and its subfolders; `on_wake` is called from the watch's own thread, once per scan.

    `is_settling(name)`: whether a file is known to be growing: it then wakes nobody each time it grows, because it
    is looked at anyway when it should be quiet.
    """

    def __init__(
        self,
        folder: Path,
        on_wake: Callable[[], None],
        is_settling: Callable[[str], bool],
        observer: Callable[[], Any],
    ) -> None:
        self._folder = folder
        self._real = str(folder)
        self._on_wake = on_wake
        self._is_settling = is_settling
        self._make_observer = observer
        self._lock = threading.Lock()
        self._moved: set[str] = set()
        self._touched: set[str] = set()
        self._hands: dict[str, _Hands] = {}
        self._awake = False
        self._lost = False
        self._observer: Any = None
        self._watched: tuple[int, int] | None = None

    def keep(self) -> None:
        """Put up the watch if it is not up, its threads died, or it stands on a folder that was deleted.

        Raises OSError if the folder is missing or cannot be watched (some network shares, a system limit).
        """
        info = os.stat(self._folder)
        here = (info.st_dev, info.st_ino)
        observer = self._observer
        alive = observer is not None and observer.is_alive() and all(e.is_alive() for e in observer.emitters)
        if alive and not self._lost and self._watched == here:
            return
        self.stop()
        observer = self._make_observer()
        self._real = os.path.realpath(self._folder)  # a watch on a link hears nothing
        observer.schedule(_Ear(self._heard), self._real, recursive=True)
        self._lost = False
        observer.start()
        self._observer, self._watched = observer, here

    def stop(self) -> None:
        """Take the watch down, whatever state it is in, and wait for its threads."""
        observer, self._observer, self._watched = self._observer, None, None
        if observer is not None:
            observer.stop()
            if observer.is_alive():
                observer.join(5)

    def take(self) -> Heard:
        """What was told since the last call; a scan begins with it."""
        with self._lock:
            moved, self._moved = self._moved, set()
            touched, self._touched = self._touched, set()
            self._awake = False
            closed = {name for name, hands in self._hands.items() if hands.closed and not hands.open}
            return Heard(moved, touched, closed)

    def forget(self, name: str) -> None:
        """Count a file as closed only when it is written to and closed once more: it was read."""
        with self._lock:
            self._hands.pop(name, None)

    def _heard(self, event: FileSystemEvent) -> None:
        """Note a change, and wake the service unless it is our own reading."""
        kind = str(event.event_type)
        if kind in ("moved", "deleted") and event.src_path:
            self.forget(self._name(event.src_path))
        path = event.dest_path if kind == "moved" else event.src_path
        if not path:  # renamed to a place outside
            return
        name = self._name(path)
        with self._lock:
            if kind == "deleted" and name == ".":
                self._lost = True
            elif name == "." or is_unfinished(os.path.basename(name)) or kind not in (*_WAKING, *_HANDS):
                return
            let_go = not event.is_directory and self._handled(name, kind)
            if kind == "moved":
                self._moved.add(name)
            elif kind in ("modified", "closed"):
                self._touched.add(name)
            if kind == "modified":
                self._moved.discard(name)
            quietly = kind in _HANDS and not let_go
            if self._awake or quietly or (kind == "modified" and (event.is_directory or self._is_settling(name))):
                return
            self._awake = True
        self._on_wake()

    def _name(self, path: bytes | str) -> str:
        """A file's name under the folder."""
        return readable(Path(os.path.relpath(os.fsdecode(path), self._real)).as_posix())

    def _handled(self, name: str, kind: str) -> bool:
        """Keep in whose hands a file is; whether the last reader has just let go of one closed by its writer.

        Of equal messages in a row the system tells one, so the count may be off; a file then waits to be quiet.
        """
        hands = self._hands.setdefault(name, _Hands())
        let_go = False
        if kind == "opened":
            hands.open += 1
        elif kind in ("closed", "closed_no_write"):
            hands.open = max(0, hands.open - 1)
            let_go = kind == "closed_no_write" and hands.closed and not hands.open
            hands.closed |= kind == "closed"
        else:
            hands.closed = False
        if not hands.open and not hands.closed:
            del self._hands[name]
        return let_go


class _Ear(FileSystemEventHandler):
    """Passes events on; an exception in it would end the watching thread for good, so none leaves it."""

    def __init__(self, heard: Callable[[FileSystemEvent], None]) -> None:
        self._pass_on = heard

    def dispatch(self, event: FileSystemEvent) -> None:
        """Pass one event on."""
        try:
            self._pass_on(event)
        except Exception:
            _logger.exception("a message about a changed file could not be handled; the next sweep finds the file")


def readable(name: str) -> str:
    r"""A file name that can be stored and shown, also when its bytes are not UTF-8.

    >>> readable("melk\udce4.csv")
    'melk\\xe4.csv'
    """
    return os.fsencode(name).decode("utf-8", "backslashreplace")
