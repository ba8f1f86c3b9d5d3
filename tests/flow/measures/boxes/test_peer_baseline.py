"""What a box sees of its cows, against what the other boxes see of them and against its own past."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from text_tables import table

from sentinel.flow.measures.boxes.peer_baseline import (
    COW_FEWEST,
    Shift,
    deviations,
    named,
    seen,
    spread,
    surest,
    up_to,
)
from sentinel.flow.model import DAY_S, HOUR_S

NAN = np.nan


def test_cows_and_boxes_are_places_in_their_sorted_names() -> None:
    """A visit that names no box has none."""
    who = named(table("visits", "cow  start  box\n9  06:00  2\n217  07:00  -\n9  08:00  1"))

    assert (who.cows.tolist(), who.cow.tolist()) == (["217", "9"], [1, 0, 1])
    assert (who.boxes.tolist(), who.box.tolist()) == (["1", "2"], [1, -1, 0])


def visits(days: int, *boxes: int, own: float = 100.0, shift: float = 0.0) -> tuple[np.ndarray, ...]:
    """One cow at each of these boxes every day; the last box sees her `shift` further."""
    came = [(day, box) for day in range(days) for box in boxes]
    rows = [(own + shift * (box == boxes[-1]), 0, box, day * DAY_S + box * HOUR_S) for day, box in came]
    value, cow, box, at = (np.array(column) for column in zip(*rows, strict=True))
    return value[:, None].astype(float), cow, box, at


def test_a_visit_is_held_against_the_cows_own_mean_at_the_other_boxes() -> None:
    """Of the days before its own; until five of her visits are known nothing is told."""
    value, cow, box, at = visits(10, 0, 1, shift=7.0)
    off = deviations(value, cow, box, at)[:, 0]

    assert np.isnan(off[: 2 * COW_FEWEST]).all()
    assert off[2 * COW_FEWEST :].tolist() == [-7.0, 7.0] * (10 - COW_FEWEST)


def test_with_one_box_a_cow_is_held_against_herself() -> None:
    """A visit without a box has no deviation, and what is missing is no figure."""
    value, cow, box, at = visits(8, 0)
    value[-1] += 3.0
    alone = deviations(value, cow, box, at)[:, 0]
    value[-2] = NAN

    assert alone[-1] == 3.0
    assert np.isnan(deviations(value, cow, box, at)[-2, 0])
    assert np.isnan(deviations(value, cow, np.full(len(box), -1), at)).all()


def test_a_shift_of_the_last_visits_is_seen_against_the_boxs_own_past() -> None:
    """After a reset the past begins anew, so that it is no shift any more."""
    rng = np.random.default_rng(3)
    n = 200
    at = np.arange(n, dtype=np.int64) * 30 * 60
    value = rng.normal(0.0, 1.0, (n, 1)) + np.where(at >= at[n - 30], 5.0, 0.0)[:, None]
    zero = np.zeros(n, np.int64)

    def latest(*resets: int) -> Shift:
        reset = (np.zeros(len(resets), np.int64), np.array(resets, np.int64))
        found, order = seen(value, zero, zero, at, spread=1.0, frame=1.0, most=25.0, resets=reset)
        assert order.tolist() == list(range(n))
        return found.latest(np.array([0]), at[-1:], 3.0)

    assert latest().mean[0, 0] == pytest.approx(5.0, abs=0.7)
    assert latest().surely(3.0)[0, 0] > 2.0
    assert latest(int(at[n - 30])).surely(3.0)[0, 0] == 0.0


def test_the_surest_of_several_windows_is_taken() -> None:
    """By its shift less so many standard errors; `rising` looks upward only."""
    few, many = (
        Shift(np.array([[mean]]), np.array([[error]]), np.zeros((1, 1)), np.array([visits_]), np.array([0]))
        for mean, error, visits_ in ((-6.0, 1.5, 12), (2.0, 0.1, 96))
    )

    assert surest([few, many], 1.0, False).visits.tolist() == [12]
    assert surest([few, many], 3.0, False).visits.tolist() == [96]
    assert surest([few, many], 1.0, True).visits.tolist() == [96]


@given(st.lists(st.tuples(st.integers(0, 5), st.integers(0, 5)), max_size=6))
def test_places_of_stretches_are_spelt_out_one_after_the_other(stretches: list[tuple[int, int]]) -> None:
    """With the number of the stretch beside each."""
    begin = np.array([b for b, _ in stretches], np.int64)
    number, place = spread(begin, begin + np.array([size for _, size in stretches], np.int64))

    assert list(zip(number.tolist(), place.tolist(), strict=True)) == [
        (n, b + i) for n, (b, size) in enumerate(stretches) for i in range(size)
    ]


@given(
    st.lists(st.tuples(st.integers(0, 3), st.integers(-50, 50)), max_size=20).map(sorted),
    st.lists(st.tuples(st.integers(0, 3), st.integers(-90, 90)), max_size=10),
)
def test_rows_up_to_a_moment_are_counted_with_those_of_earlier_boxes(
    rows: list[tuple[int, int]], asked: list[tuple[int, int]]
) -> None:
    """Also of a moment far outside the data."""
    (code, at), (box, moment) = (
        (np.array([pair[0] for pair in pairs], np.int64), np.array([pair[1] for pair in pairs], np.int64))
        for pairs in (rows, asked)
    )

    assert up_to(code, at, box, moment).tolist() == [sum(row <= one for row in rows) for one in asked]
