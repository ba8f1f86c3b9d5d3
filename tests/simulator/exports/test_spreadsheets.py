"""The boxes' log and the herd list as spreadsheets."""

from __future__ import annotations

from datetime import datetime
from io import BytesIO

import openpyxl

from sentinel.simulator.boxes.upkeep import Event
from sentinel.simulator.exports.spreadsheets import box_log_file
from sentinel.simulator.local_time import LocalTime

LOCAL = LocalTime("Europe/Dublin")
BEGIN = LOCAL.at("2026-05-04 00:00")


def test_box_log_is_in_local_time() -> None:
    """A log entry at 05:00 UTC in May stands at 06:00 in the sheet."""
    sheet = openpyxl.load_workbook(BytesIO(box_log_file([Event(BEGIN + 6 * 3600, "2", "washed")], LOCAL))).active
    assert sheet is not None

    when = list(sheet.iter_rows(min_row=2, values_only=True))
    assert when == [(datetime(2026, 5, 4, 6, 0), 2, "system wash ended", None)]  # noqa: DTZ001
