"""Reading delimited text (CSV, TSV): true line numbers, and no bad row hides the next."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import islice

from sentinel.flow.bounds import Bounds
from sentinel.flow.feeds.feed_map import FeedMap
from sentinel.flow.feeds.formats.decoding import BROKEN, Text, decode, lines_of
from sentinel.flow.feeds.formats.raw import CHUNK_ROWS, Chunk, Opened, SetAsides, distinct_titles
from sentinel.flow.model import Export
from sentinel.flow.reasons import Reason, Unreadable

_MOST_LINES = 50
"""A quoted text may run over this many lines; one that runs further is taken as a forgotten quote."""

_MOST_COLUMNS = 5000
"""A line of more cells is cut there: it is no row, and is not to be taken apart into millions of cells."""


def open_delimited(feed: FeedMap, export: Export, bounds: Bounds) -> Opened:
    """Open an export of delimited text.

    Lines are told apart by LF, CR LF or CR. Blank lines are skipped; rows with too many or too few cells are set
    aside, but empty cells too many at the end are forgiven. A quote that is never closed costs its own line only.
    """
    try:
        text = decode(export.content, feed.encoding, export.read_from)
        lines = lines_of(text.text, bounds)
    except Unreadable as error:
        return Opened(refused=error.reason)
    if len(max(lines, key=len, default="")) > _MOST_COLUMNS:
        lines = [_narrow(line, feed.delimiter) for line in lines]
    opened = Opened(set_aside=SetAsides(bounds.reasons))
    first = 0
    if feed.header_line:
        titles = _titles(feed, lines, text)
        if isinstance(titles, Reason):
            opened.refused = titles
            return opened
        opened.titles, first = titles
    else:
        opened.titles = distinct_titles(feed.columns)
    start, begins = _start(lines, first, text)
    opened.chunks = _chunks(feed, lines, start, begins, replace(text, text=""), opened, bounds)
    return opened


def _narrow(line: str, delimiter: str) -> str:
    """A line, cut after so many cells that no row has as many."""
    if len(line) <= _MOST_COLUMNS or line.count(delimiter) <= _MOST_COLUMNS:
        return line
    return delimiter.join(line.split(delimiter, _MOST_COLUMNS + 1)[: _MOST_COLUMNS + 1])


def _titles(feed: FeedMap, lines: list[str], text: Text) -> tuple[tuple[str, ...], int] | Reason:
    """The titles and the index of the line after them, or why there are none."""
    index = feed.header_line - 1
    if index >= len(lines):
        if not lines:
            return Reason("file-empty", n=feed.header_line)
        return Reason("file-too-short", few=len(lines), n=feed.header_line)
    reader = csv.reader(islice(lines, index, index + _MOST_LINES), delimiter=feed.delimiter)
    try:
        cells = next(reader)
    except (csv.Error, StopIteration):
        cells = []
    if text.broken and any(BROKEN.search(cell) for cell in cells):
        return Reason("titles-not-text", encoding=text.encoding)
    if len(cells) > _MOST_COLUMNS:
        return Reason("too-many-titles", n=f"{_MOST_COLUMNS:,}")
    return distinct_titles(cells), index + reader.line_num


def _start(lines: list[str], first: int, text: Text) -> tuple[int, int]:
    """The index of the line to read from, and of the first line that may still give a row.

    They differ where quoted text may run over lines: then the rows must be told apart from the start, and a row
    that was not finished when the file was read before is read now.
    """
    if not text.read_from:
        return first, first
    passed, index = 0, 0
    while index < len(lines) and passed < text.read_from:
        passed += len(lines[index])
        index += 1
    index = max(index, first)
    quoted = text.text.find('"', 0, text.read_from) >= 0
    return (first, index) if quoted else (index, index)


def _chunks(
    feed: FeedMap, lines: list[str], start: int, begins: int, text: Text, opened: Opened, bounds: Bounds
) -> Iterator[Chunk]:
    """The rows in chunks; what is no row goes to `opened.set_aside`."""
    left = bounds.cells
    chunk = Chunk([], [], [])
    width = len(opened.titles)
    while width and opened.titles[width - 1] == "":
        width -= 1  # titles that end in a delimiter
    titles = len(opened.titles)
    for index, end, cells, why in _records(feed, lines, start, lambda c: not _misfit(c, width, titles)):
        if end <= begins and index < begins:
            continue
        if not why and (not cells or (len(cells) == 1 and not cells[0].strip())):
            continue
        if feed.skip_lines and lines[index].lstrip().startswith(feed.skip_lines):
            continue
        raw = lines[index] if end == index + 1 else "".join(lines[index:end])
        reason = why or (_misfit(cells, width, titles) if len(cells) != titles else None)
        if not reason and text.broken and BROKEN.search(raw):
            reason = Reason("row-not-text", encoding=text.encoding)
        if reason:
            opened.set_aside.keep(index + 1, raw, reason)
            continue
        left -= len(cells)
        if left < 0:
            opened.refused = bounds.too_many_cells
            return
        chunk.lines.append(index + 1)
        chunk.rows.append(cells)
        chunk.raws.append(raw)
        if len(chunk.rows) >= CHUNK_ROWS:
            yield chunk
            chunk = Chunk([], [], [])
    if chunk.rows:
        yield chunk


def _misfit(cells: list[str], width: int, titles: int) -> Reason | None:
    """Why a row does not fit the titles; None if it does. Cuts empty cells too many, adds those of nameless columns."""
    if len(cells) < width:
        return Reason("cells-missing", n=len(cells), width=width)
    while len(cells) > titles and not cells[-1].strip():
        cells.pop()
    if len(cells) > titles:
        return Reason("cells-too-many", n=len(cells), width=width)
    cells.extend([""] * (titles - len(cells)))
    return None


def _records(
    feed: FeedMap, lines: list[str], start: int, fits: Callable[[list[str]], bool]
) -> Iterator[tuple[int, int, list[str], Reason | None]]:
    """Index of a record's first line and of the line after it, its cells, and why it is none, if so.

    Quoted text over several lines is believed only if the row then fits the titles and none of the lines inside
    is a row by itself; otherwise somebody forgot a quote, which costs that line and no other.
    """
    index = start
    while index < len(lines):
        base = index
        begun = [base]
        reader = csv.reader(_within(lines, begun), delimiter=feed.delimiter, strict=True)
        try:
            for cells in reader:
                end = base + reader.line_num
                if end - index > 1 and not (fits(cells) and _is_one_row(feed, lines[index:end], fits)):
                    break
                yield index, end, cells, None
                index = begun[0] = end
        except csv.Error:
            pass
        if index < len(lines):
            yield _lone_line(feed, lines, index)
            index += 1


def _within(lines: list[str], begun: list[int]) -> Iterator[str]:
    """The lines from `begun` on, to the last one on which a record may stand that begins there; `begun` moves along."""
    for at in range(begun[0], len(lines)):
        if at - begun[0] > _MOST_LINES:
            return
        yield lines[at]


def _is_one_row(feed: FeedMap, lines: list[str], fits: Callable[[list[str]], bool]) -> bool:
    """Whether the lines that a quoted text runs over are few and none between its ends is a row by itself."""
    if len(lines) > _MOST_LINES:
        return False
    alone = (next(csv.reader([line], delimiter=feed.delimiter), []) for line in lines[1:-1])
    return not any(fits(cells) for cells in alone)


def _lone_line(feed: FeedMap, lines: list[str], index: int) -> tuple[int, int, list[str], Reason | None]:
    """One line read by itself after its quotes made no sense."""
    line = lines[index]
    try:
        return index, index + 1, next(csv.reader([line], delimiter=feed.delimiter, strict=True)), None
    except (csv.Error, StopIteration) as error:
        if "unexpected end" in str(error):
            return index, index + 1, [], Reason("quote-never-closed")
        if "field larger" in str(error):
            return index, index + 1, [], Reason("cell-too-long")
    try:
        return index, index + 1, next(csv.reader([line], delimiter=feed.delimiter)), None
    except (csv.Error, StopIteration):
        return index, index + 1, [], Reason("quotes-senseless")
