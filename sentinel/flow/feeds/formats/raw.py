"""What every reader of a file gives: titles, then rows of cells in chunks, and why a whole file is refused."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from sentinel.flow.bounds import ALIKE, LONGEST_REASON, USUAL
from sentinel.flow.model import SetAside
from sentinel.flow.reasons import Reason, bounded

CHUNK_ROWS = 2048
_LONGEST_ROW = 2000


class SetAsides(list[SetAside]):
    """What could not be read of one file: every row is counted, but only the first ones keep their text and reason.

    Of those beyond `most`, and of more than `ALIKE` rows with the same reason, no more is kept than what they may have
    been: fifty thousand rows of junk are not worth a hundred megabytes.
    """

    def __init__(self, most: int = USUAL.reasons) -> None:
        super().__init__()
        self._left = most
        self._told: dict[Reason, int] = {}

    def keep(self, line: int, raw: Any, reason: Reason) -> None:
        """Set a row aside of which nothing else is known."""
        self.append(self.made(line, raw, reason))

    def made(self, line: int, raw: Any, reason: Reason, shown: Callable[[Any], Any] = lambda raw: raw) -> SetAside:
        """A row as it is to be kept, at length or not; `shown` gives its text or cells."""
        count = self._told.get(reason, 0)
        if self._left <= 0 or count >= ALIKE:
            return SetAside(line, "", None)
        self._left -= 1
        self._told[reason] = count + 1
        return set_aside(line, shown(raw), reason)


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
    be read, which may show only when some chunks were.
    """

    titles: tuple[str, ...] = ()
    chunks: Iterator[Chunk] = field(default_factory=lambda: iter(()))
    set_aside: SetAsides = field(default_factory=SetAsides)
    refused: Reason | None = None


def set_aside(line: int, raw: Any, reason: Reason) -> SetAside:
    """A row set aside, its raw text made storable and cut at 2,000 characters."""
    shown = storable(raw_text(raw)[: _LONGEST_ROW + 2]).rstrip("\r\n")[:_LONGEST_ROW]
    return SetAside(line, shown, _kept(reason))


def whole_file(why: Reason, tab: str) -> SetAside:
    """A whole file set aside, and why; it would have filled `tab`."""
    return SetAside(0, "", _kept(why), tab=tab)


def _kept(reason: Reason) -> Reason:
    """A reason made storable, and no longer than one may be."""
    return bounded(reason.with_texts(storable), LONGEST_REASON)


def raw_text(raw: Any) -> str:
    """The raw text of a row: itself, or the cells of a spreadsheet row parted by tabs."""
    if isinstance(raw, str):
        return raw
    return "\t".join("" if cell is None else str(cell)[:_LONGEST_ROW] for cell in raw[:_LONGEST_ROW])


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
