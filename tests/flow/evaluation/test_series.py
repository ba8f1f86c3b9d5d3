"""Moments of subjects side by side: where each subject begins, what follows a moment, how many stand up to one."""

from __future__ import annotations

from bisect import bisect_right

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.evaluation.series import OPEN, firsts, following, up_to

ROWS = st.lists(st.tuples(st.sampled_from(["cow:7", "cow:8", "cow:9"]), st.integers(-5, 50)), max_size=30).map(sorted)


def columns(rows: list[tuple[str, int]]) -> tuple[np.ndarray, np.ndarray]:
    """Subjects and moments, by subject, then time."""
    return np.array([one for one, _ in rows], dtype=object), np.array([at for _, at in rows], dtype=np.int64)


def test_a_moment_lasts_until_the_next_of_its_subject() -> None:
    """The last one of each has no end."""
    subject, at = columns([("cow:7", 10), ("cow:7", 30), ("cow:8", 20)])

    assert firsts(subject).tolist() == [True, False, True]
    assert following(firsts(subject), at).tolist() == [30, OPEN, OPEN]
    assert firsts(subject[:0]).tolist() == following(firsts(subject[:0]), at[:0]).tolist() == []


@given(ROWS, ROWS)
def test_how_many_moments_stand_up_to_another_is_counted_by_subject(
    rows: list[tuple[str, int]], asked: list[tuple[str, int]]
) -> None:
    """All of earlier subjects and the own ones until then, as in a plain sorted list; 0 for one without a row."""
    found, there = up_to(*columns(rows), *columns(asked)), {subject for subject, _ in rows}

    assert found.tolist() == [bisect_right(rows, one) if one[0] in there else 0 for one in asked]
