"""Reading the first or a named sheet of an XLSX workbook; its dates and numbers come as what they are."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import chain
from typing import Any

from sentinel.flow.bounds import Bounds
from sentinel.flow.feeds.feed_map import FeedMap
from sentinel.flow.feeds.formats.raw import CHUNK_ROWS, Chunk, Opened, SetAsides, distinct_titles
from sentinel.flow.feeds.formats.workbook import NumberedRow, Refused
from sentinel.flow.model import Export
from sentinel.flow.reasons import Reason
from sentinel.flow.yaml.text import hint

Unpack = Callable[[bytes, "str | None", Bounds], Iterator[NumberedRow]]
"""Gives the rows of a workbook's sheet that hold something, with their numbers; raises `Refused`."""


def open_sheet(feed: FeedMap, export: Export, bounds: Bounds, unpack: Unpack) -> Opened:
    """Open an export that is a workbook. Rows without any value are skipped; formulas give their stored result.

    A workbook that cannot be read to its end is refused whole: half a sheet is not an export.
    """
    opened = Opened(set_aside=SetAsides(bounds.reasons))
    rows = unpack(export.content, feed.sheet, bounds)
    last = 0
    row: tuple[Any, ...] = ()
    try:
        for number, cells in rows:
            last, row = number, cells
            if number >= max(feed.header_line, 1):
                break
        else:
            row = ()
    except Refused as error:
        opened.refused = _why(error, feed.sheet)
        return opened
    if not feed.header_line:
        opened.titles = distinct_titles(feed.columns)
        opened.chunks = _chunks(chain([(last, row)] if row else [], rows), opened, feed.sheet)
        return opened
    if last < feed.header_line:
        n = feed.header_line
        opened.refused = Reason("sheet-too-short", few=last, n=n) if last else Reason("sheet-empty", n=n)
        return opened
    titled = last == feed.header_line
    opened.titles = distinct_titles(row if titled else ())
    opened.chunks = _chunks(rows if titled else chain([(last, row)], rows), opened, feed.sheet)
    return opened


def _chunks(rows: Iterator[NumberedRow], opened: Opened, sheet: str | None) -> Iterator[Chunk]:
    chunk = Chunk([], [], [])
    width = len(opened.titles)
    try:
        for number, row in rows:
            chunk.lines.append(number)
            chunk.rows.append(row[:width] if len(row) >= width else row + (None,) * (width - len(row)))
            chunk.raws.append(row)
            if len(chunk.rows) >= CHUNK_ROWS:
                yield chunk
                chunk = Chunk([], [], [])
    except Refused as error:
        opened.refused = _why(error, sheet)
        return
    if chunk.rows:
        yield chunk


def _why(error: Refused, sheet: str | None) -> Reason:
    """Why a workbook is refused, with the sheets that it has where the map's is missing."""
    if not (sheet and error.sheets):
        return error.reason
    nearest = hint(sheet, error.sheets)
    named = f'"{sheet}"'
    return Reason("sheet-misnamed", sheet=named, hint=nearest) if nearest else Reason("sheet-missing", sheet=named)
