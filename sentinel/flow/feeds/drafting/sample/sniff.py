"""What can be seen in a sample export: its form, encoding, delimiter, titles, decimal mark and time formats."""

from __future__ import annotations

import csv
import io
import json
import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time
from itertools import islice
from typing import Any

from sentinel.flow.bounds import USUAL
from sentinel.flow.feeds.drafting.sample.besides import Besides, rows_besides
from sentinel.flow.feeds.formats.decoding import decode, marked_encoding
from sentinel.flow.feeds.formats.raw import distinct_titles
from sentinel.flow.feeds.formats.workbook import Refused, workbook_rows
from sentinel.flow.feeds.times import read_time
from sentinel.flow.feeds.values import as_text, number_parser
from sentinel.flow.model import Export

_MOST_ROWS = 500
_MOST_ROWS_TOGETHER = 2000
_SAMPLE_BYTES = 400_000

_DATES = ("%d.%m.%Y", "%d/%m/%Y", "%m/%d/%Y", "%d-%m-%Y", "%m-%d-%Y", "%Y/%m/%d", "%d.%m.%y", "%d/%m/%y", "%m/%d/%y")
_CLOCKS = ("%H:%M:%S", "%H:%M", "%H.%M", "%H.%M.%S", "%I:%M:%S %p", "%I:%M %p")
TIME_FORMATS = (
    "iso",
    *(f"{day} {clock}" for day in _DATES for clock in _CLOCKS),
    "%Y%m%d%H%M%S",
    "%Y%m%d%H%M",
    "%y%m%d %H%M",
)
DATE_FORMATS = ("iso", *_DATES, "%Y%m%d", "%d-%b-%Y", "%d %b %Y")

MISSING_MARKS = (
    "-",
    "--",
    "---",
    ".",
    "?",
    "*",
    "n/a",
    "na",
    "nan",
    "null",
    "none",
    "#n/a",
    "k.a.",
    "n.b.",
    "nd",
    "n.d.",
)
"""What stands in place of a figure that is not known, in lower case (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Sample:
    """What was seen: the columns' titles and up to 500 rows of cells, and how the file is written.

    `units`: by title, where a row below the titles says them. `skip`: how lines begin that are no rows; `remarks` says
    why. `files`: of how many rows each file that was looked at is seen.
    """

    form: str
    titles: tuple[str, ...] = ()
    columns: tuple[tuple[Any, ...], ...] = ()
    encoding: str = "utf-8"
    delimiter: str = ","
    decimal: str = "."
    thousands: str = ""
    header_line: int = 1
    sheets: tuple[str, ...] = ()
    trouble: str = ""
    notes: tuple[str, ...] = field(default=())
    missing: tuple[str, ...] = ()
    units: Mapping[str, str] = field(default_factory=dict)
    skip: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    files: tuple[int, ...] = ()


def sniff(export: Export) -> Sample:
    """Look at a sample export; `trouble` says why nothing can be seen."""
    content = export.content
    if content.startswith(b"PK\x03\x04"):
        return _workbook(content)
    encoding, notes = _encoding(content[:_SAMPLE_BYTES])
    try:
        text = decode(content[:_SAMPLE_BYTES], encoding).text
    except ValueError as error:
        return Sample("delimited", trouble=str(error))
    if len(content) > _SAMPLE_BYTES:
        text = text[: text.rfind("\n") + 1] or text
    if not text.strip():
        return Sample("delimited", trouble="the file is empty")
    sample = _json_lines(text) or _delimited(text)
    return replace(sample, encoding=encoding, notes=notes, missing=_missing(sample.columns), files=_size(sample))


def _size(sample: Sample) -> tuple[int, ...]:
    return (len(sample.columns[0]) if sample.columns else 0,)


def _encoding(content: bytes) -> tuple[str, tuple[str, ...]]:
    """The encoding, and a note if it is a guess."""
    marked, _ = marked_encoding(content)
    if marked:
        return {"utf-8": "utf-8"}.get(marked, marked), ()
    try:
        content[: content.rfind(b"\n") + 1 or None].decode("utf-8")
        return "utf-8", ()
    except UnicodeDecodeError:
        pass
    import charset_normalizer  # noqa: PLC0415  (only drafts of maps need it)

    usual = ["cp1252", "cp1250", "cp850", "latin_1"]
    if _western(content):
        return "cp1252", ("it is not utf-8 text; cp1252 is a guess: look whether names with accents come out right",)
    best = charset_normalizer.from_bytes(content, cp_isolation=usual).best()
    guess = "cp1252" if best is None or "cp1252" in best.could_be_from_charset else best.encoding
    return guess, (f"it is not utf-8 text; {guess} is a guess: look whether names with accents come out right",)


_WESTERN = frozenset("äöüßÄÖÜéèêëàâçîïôùûœñíáóúåøæØÅÆìò°µ²½·–’€ª¿¡ãõÃÕÉÈÀÇ\u00ba\u00a0")
"""What exports in western Europe hold besides plain letters; other encodings seen so give other signs."""


def _western(content: bytes) -> bool:
    """Whether all that is no plain letter is a western one where the text is taken for cp1252."""
    try:
        text = content.decode("cp1252")
    except UnicodeDecodeError:
        return False
    return {c for c in text if not c.isascii()} <= _WESTERN


def _json_lines(text: str) -> Sample | None:
    """JSON lines, or None if the first line is no JSON object."""
    rows: list[dict[str, Any]] = []
    for line in text.splitlines()[: _MOST_ROWS + 1]:
        if not line.strip():
            continue
        try:
            item = json.loads(line)
        except (ValueError, RecursionError):
            item = None
        if not isinstance(item, dict):
            if not rows:
                return None
            continue
        rows.append(dict(_flat(item)))
    titles = tuple(dict.fromkeys(key for row in rows for key in row))
    columns = tuple(tuple(row.get(title) for row in rows) for title in titles)
    return Sample("json_lines", titles, columns) if titles else None


def _flat(item: dict[str, Any], before: str = "") -> Iterable[tuple[str, Any]]:
    for key, value in item.items():
        if isinstance(value, dict):
            yield from _flat(value, f"{before}{key}.")
        elif not isinstance(value, list):
            yield f"{before}{key}", value


def _delimited(text: str) -> Sample:
    """Delimited text: the delimiter that gives the most cells on the most lines."""
    lines = io.StringIO(text, newline="").readlines()[: _MOST_ROWS + 30]
    best: tuple[float, str, list[list[str]]] = (0.0, ",", [])
    for delimiter in (";", "\t", ",", "|"):
        try:
            rows = list(csv.reader(lines, delimiter=delimiter))
        except csv.Error:
            continue
        widths = Counter(len(row) for row in rows if row)
        if not widths:
            continue
        width, often = max(widths.items(), key=lambda item: (item[1], item[0]))
        if width > 1 and (score := often / sum(widths.values()) * width**0.5) > best[0]:
            best = (score, delimiter, rows)
    _, delimiter, rows = best
    if not rows:
        rows = [[line.strip()] for line in lines if line.strip()]
    width = Counter(len(row) for row in rows if row).most_common(1)[0][0]
    first = next((i for i, row in enumerate(rows) if len(row) == width and _are_titles(row)), None)
    start = 0 if first is None else first
    line_numbers = _line_numbers(lines, delimiter) if best[2] else list(range(1, len(rows) + 1))
    places = [
        n
        for n in range(start + (first is not None), len(rows))
        if len(rows[n]) == width and any(map(str.strip, rows[n]))
    ]
    body = [rows[n] for n in places]
    ends = len(lines) < _MOST_ROWS + 30
    besides = rows_besides(body, ends=ends) if first is not None else Besides()
    written = [lines[line_numbers[n] - 1] for n in places]
    skip, remarks = besides.skip(written)
    body = [row for n, row in enumerate(body) if n not in besides.rows]
    titles = distinct_titles(rows[start]) if first is not None else tuple(f"column {i + 1}" for i in range(width))
    columns = tuple(zip(*body, strict=True)) if body else tuple(() for _ in titles)
    decimal, thousands = _marks(columns)
    header = line_numbers[start] if first is not None else 0
    return Sample(
        "delimited", titles, columns, "utf-8", delimiter, decimal, thousands, header,
        units=besides.units_of(titles), skip=skip, remarks=remarks,
    )  # fmt: skip


def _line_numbers(lines: Sequence[str], delimiter: str) -> list[int]:
    """The line each record begins on."""
    reader = csv.reader(lines, delimiter=delimiter)
    numbers, before = [], 0
    for _ in reader:
        numbers.append(before + 1)
        before = reader.line_num
    return numbers


def _are_titles(row: Sequence[str]) -> bool:
    """Whether a row holds titles: words, not numbers or times."""
    filled = [cell.strip() for cell in row if cell.strip()]
    return len(filled) * 2 > len(row) and not any(re.match(r"[-+]?[0-9]+([.,:/-]|$)", cell) for cell in filled)


def _marks(columns: Sequence[Sequence[str]]) -> tuple[str, str]:
    """The decimal and the thousands mark, as far as the numbers show them."""
    cells = [cell.strip() for column in columns for cell in column[:200]]
    comma = sum(bool(re.fullmatch(r"[-+]?[0-9]{1,3}(\.[0-9]{3})*,[0-9]+|[-+]?[0-9]+,[0-9]+", c)) for c in cells)
    # Beside commas a column of 06.30 and 17.45 is one of times of day.
    pointed = [column for column in columns if not (comma and _may_be_clocks(column))]
    point = sum(
        bool(re.fullmatch(r"[-+]?[0-9]{1,3}(,[0-9]{3})*\.[0-9]+|[-+]?[0-9]+\.[0-9]+", cell.strip()))
        for column in pointed
        for cell in column[:200]
    )
    decimal = "," if comma > point else "."
    other = r"\." if decimal == "," else ","
    both = any(re.fullmatch(rf"[-+]?[0-9]{{1,3}}({other}[0-9]{{3}})+{re.escape(decimal)}[0-9]+", c) for c in cells)
    return decimal, other.strip("\\") if both else ""


def _may_be_clocks(column: Sequence[str]) -> bool:
    filled = [cell.strip() for cell in column[:200] if cell.strip()]
    return bool(filled) and all(re.fullmatch(r"([01]?[0-9]|2[0-3])\.[0-5][0-9]", cell) for cell in filled)


def _missing(columns: Sequence[Sequence[Any]]) -> tuple[str, ...]:
    """The marks that stand where nothing is known: only where the column's other cells hold digits."""
    found: dict[str, None] = {}
    for cells in columns:
        marks, digits = set(), 0
        texts = {as_text(cell) for cell in cells} - {""}
        for text in texts:
            if text.casefold() in MISSING_MARKS:
                marks.add(text)
            elif any(c.isdigit() for c in text):
                digits += 1
        if marks and digits and digits + len(marks) == len(texts):
            found |= dict.fromkeys(sorted(marks))
    return tuple(found)


def _workbook(content: bytes) -> Sample:
    """The first sheet of a workbook that has at least two columns of titles."""
    import openpyxl  # noqa: PLC0415

    try:
        rows = list(islice(workbook_rows(content, None, USUAL), _MOST_ROWS + 30))
        book = openpyxl.load_workbook(io.BytesIO(content), read_only=True)
        names = tuple(one.title for one in book.worksheets)
        book.close()
    except Refused as error:
        return Sample("xlsx", trouble=str(error))
    except Exception as error:  # openpyxl raises many kinds for a damaged workbook
        return Sample("xlsx", trouble=f"it is not a workbook that can be read ({error})")
    for index, (number, row) in enumerate(rows[:30]):
        filled = [cell for cell in row if cell is not None]
        if len(filled) > 1 and all(isinstance(cell, str) for cell in filled) and _are_titles([str(c) for c in filled]):
            titles = distinct_titles(row)
            body = [tuple(r) + (None,) * (len(titles) - len(r)) for _, r in rows[index + 1 : index + 1 + _MOST_ROWS]]
            body = [r[: len(titles)] for r in body if any(cell is not None for cell in r)]
            besides = rows_besides(body, ends=len(rows) < _MOST_ROWS)
            body = [row for n, row in enumerate(body) if n not in besides.rows]
            columns = tuple(zip(*body, strict=True)) if body else tuple(() for _ in titles)
            return Sample(
                "xlsx", titles, columns, header_line=number, sheets=names, missing=_missing(columns),
                units=besides.units_of(titles), remarks=besides.remarks(), files=(len(body),),
            )  # fmt: skip
    return Sample("xlsx", sheets=names, trouble="its first sheet has no row of column titles")


def put_together(samples: Sequence[Sample]) -> Sample:
    """Samples of one kind of export as one: the rows of all that have the first one's titles (of JSON, any keys)."""
    first = samples[0]
    alike = [first] + [
        one
        for one in samples[1:]
        if not one.trouble and one.form == first.form and (one.titles == first.titles or one.form == "json_lines")
    ]
    titles = tuple(dict.fromkeys(title for one in alike for title in one.titles))
    columns = tuple(
        tuple(cell for one in alike for cell in _column(one, title))[:_MOST_ROWS_TOGETHER] for title in titles
    )
    missing = tuple(dict.fromkeys(mark for one in alike for mark in one.missing))
    coded = next((one for one in alike if one.encoding != "utf-8"), first)
    marked = next((one for one in alike if one.decimal == "," or one.thousands), first)
    return replace(
        first, titles=titles, columns=columns, missing=missing, decimal=marked.decimal, thousands=marked.thousands,
        encoding=coded.encoding, notes=coded.notes,
        units=next((one.units for one in alike if one.units), {}),
        skip=tuple(dict.fromkeys(start for one in alike for start in one.skip)),
        remarks=tuple(dict.fromkeys(said for one in alike for said in one.remarks)),
        files=tuple(count for one in alike for count in one.files),
    )  # fmt: skip


def _column(sample: Sample, title: str) -> Sequence[Any]:
    """A column's cells; of one that the sample does not have, nothing for each row."""
    if title in sample.titles:
        return sample.columns[sample.titles.index(title)]
    return (None,) * len(sample.columns[0])


def formats(cells: Sequence[Any], known: Sequence[str]) -> list[str]:
    """Those formats that read every filled cell; `native` for a spreadsheet's own dates.

    >>> formats(["13.04.2026", "01.05.2026"], DATE_FORMATS)
    ['%d.%m.%Y']
    >>> formats(["03/04/2026"], DATE_FORMATS)
    ['%d/%m/%Y', '%m/%d/%Y']
    """
    filled = [cell for cell in cells if as_text(cell)]
    if filled and all(isinstance(cell, datetime | date) for cell in filled):
        return ["native"]
    if not filled or any(isinstance(cell, int | float | time) for cell in filled):
        return []
    fitting = []
    for form in known:
        read = read_time(form, frozenset())
        try:
            moments = [read(cell) for cell in filled]
        except ValueError:
            continue
        if all(isinstance(m, datetime) and 1980 <= m.year <= 2100 for m in moments):
            fitting.append(form)
    return fitting


def differing(cells: Sequence[Any], fitting: Sequence[str]) -> list[str]:
    """Those of several fitting formats that read some cell as another moment than the first does.

    >>> differing(["03/04/2026"], ["%d/%m/%Y", "%m/%d/%Y"])
    ['%m/%d/%Y']
    """
    filled = [cell for cell in cells if as_text(cell)]
    moments = {form: [read_time(form, frozenset())(cell) for cell in filled] for form in fitting}
    return [form for form in fitting[1:] if moments[form] != moments[fitting[0]]]


def numbers(cells: Sequence[Any], decimal: str, thousands: str) -> list[float] | None:
    """The filled cells as numbers, or None if some are none."""
    parse = number_parser(decimal, thousands)
    try:
        return [
            parse(as_text(cell)) if isinstance(cell, str) else float(cell)
            for cell in cells
            if as_text(cell) and not isinstance(cell, bool)
        ]
    except (ValueError, TypeError, OverflowError):
        return None
