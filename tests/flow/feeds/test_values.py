"""Cells of an export as values: text, numbers, durations and words, each in the habit of its export."""

from __future__ import annotations

from datetime import date, time, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.feeds.units import conversion
from sentinel.flow.feeds.values import (
    FLAG_WORDS,
    Convert,
    Faults,
    as_text,
    number_column,
    number_parser,
    span_column,
    text_column,
    why_of,
    word_column,
)
from sentinel.flow.reasons import in_english


@given(
    st.floats(min_value=-1e12, max_value=1e12, allow_nan=False),
    st.integers(0, 4),
    st.sampled_from([(".", ""), (",", ""), (".", ","), (",", "."), (",", " "), (".", "'"), (",", "\u00a0")]),
)
def test_a_number_in_the_exports_habit_reads_back(value: float, digits: int, marks: tuple[str, str]) -> None:
    """With any decimal mark, with and without thousands parted."""
    decimal, thousands = marks
    written = f"{value:,.{digits}f}".replace(",", "T").replace(".", decimal).replace("T", thousands)

    assert number_parser(decimal, thousands.replace("\u00a0", " "))(written) == float(f"{value:.{digits}f}")


@given(st.text("0123456789.,+-e _'x", max_size=10))
def test_a_number_is_read_exactly_or_refused(text: str) -> None:
    """With a decimal comma and no thousands mark, only digits and one comma are a number: 1.5 is never 15."""
    try:
        value = number_parser(",", "")(text)
    except ValueError:
        return
    assert "." not in text
    assert value == float(text.replace(",", "."))


def converted(column: Convert, *cells: Any) -> tuple[list[Any], dict[int, str]]:
    """A column's values, and why some cells have none."""
    faults: Faults = {}
    values = column(list(cells), faults)
    return values, {row: in_english(why_of(fault)) for row, fault in faults.items()}


def test_a_cell_is_text_as_a_person_would_write_it() -> None:
    """A workbook's 217.0 is cow 217; what was text keeps its noughts."""
    cells = (" 0042 ", 217.0, 4.5, None, True, date(2026, 5, 4), 10**5000)

    assert [as_text(cell) for cell in cells] == [
        "0042", "217", "4.5", "", "true", "2026-05-04", "a number of thousands of digits",
    ]  # fmt: skip


def test_names_stay_as_they_are_written_but_for_what_means_missing() -> None:
    """One of a thousand characters is still a name, one of more is none."""
    column = text_column("Cow", frozenset({"", "-"}))

    assert converted(column, " 0042", "-", 217.0, "") == (["0042", None, "217", None], {})
    assert converted(column, "x" * 1000)[1] == {}
    assert "longer than 1,000 characters" in converted(column, "7", "x" * 1001)[1][1]


def test_numbers_become_those_of_the_columns_unit() -> None:
    """Plain columns and those with one odd cell alike; a bad cell costs itself, and says under which title."""
    column = number_column("Milk", frozenset({"", "-"}), ",", "", conversion("lb", "kg"))

    assert converted(column, "10", "", "2,5")[0] == [pytest.approx(4.5359237), None, pytest.approx(1.13398)]
    values, faults = converted(column, "10", "-", "5.9", 10, True)
    assert values == [pytest.approx(4.5359237), None, None, pytest.approx(4.5359237), None]
    assert set(faults) == {2, 4} and all(why.startswith('"Milk": ') for why in faults.values())


def test_a_count_is_a_whole_number() -> None:
    """2.0 is two tries, two and a half are none, nor is more than any farm could count."""
    column = number_column("Tries", frozenset({""}), ".", "", conversion("", ""), whole=True)
    values, faults = converted(column, "2.0", 3.0, "2.5", "1e13")

    assert values == [2, 3, None, None]
    assert [type(one) for one in values[:2]] == [int, int]
    assert set(faults) == {2, 3}


@pytest.mark.parametrize(
    ("span", "cell", "seconds"),
    [
        ("min:sec", "5:32", 332.0),
        ("h:min:sec", "1:05:32", 3932.0),
        ("h:min", "1:30", 5400.0),
        ("min:sec", time(0, 5, 32), 332.0),
        ("h:min:sec", timedelta(minutes=5, seconds=32), 332.0),
        ("min:sec", "-", None),
        ("min:sec", "5:72", "no"),
        ("min:sec", "1:05:32", "no"),
        ("min:sec", "332", "no"),
    ],
)
def test_a_duration_written_like_a_clock_is_seconds(span: str, cell: Any, seconds: float | str | None) -> None:
    """As text or as a spreadsheet's own; what the form does not fit is refused rather than guessed."""
    values, faults = converted(span_column("Dur", frozenset({"", "-"}), span), cell)

    assert bool(faults) == (seconds == "no")
    assert values == [None if faults else seconds]


def test_words_are_told_by_a_table_whatever_their_capitals() -> None:
    """An unknown word is set aside with the word that may have been meant, or is missing, or another word."""
    words = {"Milked": "milked", "Stopped": "incomplete"}

    values, faults = converted(word_column("Result", frozenset({""}), words, "set_aside"), "MILKED", "", "stoped")
    assert values == ["milked", None, None]
    assert faults == {2: '"Result": "stoped" is not in the map\'s word table (did you mean "Stopped"?)'}
    assert converted(word_column("Result", frozenset({""}), words, "missing"), "stoped") == ([None], {})
    assert converted(word_column("Result", frozenset({""}), words, "failed"), "stoped") == (["failed"], {})


def test_an_empty_cell_means_what_the_table_says_it_means() -> None:
    """Before it counts as missing."""
    column = word_column("Off", frozenset({""}), FLAG_WORDS | {"": False}, "set_aside")

    assert converted(column, "", "x", "Nein") == ([False, True, False], {})
