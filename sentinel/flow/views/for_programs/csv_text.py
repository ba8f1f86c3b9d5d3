"""Rows as CSV that no spreadsheet takes for formulas."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

from sentinel.flow.visible import visible

_MARK = r'[\s\u200c\u200d"]*[=+\-@\uff1d\uff0b\uff0d\uff20]'
_FORMULA = re.compile(rf"""(^(?={_MARK})|;(?={_MARK}|[\s\u200c\u200d"]*$))""")
"""Where a spreadsheet might begin a formula: at the beginning of a cell, or after a semicolon at which it splits one.
Before the mark it may pass over spaces of any kind and quotes; full-width marks are taken for plain ones in places.
After a cell's last semicolon it would begin with the closing quote and take the next line into the same cell."""


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """CSV that is safe to open in a spreadsheet, wherever it splits the lines: no cell can start a formula.

    A formula in somebody's note could call up a web page with what stands beside it. So, after what OWASP's page on
    CSV injection advises (from memory): a cell that begins with = + - @ gets a quote before it, which makes it text;
    as spaces and byte-order marks before the mark may be passed over, so does one that begins with those. Some
    spreadsheets split at semicolons or tabs, whatever stands in quotes, so the same is done after each semicolon;
    tabs, line breaks and all else that is not seen are written out (`visible`), so that a cell holds none. JSON has
    them as they are.

    >>> csv_text(["note"], [["=HYPERLINK(1)"], ["-3 °C"], ["fine; =1"]])
    "note\\r\\n'=HYPERLINK(1)\\r\\n'-3 °C\\r\\nfine;' =1\\r\\n"
    """
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(columns)
    writer.writerows([[_harmless(cell) for cell in row] for row in rows])
    return out.getvalue()


def _harmless(cell: str) -> str:
    """A cell that a spreadsheet takes as text, also each part of it that it may make a cell."""
    return _FORMULA.sub(r"\1'", visible(cell))
