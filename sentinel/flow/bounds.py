"""How large one export file may be: a larger one is set aside whole, so that no file can stop the others."""

from __future__ import annotations

from dataclasses import dataclass

from sentinel.flow.reasons import Reason

MB = 1_000_000

LONGEST_SHOWN = 60
"""So many characters of a cell or a title are shown in a reason."""

LONGEST_REASON = 1000
"""So many characters, said in English, of why something could not be read are kept."""

ALIKE = 50
"""So many rows of one file that could not be read for the very same reason are kept at length."""


@dataclass(frozen=True, slots=True)
class Bounds:
    """What one export file may be at most; `farm.yaml` may say otherwise (`one_file`).

    `size`: bytes of the file; `unpacked`: bytes that a workbook unpacks to; `rows`: rows, lines or items; `cells`:
    cells, or values of JSON. `seconds` and `memory` (bytes, above what it begins with): what a process of its own may
    take to unpack a workbook. `reasons`: so many rows that could not be read are kept at length; all are counted.
    `month`: about so many rows of all files together may lie in memory, or ten thousand for each box.
    """

    size: int = 16 * MB
    unpacked: int = 64 * MB
    rows: int = 50_000
    cells: int = 2_000_000
    seconds: int = 60
    memory: int = 100 * MB
    reasons: int = 200
    month: int = 150_000

    @property
    def too_large(self) -> Reason:
        """Why a file of more bytes is set aside."""
        return Reason("file-too-large", size=megabytes(self.size))

    @property
    def too_many_rows(self) -> Reason:
        """Why a file of more rows is set aside."""
        return Reason("too-many-rows", n=f"{self.rows:,}")

    @property
    def too_many_cells(self) -> Reason:
        """Why a file of more cells is set aside."""
        return Reason("too-many-cells", n=f"{self.cells:,}")


USUAL = Bounds()


def megabytes(size: int) -> str:
    """Bytes in words.

    >>> megabytes(16_000_000), megabytes(1_500_000)
    ('16 MB', '1.5 MB')
    """
    return f"{size / MB:g} MB"


def cut(text: str, most: int = LONGEST_SHOWN) -> str:
    """A text cut to a length that can be shown.

    >>> cut("Cow number", 3)
    'Cow…'
    """
    return text if len(text) <= most else text[:most] + "…"


def legible(text: str) -> str:
    """A cell or a title as a reason may show it: cut, and what is no character that can be seen marked.

    >>> legible("Cow" + chr(0) * 2)
    'Cow\ufffd\ufffd'
    """
    text = cut(text)
    return (
        text
        if text.isprintable()
        else "".join(c if c.isprintable() or "\udc80" <= c <= "\udcff" else "\ufffd" for c in text)
    )
