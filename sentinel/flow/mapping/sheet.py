"""Reading the first or a named sheet of an XLSX workbook; its dates and numbers come as what they are."""

from __future__ import annotations

import io
import warnings
import zipfile
from collections.abc import Iterator
from typing import Any

from sentinel.flow.mapping.feed_map import FeedMap
from sentinel.flow.mapping.raw import CHUNK_ROWS, Chunk, Opened, distinct_titles
from sentinel.flow.model import Export
from sentinel.flow.yaml_text import did_you_mean

_MOST_BYTES = 2_000_000_000


def open_sheet(feed: FeedMap, export: Export) -> Opened:
    """Open an export that is a workbook. Rows without any value are skipped; formulas give their stored result.

    A workbook that cannot be read to its end is refused whole: half a sheet is not an export.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(export.content)) as packed:
            if sum(part.file_size for part in packed.infolist()) > _MOST_BYTES:
                return Opened(refused="it unpacks to more than 2 GB, which is no export")
        rows = sheet_rows(export.content, feed.sheet)
    except _NoSheet as error:
        return Opened(refused=str(error))
    except Exception as error:  # openpyxl raises many kinds for a damaged workbook
        return Opened(refused=f"it is not a workbook that can be read ({_short(error)}); was it copied completely?")
    if feed.header_line:
        if len(rows) < feed.header_line:
            said = f"has only {len(rows)} rows" if rows else "is empty"
            return Opened(refused=f"its sheet {said}; the column titles should stand in row {feed.header_line}")
        titles = distinct_titles(rows[feed.header_line - 1])
    else:
        titles = distinct_titles(feed.columns)
    return Opened(titles=titles, chunks=_chunks(rows, feed.header_line, len(titles)))


class _NoSheet(ValueError):
    """The named sheet is not there."""


def sheet_rows(content: bytes, sheet: str | None) -> list[tuple[Any, ...]]:
    """All rows of a sheet as tuples of cells; raises what openpyxl raises if the workbook is damaged."""
    import openpyxl  # noqa: PLC0415  (100 ms to load, and few farms export workbooks)

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # openpyxl warns about styles and validations, which carry no data
        book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=True)
        try:
            names = [one.title for one in book.worksheets]
            if sheet is not None and sheet not in names:
                raise _NoSheet(f'it has no sheet "{sheet}"{did_you_mean(sheet, names)}')
            if not names:
                raise _NoSheet("it has no sheet")
            chosen = book[sheet] if sheet is not None else book.worksheets[0]
            chosen.reset_dimensions()  # some writers note a size that is wrong
            return [tuple(row) for row in chosen.iter_rows(values_only=True)]
        finally:
            book.close()


def _chunks(rows: list[tuple[Any, ...]], first: int, width: int) -> Iterator[Chunk]:
    chunk = Chunk([], [], [])
    for index in range(first, len(rows)):
        row = rows[index]
        if all(cell is None or (isinstance(cell, str) and not cell.strip()) for cell in row):
            continue
        cells = row[:width] if len(row) >= width else row + (None,) * (width - len(row))
        chunk.lines.append(index + 1)
        chunk.rows.append(cells)
        chunk.raws.append(row)
        if len(chunk.rows) >= CHUNK_ROWS:
            yield chunk
            chunk = Chunk([], [], [])
    if chunk.rows:
        yield chunk


def _short(error: Exception) -> str:
    return (str(error).strip().splitlines() or [type(error).__name__])[0][:120]
