"""Rows sorted by subject, then time: the arrangement in which every measure does its arithmetic."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
from hypothesis import given
from hypothesis import strategies as st
from text_tables import lines, moment, shown

from sentinel.flow.language import Said
from sentinel.flow.measures.base.ordered import Ordered, moments_of, ordered, sentences, texts

ROWS = st.lists(st.tuples(st.sampled_from(["7", "8", "10", None]), st.integers(-5, 20)), max_size=25)


def sorted_rows(rows: list[tuple[Any, int]]) -> Ordered:
    """Rows of cows, given as (cow, moment) in any order."""
    cow, at = pd.Series([c for c, _ in rows], dtype=object), pd.Series([at for _, at in rows], dtype="int64")
    return ordered("cow", cow, at, np.ones(len(rows), bool))


@given(ROWS)
def test_rows_stand_by_subject_then_time_and_know_where_they_came_from(rows: list[tuple[Any, int]]) -> None:
    """Those without a name belong to nobody; rows of one moment keep their order."""
    found = sorted_rows(rows)
    wanted = sorted((f"cow:{cow}", at, place) for place, (cow, at) in enumerate(rows) if cow is not None)

    assert list(zip(found.subject.tolist(), found.at.tolist(), found.row.tolist(), strict=True)) == wanted
    assert found.take(pd.Series(range(len(rows)), dtype="int64")).tolist() == [place for _, _, place in wanted]


@given(ROWS, st.integers(-10, 30), st.integers(-10, 30))
def test_rows_of_a_stretch_are_counted_by_two_answers(rows: list[tuple[Any, int]], one: int, other: int) -> None:
    """The begin is out and the end is in, whatever other subjects have."""
    found = sorted_rows(rows)
    begin, end = min(one, other), max(one, other)
    code = np.arange(len(found.names))
    number = found.up_to(code, np.full(len(code), end)) - found.up_to(code, np.full(len(code), begin))

    assert number.tolist() == [
        sum(f"cow:{cow}" == name and begin < at <= end for cow, at in rows) for name in found.names
    ]


def test_of_rows_of_one_moment_the_last_ends_it() -> None:
    """So that a reading at it counts all of them."""
    found = sorted_rows([("7", 10), ("7", 10), ("7", 20), ("8", 20)])

    assert found.ends_moment.tolist() == [False, True, True, True]
    assert found.moments()["subject"].tolist() == ["cow:7", "cow:7", "cow:8"]
    assert found.only(np.array([False, True, False, True])).row.tolist() == [1, 3]


def test_resets_of_several_tables_are_one_with_a_begin_for_what_is_not_known() -> None:
    """Box 2 had nothing until the start, so its time counts from there; a moment told twice is one."""
    frame = moments_of(
        "box",
        [(["1", "1", None], [moment("05:00"), moment("09:00"), 0]), (["1", "2"], [moment("09:00"), moment("10:00")])],
        start_from=["1", "2", "2"],
        start=moment("06:00"),
    )

    assert shown(frame, "subject at") == lines("""
        subject  at
        box:1    05:00
        box:1    09:00
        box:2    06:00
        box:2    10:00
    """)


def test_columns_of_text_stay_text_and_sentences_stay_sentences() -> None:
    """Also where there are none, and though a text type would forget what a sentence was put together from."""
    assert texts(np.array([], dtype=object)).dtype == texts(np.array(["a"], dtype=object)).dtype
    assert isinstance(sentences(np.array([Said("a {x}", x="1")], dtype=object))[0], Said)
