"""Reading JSON lines: one object a line; a nested value is named by its path, such as `quarters.LF.milk`."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Any

from sentinel.flow.bounds import Bounds
from sentinel.flow.feeds.feed_map import FeedMap
from sentinel.flow.feeds.formats.decoding import BROKEN, decode, lines_of
from sentinel.flow.feeds.formats.raw import CHUNK_ROWS, Chunk, Opened, SetAsides
from sentinel.flow.model import Export
from sentinel.flow.reasons import Reason, Unreadable

_MOST_VALUES = 2000
"""A line holds a row of a few dozen values; what it is made of is only known when all of it was read."""


def open_json_lines(feed: FeedMap, export: Export, wanted: Sequence[str], bounds: Bounds) -> Opened:
    """Open an export of JSON lines; the rows hold the `wanted` values in that order, None where a key is absent."""
    try:
        text = decode(export.content, feed.encoding, export.read_from)
        lines = lines_of(text.text, bounds)
    except Unreadable as error:
        return Opened(refused=error.reason)
    opened = Opened(titles=tuple(wanted), set_aside=SetAsides(bounds.reasons))
    opened.chunks = _chunks(lines, text.read_from, opened)
    return opened


def _chunks(lines: Sequence[str], read_from: int, opened: Opened) -> Iterator[Chunk]:
    chunk = Chunk([], [], [])
    paths = [(name, tuple(name.split("."))) for name in opened.titles]
    passed = 0
    for number, line in enumerate(lines, start=1):
        begins = passed
        passed += len(line)
        if begins < read_from or not line.strip():
            continue
        item = _object(line)
        if isinstance(item, Reason):
            opened.set_aside.keep(number, line, item)
            continue
        chunk.lines.append(number)
        chunk.rows.append([_value(item, name, path) for name, path in paths])
        chunk.raws.append(line)
        if len(chunk.rows) >= CHUNK_ROWS:
            yield chunk
            chunk = Chunk([], [], [])
    if chunk.rows:
        yield chunk


def _object(line: str) -> dict[str, Any] | Reason:
    """The object on a line, or why there is none."""
    if BROKEN.search(line):
        return Reason("line-not-text")
    if values_in(line) > _MOST_VALUES:
        return Reason("line-too-many-values", n=f"{_MOST_VALUES:,}")
    try:
        item = json.loads(line)
    except RecursionError:
        return Reason("line-too-deep")
    except ValueError as error:
        return Reason("line-not-json", detail=str(error))
    if not isinstance(item, dict):
        return Reason("line-not-object")
    if "\\u" in line and has_half_characters(item):
        return Reason("half-character")
    return item


def values_in(text: str) -> int:
    """The most values that JSON of this text can hold.

    >>> values_in('{"a": [1, 2], "b": {}}')
    5
    """
    return text.count(",") + text.count("[") + text.count("{")


def has_half_characters(value: Any) -> bool:
    """Whether some text in a JSON value cannot be stored as UTF-8."""
    try:
        json.dumps(value, ensure_ascii=False).encode("utf-8")
    except (UnicodeEncodeError, RecursionError):
        return True
    return False


def _value(item: dict[str, Any], name: str, path: tuple[str, ...]) -> Any:
    """The value of a name, or of a path through nested objects; None if there is none."""
    if name in item:
        return _plain(item[name])
    here: Any = item
    for step in path:
        if not isinstance(here, dict) or step not in here:
            return None
        here = here[step]
    return _plain(here)


def _plain(value: Any) -> Any:
    """Objects and lists are no single value: they are shown as their JSON text, which no column accepts."""
    return json.dumps(value) if isinstance(value, dict | list) else value
