"""What every reader of a file gives: titles, then rows of cells in chunks, and whole-file refusals in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from sentinel.flow.model import SetAside

CHUNK_ROWS = 8192
_LONGEST_ROW = 2000


@dataclass(frozen=True, slots=True)
class Chunk:
    """Some rows of a file in order: the line each begins on, its cells, and its raw text."""

    lines: list[int]
    rows: list[Sequence[Any]]
    raws: list[Any]


@dataclass(slots=True)
class Opened:
    """A file opened by a reader.

    `titles` are the column titles (a second column of the same title is called `Title#2`). `chunks` are read on
    demand; rows that are no rows land in `set_aside` as they are met. `refused` says why the whole file cannot
    be read.
    """

    titles: tuple[str, ...] = ()
    chunks: Iterator[Chunk] = field(default_factory=lambda: iter(()))
    set_aside: list[SetAside] = field(default_factory=list)
    refused: str = ""


def set_aside(line: int, raw: Any, reason: str) -> SetAside:
    """A row set aside, its raw text made storable and cut at 2,000 characters."""
    return SetAside(line, storable(raw_text(raw)).rstrip("\r\n")[:_LONGEST_ROW], storable(reason))


def raw_text(raw: Any) -> str:
    """The raw text of a row: itself, or the cells of a spreadsheet row parted by tabs."""
    if isinstance(raw, str):
        return raw
    return "\t".join("" if cell is None else str(cell) for cell in raw)


def storable(text: str) -> str:
    """Text that every store can hold: bytes that were no text are written as `\\x81`.

    >>> storable("K\\udce4se")
    'K\\\\xe4se'
    """
    if text.isascii():
        return text
    text = "".join(f"\\x{ord(c) - 0xDC00:02x}" if "\udc80" <= c <= "\udcff" else c for c in text)
    return text.encode("utf-8", "backslashreplace").decode("utf-8")


def distinct_titles(cells: Sequence[Any]) -> tuple[str, ...]:
    """Column titles without outer or doubled spaces, the second of a kind marked `#2`.

    >>> distinct_titles(["Cow ", "Milk", None, "Milk"])
    ('Cow', 'Milk', '', 'Milk#2')
    """
    titles: list[str] = []
    count: dict[str, int] = {}
    for cell in cells:
        title = plain_title("" if cell is None else str(cell))
        count[title] = count.get(title, 0) + 1
        titles.append(f"{title}#{count[title]}" if title and count[title] > 1 else title)
    return tuple(titles)


def plain_title(title: str) -> str:
    """A title without outer or doubled spaces or line breaks."""
    return " ".join(title.split())
