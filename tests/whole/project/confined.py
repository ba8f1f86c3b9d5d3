"""A command that may write a farm folder and nothing else, as the container's image and the units have it.

Made with the system's own means (util-linux): a view of the file system in which everything is read-only but
`/mnt/farm` and an empty `/tmp`, and a process of a user without a name or any right. Only root can make such a view.

    confined(["python3", ...], farm=..., exports=...)   the command to start; in it the exports lie at /mnt/exports
"""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

USER = 10001
FARM, EXPORTS = Path("/mnt/farm"), Path("/mnt/exports")

VIEW = """
set -e
mount --make-rprivate /
mount -t tmpfs -o mode=755 tmpfs /mnt
while [ "$1" != -- ]; do
    mkdir "$2"
    mount --bind "$1" "$2"
    [ "$3" = rw ] || mount -o remount,bind,ro "$2"
    shift 3
done
shift
mount -o remount,ro /mnt
mount -t tmpfs -o mode=1777,nosuid,nodev,size=64m tmpfs /tmp
mount -o remount,bind,ro /
exec setpriv --reuid "$0" --regid "$0" --clear-groups --no-new-privs --bounding-set=-all --inh-caps=-all "$@"
"""


def cannot() -> str:
    """Why no such view can be made here; "" if it can."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        return "only root can make a view of the file system"
    missing = [name for name in ("unshare", "setpriv", "mount") if not shutil.which(name)]
    return f"not on this machine: {', '.join(missing)}" if missing else ""


def confined(
    command: Sequence[str | Path],
    *,
    farm: Path,
    exports: Path | None = None,
    read_only: Mapping[str, Path] | None = None,
) -> list[str]:
    """The command in that view; `read_only`: further folders by their names in `/mnt`. What it needs lies in those."""
    places: list[str] = [str(farm), str(FARM), "rw"]
    if exports:
        places += [str(exports), str(EXPORTS), "ro"]
    for name, path in (read_only or {}).items():
        places += [str(path), f"/mnt/{name}", "ro"]
    view = ["unshare", "--mount", "sh", "-c", VIEW, str(USER), *places, "--"]
    return [*view, *(str(one) for one in command)]


def owned(folder: Path) -> None:
    """Give a folder and all in it to that user."""
    for path in (folder, *folder.rglob("*")):
        os.chown(path, USER, USER)


def python() -> Path:
    """The Python outside of any virtual environment, which other users can run."""
    return Path(sys._base_executable).resolve()  # type: ignore[attr-defined]
