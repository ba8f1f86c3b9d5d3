"""One item of an ICAR ADE collection: the rows that it gave, and why something of it could not be read."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass, field
from typing import Any

from sentinel.flow.feeds.formats.icar_part import Part
from sentinel.flow.reasons import Reason

NOTHING_LOST: Set[str] = frozenset()
"""One for all rows: an empty set of its own takes as much as the rest of a quarter."""


@dataclass(slots=True)
class Row:
    """What is known of a row, and the columns of it that could not be read."""

    values: dict[str, Any]
    lost: Set[str]


@dataclass(slots=True)
class Item:
    """What one item gave: rows by table, and why something could not be read.

    `feed` is the one that it belongs to; `tab` is the table that it would have filled, "" if none.
    """

    feed: str
    tab: str
    faults: list[Reason] = field(default_factory=list)
    rows: list[tuple[str, Row]] = field(default_factory=list)
    who: str = ""
    box: str = ""
    start: int | None = None

    def add(self, table: str, row: Row) -> None:
        """It gave a row of a table."""
        self.rows.append((table, row))


def name_in(part: Part, name: str, needed: bool = False) -> str:
    """A name without outer spaces; "" if it cannot be read."""
    text = str(part.value(name, needed) or "").strip()
    if needed and not text and name in part.given and name not in part.unread:
        part.fault(name, "value-empty")
    return text
