"""Workbooks are unpacked within bounds: rows, cells, bytes, parts, and the number of a row."""

from __future__ import annotations

import io
import tracemalloc
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from flow.feeds.bounded_files import BOOK, FEW, TITLES, book, read, whole

from sentinel.flow.bounds import Bounds
from sentinel.flow.feeds import load_feed_map, read_export
from sentinel.flow.feeds.formats.workbook import Refused, workbook_rows
from sentinel.flow.model import Export
from sentinel.flow.reasons import Reason


def test_a_workbook_past_a_bound_is_set_aside_whole() -> None:
    """Its rows, its cells, what it unpacks to and the number of a row."""
    good = book(TITLES, *([7, "2026-05-01 06:00", 1, 9.5, 1] for _ in range(20)))
    roomy = replace(FEW, size=100_000)

    assert whole(read(good, BOOK, roomy)) == "it has more than 40 cells"
    assert whole(read(good, BOOK, replace(roomy, cells=1000))) == "it has more than 10 rows"
    assert whole(read(good, BOOK, Bounds(unpacked=3000))) == "it unpacks to more than 0.003 MB"
    assert len(read(good, BOOK, Bounds()).rows[0].values) == 20


def test_a_row_number_of_two_billion_makes_no_rows() -> None:
    """The gap is not filled, and a row where no sheet has one is a reason."""
    out, good = io.BytesIO(), book(TITLES, [7, "2026-05-01 06:00", 1, 9.5, 1])
    with zipfile.ZipFile(io.BytesIO(good)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            new.writestr(
                name, old.read(name).replace(b'r="2"', b'r="2000000000"').replace(b'r="A2"', b'r="A2000000000"')
            )
    tracemalloc.start()
    try:
        reason = whole(read(out.getvalue(), BOOK, Bounds()))
        taken = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()

    assert reason == "it has a row past number 1,048,576"
    assert taken < 20_000_000


def test_a_workbook_of_a_hundred_thousand_parts_is_not_even_listed() -> None:
    """What lists them takes half a kilobyte for each."""
    with pytest.raises(Refused, match="more than 2,000 parts"):
        next(workbook_rows(b"PK\x01\x02" * 100_000, None, Bounds()))


def test_a_workbook_may_be_refused_after_some_of_its_rows() -> None:
    """Whoever unpacks it may fail on the way; half a sheet is no export."""

    def broken(content: bytes, sheet: str | None, bounds: Bounds) -> Iterator[tuple[int, tuple[Any, ...]]]:
        yield 1, tuple(TITLES)
        yield from ((n, ("7", "2026-05-01 06:00", "1", 1, 1)) for n in range(2, 5000))
        raise Refused(Reason("unpacking-too-slow", n=60))

    feed, _ = load_feed_map(BOOK, "m.yaml")
    assert feed is not None
    assert whole(read_export(feed, Export("m", b"", 0), "UTC", Bounds(), broken)) == "it takes more than 60 s to unpack"
