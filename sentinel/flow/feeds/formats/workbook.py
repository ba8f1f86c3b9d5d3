"""The rows of one sheet of an XLSX workbook, one by one and within bounds; imports little, as it is run apart too.

Only rows that hold something are given, each with its number: a sheet may say that its one row is number two billion,
and whoever fills the gap with empty rows never ends.
"""

from __future__ import annotations

import io
import sys
import warnings
import zipfile
from collections.abc import Iterator
from contextlib import redirect_stdout
from typing import Any

from sentinel.flow.bounds import Bounds, cut, megabytes
from sentinel.flow.reasons import Reason, Unreadable

MOST_ROW = 1_048_576
"""A sheet has no row past this one (ECMA-376 names no bound; from memory, the usual programs')."""

MOST_PARTS = 2000
"""A workbook of a farm has a dozen parts."""

_PART = b"PK\x01\x02"
"""Begins each entry of a zip file's directory (APPNOTE 4.3.12; from memory)."""

NumberedRow = tuple[int, tuple[Any, ...]]


class Refused(Unreadable):
    """The workbook is not read, and why; `sheets` are those it has if the one asked for is missing."""

    def __init__(self, reason: Reason, sheets: tuple[str, ...] | None = None) -> None:
        super().__init__(reason)
        self.sheets = sheets

    def __reduce__(self) -> tuple[type[Refused], tuple[Reason, tuple[str, ...] | None]]:
        return type(self), (self.reason, self.sheets)


def unpacked_sizes(content: bytes, bounds: Bounds) -> tuple[int, int]:
    """To how many bytes a workbook unpacks, and how many of those are neither sheets nor their texts.

    Raises Refused if it is no workbook or too large.
    """
    if content.count(_PART) > MOST_PARTS:  # listing three hundred thousand of them would take 200 MB
        raise Refused(Reason("too-many-parts", n=f"{MOST_PARTS:,}"))
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            parts = packed.infolist()
            whole = sum(part.file_size for part in parts)
            rows = sum(part.file_size for part in parts if _holds_rows(part.filename))
    except Exception as error:  # a damaged directory raises many kinds
        raise unreadable(error) from error
    if whole > bounds.unpacked:
        raise Refused(Reason("unpacks-too-large", size=megabytes(bounds.unpacked)))
    return whole, whole - rows


def _holds_rows(name: str) -> bool:
    return "worksheets/" in name or name.endswith("sharedStrings.xml")


def workbook_rows(content: bytes, sheet: str | None, bounds: Bounds) -> Iterator[NumberedRow]:
    """The rows of a sheet that hold something, with their numbers from 1; raises Refused, also after some rows."""
    unpacked_sizes(content, bounds)
    try:
        yield from _rows(content, sheet, bounds)
    except (Refused, MemoryError):
        raise
    except Exception as error:  # openpyxl raises many kinds for a damaged workbook
        raise unreadable(error) from error


def _rows(content: bytes, sheet: str | None, bounds: Bounds) -> Iterator[NumberedRow]:
    import openpyxl  # noqa: PLC0415  (100 ms to load, and few farms export workbooks)

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # openpyxl warns about styles and validations, which carry no data
        with redirect_stdout(sys.stderr):  # of a style that is not there it prints a line, where others read JSON
            book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=True, keep_links=False)
        try:
            names = tuple(one.title for one in book.worksheets)
            if not names or (sheet is not None and sheet not in names):
                raise Refused(Reason("no-sheet"), names)
            chosen = book[sheet] if sheet is not None else book.worksheets[0]
            chosen.reset_dimensions()  # some writers note a size that is wrong
            yield from _within(chosen.iter_rows(values_only=True), bounds)
        finally:
            book.close()


def _within(rows: Iterator[tuple[Any, ...]], bounds: Bounds) -> Iterator[NumberedRow]:
    """The rows that hold something, as long as they are not too many; a row is as wide as its last cell."""
    given = cells = 0
    for number, row in enumerate(rows, 1):
        if number > MOST_ROW:
            raise Refused(Reason("row-number-too-large", n=f"{MOST_ROW:,}"))
        cells += len(row)
        if cells > bounds.cells:
            raise Refused(bounds.too_many_cells)
        if row.count(None) == len(row) or all(c is None or (isinstance(c, str) and not c.strip()) for c in row):
            continue
        given += 1
        if given > bounds.rows + 1:
            raise Refused(bounds.too_many_rows)
        yield number, row


def unreadable(error: Exception) -> Refused:
    """Why a workbook cannot be read, from what was raised."""
    message = (str(error).strip().splitlines() or [type(error).__name__])[0]
    return Refused(Reason("not-a-workbook", detail=cut(message, 120)))
