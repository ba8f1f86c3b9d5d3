"""What every reader of a file gives: rows set aside at a bounded length, and titles that are told apart."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.bounds import ALIKE
from sentinel.flow.feeds.formats.raw import SetAsides, distinct_titles, raw_text, set_aside, storable, whole_file
from sentinel.flow.reasons import as_said

NO_TIME = as_said("no time")


def test_of_rows_that_could_not_be_read_only_some_are_kept_at_length() -> None:
    """Fifty with the same reason, and so many altogether; all are counted."""
    aside = SetAsides(most=ALIKE + 10)
    for line in range(100):
        aside.keep(line, "7;?", NO_TIME)
    for line in range(100, 120):
        aside.keep(line, "7;x", as_said("no cow"))

    assert len(aside) == 120
    assert [one.reason for one in aside if one.reason] == [NO_TIME] * ALIKE + [as_said("no cow")] * 10
    assert {one.row for one in aside if not one.reason} == {""}


def test_a_row_is_kept_as_it_stood_without_its_end() -> None:
    """Cut at two thousand characters; a spreadsheet's cells are parted by tabs."""
    assert set_aside(4, "7;never;1\r\n", NO_TIME).row == "7;never;1"
    assert len(set_aside(4, "x" * 9000, NO_TIME).row) == 2000
    assert raw_text([7, None, "never"]) == "7\t\tnever"


def test_a_whole_file_has_line_nought_and_the_table_it_would_have_filled() -> None:
    """So that it counts as something that may have happened."""
    whole = whole_file(NO_TIME, "visits")

    assert (whole.line, whole.row, whole.tab, whole.kept) == (0, "", "visits", False)


@given(st.text(st.characters()))
def test_whatever_was_read_can_be_stored(text: str) -> None:
    """What is no text, as a byte or half a character, becomes its code."""
    kept = storable(text)

    assert kept.encode("utf-8").decode("utf-8") == kept
    assert storable(kept) == kept


@given(st.text(st.characters(codec="utf-8")))
def test_what_is_text_is_stored_as_it_is(text: str) -> None:
    """Of any script."""
    assert storable(text) == text


@given(st.lists(st.none() | st.text("ab \n", max_size=3)))
def test_titles_are_told_apart(cells: list[str | None]) -> None:
    """The second of a name is its second; an empty one stays empty, as no map can name it."""
    titles = distinct_titles(cells)
    named = [title for title in titles if title]

    assert len(titles) == len(cells)
    assert len(set(named)) == len(named)
    assert [bool(title) for title in titles] == [bool((cell or "").strip()) for cell in cells]
