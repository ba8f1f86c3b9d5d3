"""Workbooks: dates and numbers come as what they are; a damaged one is set aside whole."""

import io
import zipfile
from datetime import date, datetime, time, timedelta
from typing import Any

import openpyxl
import pytest

from sentinel.flow.feeds import load_feed_map, read_export
from sentinel.flow.model import Batch, Export

MAP = """\
feed: box-log
files: "*.xlsx"
form: xlsx
zone: Europe/Dublin
header_line: 2
tables:
  box_log:
    box: Box
    at: When
    event: {column: Entry, words: {new filter: filter_changed}}
    text: Remark
"""


def workbook(*rows: Any, title: str = "log") -> bytes:
    """The bytes of a workbook with one sheet."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = title
    for row in rows:
        sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def read(content: bytes, text: str = MAP, name: str = "a.xlsx") -> Batch:
    """A workbook's batch."""
    feed, problems = load_feed_map(text, "m.yaml")
    assert problems == []
    assert feed is not None
    return read_export(feed, Export(name, content, 0), "UTC")


def test_rows_of_a_sheet_become_rows_of_a_table() -> None:
    """Whole numbers are names without a point; a moment is rounded to its second; empty rows are skipped."""
    batch = read(
        workbook(
            ["Log of July"],
            ["Box", "When", "Entry", "Remark"],
            [2, datetime(2026, 7, 1, 7, 29, 59, 999_900), "new filter", None],  # noqa: DTZ001
            [None, "  ", None, None],
            [2.0, "yesterday", "new filter", "x"],
            ["1", "2026-07-01 08:30", "New Filter", 12.5],
        )
    )

    (found,) = batch.rows
    assert found.columns == ("box", "at", "event", "text")
    assert found.values == (
        ("2", 1782887400, "filter_changed", None),
        ("1", 1782891000, "filter_changed", "12.5"),
    )
    assert found.lines == (3, 6)
    assert [(one.line, one.row, str(one.reason)) for one in batch.set_aside] == [
        (5, "2\tyesterday\tnew filter\tx", '"When": "yesterday" is not an ISO time (2026-03-28 06:30)')
    ]


def test_a_spreadsheets_own_dates_and_durations_need_no_format() -> None:
    """A day is the farm's local midnight; a duration is what it is; yes and no are no numbers."""
    text = """\
feed: x
files: "*"
form: xlsx
zone: Europe/Dublin
tables:
  visits: {cow: Cow, start: {columns: [Day, Clock]}, duration_s: {column: Dur, unit: "min:sec"}, milk_kg: Milk}
  cows: {cow: Cow, from: Day, calved_on: Calved, lactation: Lact}
"""
    day = date(2026, 7, 1)
    batch = read(
        workbook(
            ["Cow", "Day", "Clock", "Dur", "Milk", "Calved", "Lact"],
            [217, day, time(6, 30), timedelta(seconds=332), 12.5, datetime(2026, 3, 29), 3],  # noqa: DTZ001
            [218, day, time(6, 30), "5:32", True, day, 3],
            [219, day, time(6, 30), "5:32", 1, day, 3.5],
        ),
        text,
    )

    whole, without_milk, after, *cows = batch.rows
    assert whole.values == (("217", 1782883800, 332.0, 12.5),)
    assert without_milk.values == (("218", 1782883800, 332.0),)
    assert after.values == (("219", 1782883800, 332.0, 1.0),)
    assert [one.values for one in cows] == [
        (("217", 1782860400, 3, 1774742400), ("218", 1782860400, 3, 1782860400)),
        (("219", 1782860400, 1782860400),),
    ]
    assert [str(one.reason) for one in batch.set_aside] == [
        '"Milk": "true" is not a number',
        '"Lact": "3.5" is not a whole number',
    ]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "it is not a workbook"),
        (b"PK\x03\x04 not really", "it is not a workbook"),
        (workbook(["Box", "When", "Entry", "Remark"])[:-400], "it is not a workbook"),
        (workbook(["only one row"]), "the column titles should be in row 2"),
        (workbook(["x"], ["Box", "Whn", "Entry", "Remark"]), 'its titles lack "When" (did you mean "Whn"?)'),
    ],
)
def test_a_workbook_that_cannot_be_read_is_set_aside_whole(content: bytes, said: str) -> None:
    """With its reason and without an error; and its stamp promises nothing, as its rows are missing."""
    promise = 'complete_until: {from: file_name, pattern: "log_%Y-%m-%d"}\ntables:'
    batch = read(content, MAP.replace("tables:", promise), "log_2026-07-01.xlsx")
    (one,) = batch.set_aside

    assert batch.complete_until is None
    assert (one.line, said in str(one.reason)) == (0, True), one.reason


def test_what_a_workbook_makes_its_reader_print_is_not_among_what_a_command_says(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """openpyxl prints a line of a named style without its format; `replay --json` and `map` write to the same place."""
    style = b'<cellStyles count="1"><cellStyle name="Normal" xfId="7"/></cellStyles></styleSheet>'
    whole, spoilt = io.BytesIO(workbook(["Box", "When", "Entry", "Remark"])), io.BytesIO()
    with zipfile.ZipFile(whole) as before, zipfile.ZipFile(spoilt, "w") as after:
        for name in before.namelist():
            part = before.read(name)
            named = b"</styleSheet>" if b"<cellStyles" not in part else part[part.index(b"<cellStyles") :]
            after.writestr(name, part.replace(named, style) if name == "xl/styles.xml" else part)

    assert len(read(spoilt.getvalue(), MAP).set_aside) == 1
    said = capsys.readouterr()
    assert (said.out, said.err) == ("", "7 is out of range\n")


def test_a_sheet_is_found_by_name() -> None:
    """A name that is not there is told with the near miss."""
    content = workbook(["x"], ["Box", "When", "Entry", "Remark"], ["2", "2026-07-01 08:30", "new filter", "a"])

    assert len(read(content, MAP.replace("zone:", "sheet: log\nzone:")).rows[0].values) == 1
    assert read(content, MAP.replace("zone:", "sheet: logs\nzone:")).set_aside[0].reason.sentence() == (
        'it has no sheet "logs" (did you mean "log"?)'
    )
