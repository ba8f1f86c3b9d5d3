"""Workbooks unpacked in a process of their own, within a limit on memory and time.

A workbook is a packed tree: a small one can hold very much, and what it is made of is only known when it is unpacked.
Where it says that it is small all over it is unpacked here, as a process costs a quarter of a second. The child is
bounded by the system where there is `RLIMIT_AS` (Linux and other POSIX systems, though macOS does not heed it);
elsewhere (Windows) what it unpacks to, its rows, its cells and its time are bounded all the same, and only by those
its memory.
"""

from __future__ import annotations

import pickle
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any

from sentinel.flow.bounds import Bounds, megabytes
from sentinel.flow.feeds.formats.workbook import NumberedRow, Refused, unpacked_sizes, unreadable, workbook_rows
from sentinel.flow.reasons import Reason

SMALL = 500_000
"""A workbook that unpacks to so few bytes is unpacked here: openpyxl takes up to sixty times that of memory."""

SMALL_REST = 60_000
"""So many of them may be neither sheets nor their texts: styles take openpyxl a kilobyte for five bytes."""

AT_ONCE = 500
"""So many rows are handed over in one piece."""

ROOT = Path(__file__).parents[2]


def rows_apart(content: bytes, sheet: str | None, bounds: Bounds, small: int = SMALL) -> Iterator[NumberedRow]:
    """The rows of a sheet that hold something, as `workbook_rows` gives them; raises Refused whatever the file does."""
    whole, rest = unpacked_sizes(content, bounds)
    if whole <= small and rest <= SMALL_REST:
        yield from workbook_rows(content, sheet, bounds)
        return
    child = subprocess.Popen(
        [sys.executable, "-c", "from sentinel.edges.apart import child; child()"],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )
    assert child.stdin is not None and child.stdout is not None
    late = threading.Event()

    def give_up() -> None:
        late.set()
        child.kill()

    timer = threading.Timer(bounds.seconds, give_up)
    timer.start()
    try:
        try:
            with child.stdin as given:
                pickle.dump((content, sheet, bounds), given, pickle.HIGHEST_PROTOCOL)
            yield from _taken(child.stdout)
        except (OSError, EOFError, pickle.UnpicklingError, ValueError) as error:
            if isinstance(error, Refused):
                raise
            slow = Reason("unpacking-too-slow", n=f"{bounds.seconds:,}")
            raise Refused(slow if late.is_set() else _too_much(bounds)) from error
    finally:
        timer.cancel()
        child.kill()
        child.stdout.close()
        child.wait()


def _too_much(bounds: Bounds) -> Reason:
    return Reason("unpacking-takes-memory", size=megabytes(bounds.memory))


def _taken(out: IO[bytes]) -> Iterator[NumberedRow]:
    """What the child hands over, up to its last word; raises EOFError if it ends without one."""
    while True:
        content = pickle.load(out)
        if isinstance(content, Refused):
            raise content
        if content is None:
            return
        yield from content


def child() -> None:
    """Unpack the workbook that comes in, and hand over its rows; run in a process of its own."""
    content, sheet, bounds = pickle.load(sys.stdin.buffer)
    out = sys.stdout.buffer
    sys.modules["numpy"] = None  # type: ignore[assignment]  # openpyxl loads it where it is there, and needs it for nothing here
    import openpyxl  # noqa: F401, PLC0415  (before the bound is set, which is for the workbook alone)

    last: Any = None
    try:
        limit_memory(bounds.memory)
        some: list[NumberedRow] = []
        for one in workbook_rows(content, sheet, bounds):
            some.append(one)
            if len(some) >= AT_ONCE or len(one[1]) >= AT_ONCE:
                pickle.dump(some, out, pickle.HIGHEST_PROTOCOL)
                some = []
        pickle.dump(some, out, pickle.HIGHEST_PROTOCOL)
    except Refused as error:
        last = error
    except MemoryError:
        last = Refused(_too_much(bounds))
    except Exception as error:
        last = unreadable(error)
    pickle.dump(last, out, pickle.HIGHEST_PROTOCOL)
    out.flush()


def limit_memory(more: int) -> None:
    """Limit how many more bytes of memory this process may take from now on, where the system can."""
    try:
        import resource  # noqa: PLC0415  (there is none on Windows)
    except ImportError:
        return
    try:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
        now = pages * resource.getpagesize()
    except (OSError, ValueError):  # another POSIX system: what a Python with openpyxl has mapped, and more
        now = 500_000_000
    resource.setrlimit(resource.RLIMIT_AS, (now + more, now + more))
