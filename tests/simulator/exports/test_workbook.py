"""Workbooks: what is written comes back, and the same rows give the same bytes whenever they are written."""

from __future__ import annotations

from datetime import date, datetime
from io import BytesIO
from zipfile import ZipFile

import openpyxl
import pytest

from sentinel.simulator.exports import workbook
from sentinel.simulator.exports.workbook import MADE_AT, xlsx_file

ROWS = [("a & <b>", 7, 2.5, datetime(2026, 5, 4, 6, 1, 41), None), (None, -1, 0.1, date(2026, 1, 2), "°")]  # noqa: DTZ001


def test_cells_come_back_as_they_were() -> None:
    """Texts, numbers, days, times and empty cells."""
    sheet = openpyxl.load_workbook(BytesIO(xlsx_file("log", ROWS))).active
    assert sheet is not None

    assert sheet.title == "log"
    assert list(sheet.iter_rows(values_only=True)) == [ROWS[0], (*ROWS[1][:3], datetime(2026, 1, 2), "°")]  # noqa: DTZ001


def test_the_same_rows_give_the_same_bytes_at_any_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither its properties nor its parts hold the moment at which it was really saved."""
    once = xlsx_file("log", ROWS)
    monkeypatch.setattr("time.time", lambda: 2_000_000_000.0)
    monkeypatch.setattr("time.localtime", lambda *_: (2033, 5, 18, 5, 33, 20, 2, 138, 0))

    assert xlsx_file("log", ROWS) == once
    with ZipFile(BytesIO(once)) as parts:
        assert {part.date_time for part in parts.infolist()} == {MADE_AT.timetuple()[:6]}
    properties = openpyxl.load_workbook(BytesIO(once)).properties
    assert (properties.created, properties.modified) == (workbook.MADE_AT, workbook.MADE_AT)
