"""Workbooks unpacked in a process of their own: the same rows, within so much memory and time."""

import sys
import time
from datetime import UTC, datetime

import pytest
from faults.files.giant_files import styled, texted

from sentinel.edges.apart import rows_apart
from sentinel.flow.bounds import Bounds
from sentinel.flow.feeds.formats.workbook import Refused, workbook_rows
from sentinel.simulator.exports.workbook import xlsx_file

BOOK = xlsx_file(
    "log", [["Cow", "When"], *([n, datetime(2026, 5, 1, tzinfo=UTC).replace(tzinfo=None)] for n in range(700))]
)


def test_a_workbook_gives_the_same_rows_apart_as_here() -> None:
    """Their numbers, and cells of every kind."""
    assert list(rows_apart(BOOK, None, Bounds(), small=0)) == list(workbook_rows(BOOK, None, Bounds()))


def test_what_refuses_a_workbook_is_said_apart_as_here() -> None:
    """A sheet that is not there, too many rows, and bytes that are no workbook."""
    for content, sheet, bounds in ((BOOK, "May", Bounds()), (BOOK, None, Bounds(rows=9)), (BOOK[:900], None, Bounds())):
        with pytest.raises(Refused) as here:
            list(workbook_rows(content, sheet, bounds))
        with pytest.raises(Refused) as there:
            list(rows_apart(content, sheet, bounds, small=0))
        assert (here.value.reason, here.value.sheets) == (there.value.reason, there.value.sheets)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="only there the system bounds a process's memory")
def test_a_workbook_that_needs_more_memory_than_it_may_is_refused() -> None:
    """Its process ends, or says so; this one goes on."""
    book = styled(300_000)

    with pytest.raises(Refused, match="it takes more than 20 MB of memory to unpack"):
        list(rows_apart(book, None, Bounds(memory=20_000_000)))
    assert len(list(rows_apart(BOOK, None, Bounds(), small=0))) == 701


def test_a_workbook_that_takes_too_long_is_refused() -> None:
    """Its process is ended when its time is over."""
    book = texted(2_000_000)
    began = time.perf_counter()

    with pytest.raises(Refused, match="it takes more than 1 s to unpack"):
        list(rows_apart(book, None, Bounds(seconds=1)))
    assert time.perf_counter() - began < 20


def test_whoever_stops_taking_rows_leaves_no_process_behind() -> None:
    """The rows are given as they come; who has enough of them may go."""
    rows = rows_apart(BOOK, None, Bounds(), small=0)

    assert next(rows) == (1, ("Cow", "When"))
    rows.close()  # type: ignore[attr-defined]
