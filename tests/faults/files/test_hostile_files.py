"""No file stops the others: ten thousand mutants of exports, and the large ones, on the real reading path."""

import random
from pathlib import Path

import pytest
from faults.files.giant_files import GIANTS
from faults.files.hostile_files import apart, giants_apart, setup, tried
from faults.files.mutants import BEGIN, FORMS, KINDS, book, hostile, rows
from freezegun import freeze_time

from sentinel.flow.model import Export
from sentinel.runtime.ticks import batch_of

MOST_MB = 250
"""Of memory, whatever the file."""

QUICK = (
    "lines_nul.csv",
    "lines_nul_titled.csv",
    "lines_titles.csv",
    "lines_sparse.csv",
    "lines_delimiters.csv",
    "lines_wide.csv",
    "objects_lists.jsonl",
    "icar_digits.json",
    "icar_rest.json",
    "book_bomb.xlsx",
    "book_cells.xlsx",
    "book_far_row.xlsx",
    "book_far_column.xlsx",
    "book_styles.xlsx",
)
"""The large files that are read in a second or two; all of them: `python -m faults.files.hostile_files giants`."""


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_ten_thousand_exports_that_went_wrong_stop_neither_the_service_nor_the_next_one(seed: int) -> None:
    """Each is read or told of, a good export behind each hundred is read, and memory stays small; a quarter a seed."""
    found = apart(seed=20260500 + seed, cases=2500)

    assert found.failures == ()
    assert found.cases == 2500
    assert min(found.read, found.whole, found.part, found.unmapped) > 100, found
    assert found.bare < 100, found
    assert found.greatest_mb < MOST_MB, found
    assert found.child_mb < MOST_MB, found


@pytest.mark.parametrize("name", QUICK)
def test_a_file_that_is_after_the_memory_does_not_get_it(name: str) -> None:
    """It is set aside, whole or row by row, within half a minute."""
    ((_, found),) = giants_apart([name])

    assert found.failures == ()
    assert (found.whole, found.part) in ((1, 0), (0, 1))
    assert found.greatest_mb < MOST_MB, found
    assert found.child_mb < MOST_MB, found
    assert found.longest_s < 30, found


@freeze_time("2026-05-04 06:00")  # a workbook holds the two seconds in which it was made
def test_the_same_seed_gives_the_same_files(tmp_path: Path) -> None:
    """So a case that fails can be tried again; and what is told of the mutants is told of each form."""
    some = list(hostile(7, 60))

    assert some == list(hostile(7, 60))
    assert some != list(hostile(8, 60))
    assert {name.rpartition("/")[2].partition("_")[0] for name, _ in some} == set(KINDS)
    assert tried(iter(some), tmp_path).cases == 60


@pytest.mark.parametrize("kind", sorted(set(KINDS)))
def test_what_is_mutated_was_good(kind: str) -> None:
    """Every row of each form is read as it is, so that what goes wrong is the mutant's own."""
    made = rows(random.Random(3), 12)
    content, end = (book(made), "xlsx") if kind == "book" else (FORMS[kind].text(made), FORMS[kind].end)
    given = content if isinstance(content, bytes) else content.encode(FORMS[kind].encoding)

    batch = batch_of(setup(), Export(f"{kind}_1.{end}", given, BEGIN))

    assert batch is not None
    assert batch.set_aside == ()
    assert {len(part.values) for part in batch.rows} <= {12, 48}


def test_the_good_rows_beside_a_spoilt_one_are_read(tmp_path: Path) -> None:
    """What is looked for would be found: a file that is read as nothing, or made the program fail, is a failure."""
    good = FORMS["lines"].text(rows(random.Random(3), 12)).encode()
    found = tried(iter([("lines_1.csv", good), ("lines_2.csv", good[:-9] + b"x\n"), ("lines_3.csv", b"")]), tmp_path)

    assert (found.cases, found.read, found.whole, found.part, found.failures) == (3, 2, 1, 1, ())


def test_every_quick_file_is_one_of_the_large_ones() -> None:
    """A name that was changed is not left out unseen."""
    assert set(QUICK) <= set(GIANTS)
