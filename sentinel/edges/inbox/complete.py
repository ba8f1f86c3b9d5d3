"""How much of an export's content is complete, by its name and its bytes alone."""

from __future__ import annotations

import io
import os
import zipfile

LINE_FILES = (".csv", ".tsv", ".txt", ".jsonl", ".ndjson")
"""Files that may grow line by line and are read on from where they were left."""

UNFINISHED_NAMES = (".tmp", ".part", "~")
"""Ends of names that programs use while they write; such files are never read."""


def is_unfinished(name: str) -> bool:
    """Whether a file or folder of that name is never read: hidden, or still under a writer's own name.

    >>> [name for name in (".a.csv", "a.csv.tmp", "A.PART", "a.csv~", "~$a.xlsx", "a.csv") if not is_unfinished(name)]
    ['a.csv']
    """
    return name.startswith((".", "~$")) or name.lower().endswith(UNFINISHED_NAMES)


def is_line_file(name: str) -> bool:
    """Whether the file may grow line by line."""
    return name.lower().endswith(LINE_FILES)


def complete_part(name: str, content: bytes) -> tuple[int, str]:
    """How many bytes of a file are complete, and what is missing, in words ("" if nothing).

    >>> complete_part("tank.json", b'[{"litres": 4')
    (0, 'its JSON has no end yet')
    """
    if not content:
        return 0, "it is still empty"
    if is_line_file(name):
        upto = end_of_last_line(content)
        return upto, held_back(len(content) - upto) if upto < len(content) else ""
    suffix = os.path.splitext(name)[1].lower()
    if suffix == ".json" and not content.rstrip(b" \t\r\n\0").endswith((b"}", b"]")):
        return 0, "its JSON has no end yet"
    if suffix == ".xlsx" and not zipfile.is_zipfile(io.BytesIO(content)):
        return 0, "its sheets have no end yet"
    return len(content), ""


def end_of_last_line(content: bytes) -> int:
    r"""How many bytes from the start are complete lines; UTF-16 is told by its first two bytes.

    >>> end_of_last_line(b"cow;kg\n217;9,"), end_of_last_line(b"cow"), end_of_last_line("ä\nb".encode("utf-16"))
    (7, 0, 6)
    """
    for mark, newline in ((b"\xff\xfe", b"\n\0"), (b"\xfe\xff", b"\0\n")):
        if content.startswith(mark):
            at = content.rfind(newline)
            while at % 2 == 1:  # the second byte of one letter and the first of the next; -1 is odd too
                at = content.rfind(newline, 0, at + 1) if at > 0 else -2
            return max(at + 2, 0)
    return content.rfind(b"\n") + 1


def held_back(size: int) -> str:
    """Why the end of a line file waits; `size` in bytes."""
    return f"its last line has no end yet ({size} bytes are held back)"
