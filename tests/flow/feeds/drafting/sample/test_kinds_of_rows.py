"""Samples whose rows are of several kinds, as a column says."""

from __future__ import annotations

import pytest

from sentinel.flow.feeds.drafting.sample.kinds_of_rows import kinds_of_rows, of_kind
from sentinel.flow.feeds.drafting.sample.sniff import Sample, sniff
from sentinel.flow.model import Export


def sample(*rows: str, titles: str = "Kind,Who,Milk,Text") -> Sample:
    """A sample of these rows, each of them five times."""
    return sniff(Export("x.csv", "\n".join([titles, *rows * 5, ""]).encode(), 0))


@pytest.mark.parametrize(
    ("rows", "kinds"),
    [
        (["M,1,9.5,", "M,2,8.5,", "E,2,,door"], (("M",), ("E",))),
        (["M,1,9.5,", "I,3,2.5,", "E,2,,door", "F,2,,new filter", "E,1,,door"], (("E", "F"), ("M", "I"))),
        # a refused visit has nothing of its own, and so is of one kind with the others
        (["M,1,9.5,", "R,2,,", "M,3,9.5,"], None),
        (["M,1,9.5,x", "E,2,,door"], None),
        (["M,1,9.5,", "M,2,8.5,", ",2,,door", ",1,,door"], None),
        (["M,1,9.5,"], None),
    ],
)
def test_kinds_of_rows_fill_columns_of_their_own(rows: list[str], kinds: tuple[tuple[str, ...], ...] | None) -> None:
    """Each, and the kind of most rows comes first."""
    found = kinds_of_rows(sample(*rows))

    assert (None if found is None else (found.title, found.kinds)) == (None if kinds is None else ("Kind", kinds))


def test_a_few_rows_are_no_kind() -> None:
    """One odd row in a file is odd."""
    one = Export("x.csv", ("Kind,Who,Milk,Text\n" + "M,1,9.5,\n" * 20 + "E,2,,door\n").encode(), 0)

    assert kinds_of_rows(sniff(one)) is None


def test_the_rows_of_one_kind_are_a_sample_of_their_own() -> None:
    """With how many of them are of each file."""
    whole = sample("M,1,9.5,", "E,2,,door")
    part = of_kind(whole, "Kind", ("E",))

    assert (whole.files, part.files) == ((10,), (5,))
    assert part.columns[1] == ("2",) * 5
