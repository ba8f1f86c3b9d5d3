"""Bytes of an export to text: byte order marks, the map's encoding, and bytes that are no text in it."""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass

from sentinel.flow.bounds import Bounds
from sentinel.flow.reasons import Reason, Unreadable

_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)

MOST_BEFORE = 100
"""So many lines may stand before the rows, such as titles and remarks, and are not counted."""

_LARGE = 1_000_000
"""Of so many bytes it is first seen whether they are text at all: with marks they may take eight times as much."""

BROKEN = re.compile("[\udc80-\udcff]")
"""A byte that could not be read as text, carried along until its row is set aside."""


@dataclass(frozen=True, slots=True)
class Text:
    """The text of a file, the character where byte `read_from` stands, and whether some bytes were no text."""

    text: str
    read_from: int
    encoding: str
    broken: bool


def marked_encoding(content: bytes) -> tuple[str, int]:
    """The encoding that a byte order mark names and the length of the mark, or ("", 0)."""
    for mark, encoding in _MARKS:
        if content.startswith(mark):
            return encoding, len(mark)
    return "", 0


def decode(content: bytes, encoding: str, read_from: int = 0) -> Text:
    """Text of a file; a byte order mark wins over `encoding`. Raises Unreadable if it cannot be read at all.

    Single bytes that are no text are kept as marks (`BROKEN`), so that only their own rows are lost.
    """
    marked, skip = marked_encoding(content)
    encoding = marked or encoding
    split = min(max(read_from, skip), len(content))
    head, head_broken = _part(content[skip:split], encoding)
    tail, tail_broken = _part(content[split:], encoding)
    return Text(head + tail, len(head), encoding, head_broken or tail_broken)


_LINE = re.compile("[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+")


def lines_of(text: str, bounds: Bounds) -> list[str]:
    """The lines of a text with their ends (LF, CR LF or CR); raises Unreadable if there are too many.

    >>> lines_of("a\\rb\\r\\nc", Bounds())
    ['a\\r', 'b\\r\\n', 'c']
    """
    if text.count("\n") + text.count("\r") - text.count("\r\n") > bounds.rows + MOST_BEFORE:
        raise Unreadable(bounds.too_many_rows)
    return _LINE.findall(text)


def _part(content: bytes, encoding: str) -> tuple[str, bool]:
    """Text of some bytes, and whether some of them were no text."""
    try:
        return content.decode(encoding), False
    except UnicodeError:
        pass
    try:
        return content.decode(encoding, "surrogateescape"), True
    except (UnicodeError, ValueError):
        pass
    try:  # wide encodings cannot mark single bytes
        if len(content) > _LARGE and _mostly_marks(content, encoding):
            raise ValueError(encoding)
        text = content.decode(encoding, "backslashreplace")
    except (UnicodeError, ValueError) as error:
        raise Unreadable(Reason("file-not-text", encoding=encoding)) from error
    if len(text) > len(content):  # mostly marks, each four times what it stands for
        raise Unreadable(Reason("file-not-text", encoding=encoding))
    return text, False


def _mostly_marks(content: bytes, encoding: str) -> bool:
    """Whether the text would be longer than its bytes with what is no text marked, found without making it."""
    text = content.decode(encoding, "replace")
    bad, width = text.count("\ufffd"), len("a".encode(encoding)) - len("".encode(encoding))
    return len(text) - bad + 4 * bad * width > len(content)
