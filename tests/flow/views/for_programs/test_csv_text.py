"""CSV that no spreadsheet takes for formulas."""

from __future__ import annotations

import csv
import io
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.views.for_programs.csv_text import csv_text
from sentinel.flow.visible import visible

HOSTILE = st.text(st.sampled_from("=+-@\uff1d;,\t\r\n \"'\u00a0\ufeff\u200b\u202e\x00\x1b|a1é")) | st.text(max_size=6)


@given(st.lists(st.lists(HOSTILE, min_size=2, max_size=2), max_size=4))
def test_no_cell_of_a_csv_can_start_a_formula_and_nothing_is_lost(rows: list[list[str]]) -> None:
    """Read back, each cell is the text with what is not seen written out, and quotes before what would be a formula."""
    text = csv_text(["a", "b"], rows)
    read = list(csv.reader(io.StringIO(text, newline="")))[1:]
    for cells, originals in zip([row for row in read if row], rows, strict=True):
        for cell, original in zip(cells, originals, strict=True):
            assert cell.replace("'", "") == visible(original).replace("'", "")
            assert not cell.lstrip(" \u00a0\ufeff\u200b").startswith(("=", "+", "-", "@", "\t", "\r", "\n"))


@pytest.mark.parametrize("separator", [";", "\t"])
@given(HOSTILE, st.booleans())
def test_no_part_of_a_cell_is_a_formula_where_a_spreadsheet_splits_elsewhere(
    separator: str, note: str, quotes: bool
) -> None:
    """Split at semicolons or tabs, with or without heed of quotes, by lines or not: no part begins like a formula."""
    text = csv_text(["number", "note"], [["1", note], ["2", f"seen{separator}{note}"]])
    heeded = csv.QUOTE_MINIMAL if quotes else csv.QUOTE_NONE
    for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator, quoting=heeded):
        for part in row:
            assert part.strip(' \u00a0\ufeff\u200b"')[:1] not in ("=", "+", "-", "@", "\uff1d"), text
            assert not part.startswith(("\t", "\r", "\n")), text


@pytest.mark.parametrize(
    "note", ["\u00a0=1", "\ufeff=1", " \u2003@x", "seen;=1", 'seen; "=1"', "a\n=1", "\uff1d1", "a\t-1"]
)
def test_a_formula_behind_spaces_marks_and_separators_is_text(note: str) -> None:
    """No-break spaces, byte-order marks, semicolons, line breaks, tabs: one by one, as spreadsheets have met them."""
    cell = csv_text(["note"], [[note]]).split("\r\n")[1].strip('"')

    assert not re.search(r"(^|[;\t\n])[\s\ufeff\"]*[=@\uff1d-]", cell), cell
