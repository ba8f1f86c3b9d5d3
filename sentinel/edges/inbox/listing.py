"""What lies in the inbox folder and may be an export: names and stamps; nothing is opened."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Iterator
from pathlib import Path

from sentinel.edges.inbox.complete import is_unfinished
from sentinel.edges.inbox.files import Stamp, reason
from sentinel.edges.inbox.inside import LEADS_OUT, is_link, leads_out
from sentinel.edges.inbox.watch import readable

Tell = Callable[[str, str], None]


def exports_in(
    folder: Path, tell: Tell = lambda name, message: None, listed: Callable[[str], object] = lambda name: None
) -> Iterator[tuple[str, str, Stamp]]:
    """Every file that may be an export: its name under the folder, its path, its stamp.

    What cannot be looked at is left out: `tell` is called with its name and why, `listed` with each folder that could
    be listed (".": the inbox).
    """
    root = os.path.realpath(folder)  # the inbox itself may be a link
    folders = [(str(folder), "")]
    while folders:
        here, prefix = folders.pop()
        for entry in _entries(here, prefix or ".", tell, listed):
            if is_unfinished(entry.name):
                continue
            name = prefix + readable(entry.name)
            try:
                if is_link(entry) and leads_out(root, entry.path):
                    tell(name, LEADS_OUT)
                    continue
                if entry.is_dir(follow_symlinks=False):
                    folders.append((entry.path, name + "/"))
                    continue
                info = os.stat(entry.path)  # not entry.stat(): Windows keeps old sizes there
            except FileNotFoundError:
                continue
            except OSError as error:
                tell(name, f"cannot be read ({reason(error)}); it is tried again")
                continue
            if stat.S_ISREG(info.st_mode):
                yield name, entry.path, (info.st_size, info.st_mtime_ns, info.st_ino)


def _entries(folder: str, name: str, tell: Tell, listed: Callable[[str], object]) -> Iterator[os.DirEntry[str]]:
    """What lies in one folder, one by one: a list of fifty thousand takes its room at every look."""
    try:
        with os.scandir(folder) as listing:
            yield from listing
        listed(name)
    except OSError as error:
        tell(name, f"the folder cannot be listed ({reason(error)})")
