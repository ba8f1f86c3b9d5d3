"""Files read within bounds: what the tests of what is too large share."""

from __future__ import annotations

import io
from typing import Any

import openpyxl

from sentinel.flow.bounds import Bounds
from sentinel.flow.feeds import load_feed_map, read_export
from sentinel.flow.model import Batch, Export

TABLES = "tables:\n  visits: {cow: Cow, start: Start, box: Box, milk_kg: Milk, attempts: Tries}\n"
LINES = 'feed: m\nfiles: "*"\ndelimiter: ";"\n' + TABLES
OBJECTS = 'feed: m\nfiles: "*"\nform: json_lines\n' + TABLES
BOOK = 'feed: m\nfiles: "*"\nform: xlsx\n' + TABLES
TITLES = ["Cow", "Start", "Box", "Milk", "Tries"]
HEAD = ";".join(TITLES) + "\n"
ROW = "7;2026-05-01 06:00;1;9.5;1\n"
FEW = Bounds(size=2000, rows=10, cells=40)


def read(text: str | bytes, form: str = LINES, bounds: Bounds = FEW) -> Batch:
    """What a file gives within the bounds."""
    feed, problems = load_feed_map(form, "m.yaml")
    assert feed is not None, problems
    content = text.encode() if isinstance(text, str) else text
    return read_export(feed, Export("m", content, 0), "UTC", bounds)


def whole(batch: Batch) -> str:
    """Why a file was set aside whole."""
    ((line, reason),) = [(one.line, str(one.reason)) for one in batch.set_aside]
    assert (line, batch.rows) == (0, ())
    return reason


def book(*rows: list[Any]) -> bytes:
    """The bytes of a workbook."""
    made = openpyxl.Workbook()
    for row in rows:
        made.active.append(row)  # type: ignore[union-attr]
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()
