"""The running service's own state in a file of the farm folder, for `sentinel status`.

The file never grows and is written in place, so that it can be written on a disk that is full.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

NAME = "sentinel.pulse"
LENGTH = 8192
TRIES = 5


def put(folder: Path, state: Mapping[str, Any]) -> bool:
    """Write the state; False if it could not be written. What is too long for the file loses its `troubles`."""
    text = json.dumps(state)
    if len(text) > LENGTH:
        text = json.dumps({**state, "troubles": [], "failing": [], "told": []})[:LENGTH]
    try:
        handle = os.open(folder / NAME, os.O_WRONLY | os.O_CREAT, 0o600)
    except OSError:
        return False
    try:
        os.write(handle, text.ljust(LENGTH).encode("ascii"))
    except OSError:
        return False
    finally:
        with contextlib.suppress(OSError):
            os.close(handle)
    return True


def read(folder: Path) -> dict[str, Any]:
    """The state as last written; empty if there is none."""
    for _ in range(TRIES):  # it may be read while it is written
        try:
            state = json.loads((folder / NAME).read_text(encoding="ascii"))
        except OSError:
            return {}
        except ValueError:
            continue
        return state if isinstance(state, dict) else {}
    return {}


def told_before(folder: Path) -> list[dict[str, Any]]:
    """The troubles reported shortly before the service last ended: a restart does not report them again."""
    troubles = read(folder).get("told")
    return [one for one in troubles if isinstance(one, dict)] if isinstance(troubles, list) else []
