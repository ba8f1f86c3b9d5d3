"""Columns of yes and no that tell how visits ended."""

from __future__ import annotations

import pytest

from sentinel.flow.feeds.drafting.guessing.flag_columns import adds, flag_columns, set_together
from sentinel.flow.feeds.drafting.sample.profile import Profile, Source, profiled
from sentinel.flow.feeds.drafting.sample.sniff import Sample


def column(title: str, cells: str) -> Profile:
    """A column of these cells."""
    return profiled(Source(title, tuple("" if c == "." else c for c in cells.split())), Sample("delimited"))


@pytest.mark.parametrize(
    ("title", "cells", "flags"),
    [
        ("Inc", "0 1 0", [("incomplete", "")]),
        ("Incomplete", "no yes .", [("incomplete", "")]),
        ("Unvollständig", "nein ja nein", [("incomplete", "")]),
        ("Inc", ". x .", [("incomplete", "")]),
        ("Inc", ". K .", [("incomplete", "K")]),
        ("Inc", "K K K", []),
        ("Inc", "a b a", []),
        ("Inc", "0 1 2", []),
        ("Milk", "0 1 0", []),
        ("Inc", "0.5 1 0", []),
    ],
)
def test_title_and_cells_must_both_say_so(title: str, cells: str, flags: list[tuple[str, str]]) -> None:
    """Words that are known for yes and no, or one mark beside empty cells."""
    assert [(one.word, one.set_word) for one in flag_columns([column(title, cells)])] == flags


def test_flags_come_in_the_order_in_which_they_count() -> None:
    """Whatever the order of the columns; only rows with two of different words need it."""
    flags = flag_columns([column("Inc", "1 0 1"), column("Kick", "1 0 0"), column("Ref", "0 1 0")])
    both = flag_columns([column("Inc", "1 0 1"), column("Ref", "0 1 1")])

    assert [one.word for one in flags] == ["refused", "incomplete", "incomplete"]
    assert (set_together(flags), set_together(both)) == (False, True)


def test_flags_say_more_than_a_column_where_it_says_something_else() -> None:
    """Row by row."""
    flags = flag_columns([column("Inc", "1 0 1")])

    assert not adds(flags, ["incomplete", "milked", "incomplete"])
    assert adds(flags, ["incomplete", "milked", "milked"])
