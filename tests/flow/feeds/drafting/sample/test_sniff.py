"""What can be seen in a sample export: its form, encoding, delimiter, titles, marks and formats of times."""

from __future__ import annotations

import io
from datetime import datetime
from typing import Any

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.feeds.drafting.sample.sniff import (
    DATE_FORMATS,
    TIME_FORMATS,
    Sample,
    differing,
    formats,
    numbers,
    sniff,
)
from sentinel.flow.model import Export


def seen(content: str | bytes) -> Sample:
    """What is seen in a file."""
    return sniff(Export("m.csv", content.encode() if isinstance(content, str) else content, 0))


@pytest.mark.parametrize("delimiter", [";", "\t", ",", "|"])
def test_the_delimiter_is_the_one_that_makes_columns(delimiter: str) -> None:
    """Titles below remarks are found, with the line on which they stand."""
    rows = [["Cow", "Start", "Milk"], ["217", "2026-05-01 06:30", "12.4"], ["9", "2026-05-01 06:40", "8.1"]]
    sample = seen("Export of the milking boxes\n\n" + "".join(delimiter.join(row) + "\n" for row in rows))

    assert (sample.delimiter, sample.header_line, sample.titles) == (delimiter, 3, ("Cow", "Start", "Milk"))
    assert sample.columns == (("217", "9"), ("2026-05-01 06:30", "2026-05-01 06:40"), ("12.4", "8.1"))


@pytest.mark.parametrize(
    ("cells", "marks"),
    [
        (("12,4", "8,1"), (",", "")),
        (("12.4", "8.1"), (".", "")),
        (("1.234,5", "8,1"), (",", ".")),
        (("1,234.5", "8.1"), (".", ",")),
        (("12", "8"), (".", "")),
    ],
)
def test_the_decimal_mark_is_the_one_that_the_numbers_show(cells: tuple[str, ...], marks: tuple[str, str]) -> None:
    """And a thousands mark only where a number has both."""
    sample = seen("Cow;Milk\n" + "".join(f"{n};{cell}\n" for n, cell in enumerate(cells)))

    assert (sample.decimal, sample.thousands) == marks


def test_a_file_without_titles_has_columns_by_number() -> None:
    """Rows of figures alone are no titles."""
    sample = seen("217;1;12.4\n9;2;8.1\n")

    assert (sample.titles, sample.header_line) == (("column 1", "column 2", "column 3"), 0)
    assert sample.columns[0] == ("217", "9")


def test_text_that_is_not_utf_8_is_a_guess_and_says_so() -> None:
    """Umlauts of an older computer; with a mark at its beginning a file says itself what it is."""
    old, marked = seen("Kuh;Stück\n7;grün\n".encode("cp1252")), seen("Kuh;Stück\n7;grün\n".encode("utf-8-sig"))

    assert (old.encoding, old.titles, old.columns[1]) == ("cp1252", ("Kuh", "Stück"), ("grün",))
    assert "is a guess" in old.notes[0]
    assert (marked.encoding, marked.titles, marked.notes) == ("utf-8", ("Kuh", "Stück"), ())


def test_json_lines_have_the_paths_of_their_values_as_titles() -> None:
    """Lists are no cells, and a value that a line lacks is empty."""
    sample = seen('{"cow": 7, "milk": {"kg": 9.5}, "tags": [1]}\n{"cow": 8}\n')

    assert (sample.form, sample.titles) == ("json_lines", ("cow", "milk.kg"))
    assert sample.columns == ((7, 8), (9.5, None))


def test_a_workbook_shows_its_sheets_and_its_own_dates() -> None:
    """The titles are the first row of words; a file that only looks like a workbook says what is the matter."""
    book, out = openpyxl.Workbook(), io.BytesIO()
    begin = datetime(2026, 5, 4, 6)  # noqa: DTZ001
    for row in (["Boxes"], ["When", "Box"], [begin, 2]):
        book.active.append(row)  # type: ignore[union-attr]
    book.save(out)
    sample = seen(out.getvalue())

    assert (sample.form, sample.titles, sample.header_line) == ("xlsx", ("When", "Box"), 2)
    assert sample.sheets == ("Sheet",)
    assert formats(sample.columns[0], TIME_FORMATS) == ["native"]
    assert seen(b"PK\x03\x04 and nothing more").trouble


@pytest.mark.parametrize("content", ["", "\n \n"])
def test_an_empty_file_says_so(content: str) -> None:
    """Nothing can be seen in it."""
    assert seen(content).trouble == "the file is empty"


@pytest.mark.parametrize(
    ("cells", "fitting", "other"),
    [
        (["13.04.2026 06:30", ""], ["%d.%m.%Y %H:%M"], []),
        (["03/04/2026 06:30"], ["%d/%m/%Y %H:%M", "%m/%d/%Y %H:%M"], ["%m/%d/%Y %H:%M"]),
        (["04/04/2026 06:30"], ["%d/%m/%Y %H:%M", "%m/%d/%Y %H:%M"], []),
        (["2026-04-13T06:30:00Z"], ["iso"], []),
        (["never"], [], []),
        ([], [], []),
        ([217], [], []),
    ],
)
def test_formats_are_those_that_read_every_cell(cells: list[Any], fitting: list[str], other: list[str]) -> None:
    """Several may; they differ only where some cell would be another moment."""
    assert formats(cells, TIME_FORMATS) == fitting
    assert differing(cells, fitting) == other


@given(st.datetimes(datetime(1990, 1, 1), datetime(2068, 12, 31)), st.sampled_from(DATE_FORMATS[1:]))  # noqa: DTZ001
def test_a_day_is_read_by_the_format_it_was_written_in(day: datetime, form: str) -> None:
    """Whatever other formats fit too; a year of two digits is one until 2068, as POSIX reads them."""
    assert form in formats([day.strftime(form)], DATE_FORMATS)


def test_cells_are_numbers_only_if_all_of_them_are() -> None:
    """Empty ones aside; a workbook's own numbers count as they are."""
    assert numbers(["1.234,5", "", 3], ",", ".") == [1234.5, 3.0]
    assert numbers(["12,4", "12.4"], ",", "") is None


def test_times_of_day_with_points_are_no_figures_beside_commas() -> None:
    """Twice as many of them make the mark no point."""
    rows = "".join(f"1;{n % 24:02d}.{n % 60:02d};0{n % 9}.30;3,{n % 10}\n" for n in range(40))

    assert seen(f"Tank;Kl;Kl2;Temp\n{rows}").decimal == ","
    assert seen("Tank;A;B\n" + "".join(f"1;{n % 9}.30;{n}\n" for n in range(40))).decimal == "."
