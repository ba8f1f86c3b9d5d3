"""No file stops the others: some thousand mutants of exports, and the large ones, on the real reading path."""

from pathlib import Path

import pytest
from faults.giant_files import GIANTS
from faults.hostile_files import apart, giants_apart, tried
from faults.mutants import hostile

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
"""The large files that are read in a second or two; all of them: `python -m faults.hostile_files giants`."""


def test_two_thousand_exports_that_went_wrong_stop_neither_the_service_nor_the_next_one() -> None:
    """Each is read or told of, a good export behind each hundred is read, and memory stays small."""
    found = apart(seed=20260501, cases=2000)

    assert found.cases == 2000
    assert min(found.read, found.whole, found.part, found.unmapped) > 100, found
    assert found.greatest_mb < MOST_MB, found
    assert found.child_mb < MOST_MB, found


@pytest.mark.parametrize("name", QUICK)
def test_a_file_that_is_after_the_memory_does_not_get_it(name: str) -> None:
    """It is set aside, whole or row by row, within half a minute."""
    ((_, found),) = giants_apart([name])

    assert (found.whole, found.part) in ((1, 0), (0, 1))
    assert found.greatest_mb < MOST_MB, found
    assert found.child_mb < MOST_MB, found
    assert found.longest_s < 30, found


def test_the_same_seed_gives_the_same_files(tmp_path: Path) -> None:
    """So a case that fails can be tried again; and what is told of the mutants is told of each form."""
    some = list(hostile(7, 60))

    assert some == list(hostile(7, 60))
    assert some != list(hostile(8, 60))
    assert {name.partition("_")[0] for name, _ in some} == {"lines", "words", "book", "objects", "icar"}
    assert tried(iter(some), tmp_path).cases == 60


def test_every_quick_file_is_one_of_the_large_ones() -> None:
    """A name that was changed is not left out unseen."""
    assert set(QUICK) <= set(GIANTS)
