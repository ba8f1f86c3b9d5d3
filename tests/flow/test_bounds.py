"""What is larger than the bounds is set aside whole; what is kept of rows that cannot be read is little."""

from __future__ import annotations

import pytest
from flow.feeds.bounded_files import HEAD, LINES, OBJECTS, ROW, read, whole

from sentinel.flow.bounds import Bounds, legible


@pytest.mark.parametrize(
    ("form", "content", "why"),
    [
        (LINES, HEAD + ROW * 100, "it is larger than 0.002 MB"),
        (LINES, HEAD + "\n" * 200, "it has more than 10 rows"),
        (LINES, HEAD + ROW * 9, "it has more than 40 cells"),
        (LINES, ";".join(["x"] * 900), 'its titles lack "Cow", "Start", "Box" '),
        (OBJECTS, "{}\n" * 200, "it has more than 10 rows"),
    ],
)
def test_a_file_past_a_bound_is_set_aside_whole(form: str, content: str, why: str) -> None:
    """The reason names the bound; nothing of the file is kept, even if some rows were read before it was met."""
    assert whole(read(content, form)).startswith(why)


def test_a_file_within_its_bounds_is_read() -> None:
    """The bounds themselves are still allowed."""
    assert len(read(HEAD + ROW * 8).rows[0].values) == 8


def test_a_reason_names_a_few_titles_and_nothing_that_cannot_be_seen() -> None:
    """A power cut leaves NUL bytes: 130,000 of them are one title, and it is not repeated for every field."""
    reason = whole(read(b"\x00" * 130_000, bounds=Bounds()))

    assert len(reason) < 400
    assert "\x00" not in reason
    assert " and 2 more" in reason
    assert len(legible("x" * 1000)) == 61


def test_of_rows_that_cannot_be_read_only_some_are_kept_at_length() -> None:
    """All are counted, with what they may have been; fifty alike are enough, and so many altogether."""
    text = HEAD + "junk\n" * 300 + "7;2026-05-01 06:00;1;x;1\n" * 300 + "7;never;1;1;1\n" * 300
    aside = read(text, bounds=Bounds(reasons=120)).set_aside

    assert len(aside) == 900
    told = [str(one.reason)[:20] for one in aside if one.reason]
    assert [told.count(reason) for reason in dict.fromkeys(told)] == [50, 50, 20]
    assert all(one.tab == "visits" for one in aside)
    assert [one.kept for one in aside].count(True) == 300


def test_a_number_that_no_store_holds_costs_its_cell() -> None:
    """A count of 64 bits, a number of 400 digits (which would be infinite), and one past all sense."""
    text = HEAD + "".join(
        f"7;2026-05-01 06:0{n};1;{milk};{tries}\n"
        for n, (milk, tries) in enumerate([(1, 9223372036854775808), ("9" * 400, 1), ("1e15", 1), (1, "1" * 5000)])
    )
    batch = read(text, bounds=Bounds())

    assert sum(len(part.values) for part in batch.rows) == 4
    assert [one.kept for one in batch.set_aside] == [True] * 4
    assert all(value is None or abs(value) < 2**62 for part in batch.rows for row in part.values for value in row[3:])


def test_a_name_of_a_hundred_thousand_characters_costs_its_row() -> None:
    """Nobody calls a cow so."""
    ((line, reason),) = [
        (one.line, str(one.reason)) for one in read(HEAD + "x" * 100_000 + ROW[1:], bounds=Bounds()).set_aside
    ]

    assert (line, reason.endswith(" is longer than 1,000 characters")) == (2, True)
    assert len(reason) < 200


def test_quotes_that_stay_open_cost_their_own_lines_in_time_for_each() -> None:
    """Each of these lines opens a quote that no other closes: read on to the end each time, it took hours."""
    batch = read(HEAD + 'a";"b\n' * 10_000 + ROW, bounds=Bounds())

    assert len(batch.set_aside) == 10_000
    assert [len(part.values) for part in batch.rows] == [1]


def test_one_line_of_a_million_cells_is_not_taken_apart() -> None:
    """It costs its own line, in either form."""
    assert len(read(HEAD + ";" * 1_000_000 + "\n" + ROW, bounds=Bounds()).rows[0].values) == 1
    aside = read('{"Cow": [' + "[]," * 300_000 + "[]]}\n", OBJECTS, Bounds()).set_aside
    assert [(one.line, str(one.reason)) for one in aside] == [(1, "holds more than 2,000 values")]
