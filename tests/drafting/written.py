"""The files that a sample stands in: text, workbook or lines of JSON, with what a dialect puts around the rows."""

from __future__ import annotations

import io
import json
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

import openpyxl
import pandas as pd

from sentinel.flow.model import Export

from .pen import Pen
from .sampled import Sampled, Truth


def written(pen: Pen, part: str, dialect: str, kind: str, truth: dict[tuple[str, str], Truth], seed: int) -> Sampled:
    """The file itself: columns in another order half of the time, without titles now and then."""
    columns = list(pen.columns)
    if pen.chance.random() < 0.5:
        columns = [columns[i] for i in pen.chance.permutation(len(columns))]
    titles = [title for title, _ in columns]
    rows = list(zip(*(cells for _, cells in columns), strict=True))
    bare = pen.form == "delimited" and pen.chance.random() < 0.06 and not pen.layout
    if bare:
        called = {title: f"column {n + 1}" for n, title in enumerate(titles)}
        truth = {k: Truth(tuple(called[c] for c in t.columns), t.values, t.kind) for k, t in truth.items()}
    ending = {"delimited": "csv", "xlsx": "xlsx", "json_lines": "jsonl"}[pen.form]
    if not pen.layout:
        content = _CONTENT[pen.form](pen, titles, rows, bare)
        return Sampled(Export(f"{part}{seed}_20260301_0700.{ending}", content, 0), kind, dialect, truth)
    files = [
        Export(_name(pen, kind, n), _CONTENT[pen.form](pen, titles, some, bare), 0)
        for n, some in enumerate(_in_files(pen, kind, rows))
    ]
    return Sampled(files[0], kind, dialect, truth, tuple(files[1:]))


def _in_files(pen: Pen, kind: str, rows: list[tuple[Any, ...]]) -> list[list[tuple[Any, ...]]]:
    """The rows of each file: a list of cows is the same in all of them, the others follow each other."""
    count = int(pen.layout.get("files", 1))
    if kind == "cows":
        return [rows] * count
    size = -(-len(rows) // count)
    return [rows[n : n + size] for n in range(0, len(rows), size)]


def _name(pen: Pen, kind: str, n: int) -> str:
    """A file's name by its place."""
    step = timedelta(days=30) if kind == "cow_tests" else timedelta(hours=24)
    name = pen.layout["name"].replace("{kind}", kind.replace(" and ", "_"))
    return (datetime(2026, 3, 1, 7) + n * step).strftime(name)  # noqa: DTZ001


def _besides(pen: Pen, titles: Sequence[str], rows: Sequence[Sequence[Any]]) -> list[list[Any]]:
    """The lines of a table: titles, a row of units, the rows, and one that adds them up."""
    lines: list[list[Any]] = [list(titles)]
    if pen.units_row and set(pen.said) & set(titles):
        lines.append([pen.said.get(title, "") for title in titles])
    lines += [list(row) for row in rows]
    if pen.layout.get("totals"):
        lines.append([pen.layout["totals"], len(rows), *[None] * (len(titles) - 2)])
    return lines


def _delimited(pen: Pen, titles: Sequence[str], rows: Sequence[Sequence[Any]], bare: bool) -> bytes:
    lines = [list(row) for row in rows] if bare else _besides(pen, titles, rows)
    texts = [[pen.missing if cell is None else str(cell) for cell in row] for row in lines]
    quote = [[f'"{c}"' if pen.delimiter in c or '"' in c else c for c in line] for line in texts]
    before = [] if bare else list(pen.layout.get("preamble", ()))
    written = "\r\n".join([*before, *(pen.delimiter.join(line) for line in quote)]) + "\r\n"
    return written.encode(pen.layout.get("encoding", "utf-8"))


def _workbook(pen: Pen, titles: Sequence[str], rows: Sequence[Sequence[Any]], bare: bool) -> bytes:
    del bare
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet()
    for line in pen.layout.get("preamble", ()):
        sheet.append([line or None])
    for row in _besides(pen, titles, rows):
        sheet.append([None if isinstance(c, float) and pd.isna(c) else c for c in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _json_lines(pen: Pen, titles: Sequence[str], rows: Sequence[Sequence[Any]], bare: bool) -> bytes:
    del pen, bare
    return "".join(json.dumps(dict(zip(titles, row, strict=True)), ensure_ascii=False) + "\n" for row in rows).encode()


_CONTENT = {"delimited": _delimited, "xlsx": _workbook, "json_lines": _json_lines}
