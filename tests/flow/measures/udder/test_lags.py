"""Looking back along a cow's milkings: against plain loops, and what the robust mean promises."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sentinel.flow.measures.udder.lags import (
    before,
    by_cows,
    in_parts,
    mean_before,
    middling,
    of_the_others,
    own_spread,
    reaches_from,
    restlessness,
)

NAN = math.nan
readings = st.one_of(st.just(NAN), st.integers(-40, 40).map(lambda n: n / 8))


@st.composite
def milkings(draw: st.DrawFn) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Cow, moment and one reading of each milking, by cow, then time."""
    rows = sorted(
        {(cow, at): value for cow, at, value in draw(
            st.lists(st.tuples(st.integers(0, 2), st.integers(0, 60), readings), max_size=40)
        )}.items()
    )  # fmt: skip
    return (
        np.array([cow for (cow, _), _ in rows], dtype=np.int64),
        np.array([at for (_, at), _ in rows], dtype=np.int64),
        np.array([[value] for _, value in rows], dtype=float).reshape(len(rows), 1),
    )


def plainly_before(cow: np.ndarray, at: np.ndarray, row: int, most: int, past: int) -> list[int]:
    """The rows that a look back from a row reaches, oldest first, in plain words."""
    hers = [other for other in range(row) if cow[other] == cow[row]]
    return [other for other in hers[-most:] if at[other] > at[row] - past]


@settings(max_examples=60, deadline=None)
@given(rows=milkings(), most=st.integers(1, 6), past=st.integers(1, 40))
def test_a_look_back_reaches_the_same_cows_last_milkings(
    rows: tuple[np.ndarray, np.ndarray, np.ndarray], most: int, past: int
) -> None:
    """So many milkings of the same cow, none of them so old, are reached; a value that is not there is NaN."""
    cow, at, value = rows
    begin = reaches_from(cow, at, most, past)
    found = before(value, begin, 1, most)
    mean, number = mean_before(value, begin)

    for row in range(len(cow)):
        reached = plainly_before(cow, at, row, most, past)
        wanted = [value[other, 0] for other in reached]
        assert begin[row] == (reached[0] if reached else row)
        np.testing.assert_array_equal(found[row, 0], [NAN] * (most - len(wanted)) + wanted)
        told = [one for one in wanted if not math.isnan(one)]
        assert number[row, 0] == len(told)
        assert mean[row, 0] == pytest.approx(sum(told) / len(told) if told else 0.0, abs=1e-6)


def test_the_newest_may_be_left_out() -> None:
    """Two to three milkings back: the one just before is no part of it."""
    cow, at = np.zeros(5, np.int64), np.arange(5)
    found = before(np.arange(5.0)[:, None], reaches_from(cow, at, 3, 99), 2, 3)

    np.testing.assert_array_equal(found[:, 0], [[NAN, NAN], [NAN, NAN], [NAN, 0], [0, 1], [1, 2]])


def test_one_odd_value_carries_the_middling_mean_only_so_far() -> None:
    """Of fourteen values about 1.6 one that is 0.4 too high moves it by a fourteenth of the bound, not of 0.4."""
    usual = np.full(14, 1.6)
    odd = usual.copy()
    odd[3] = 2.0

    (calm, high), number = middling(np.array([usual, odd]), apart=0.05)

    assert number.tolist() == [14, 14]
    assert calm == 1.6
    assert high == pytest.approx(1.6 + 0.05 / 14, abs=1e-12)


def test_the_middling_mean_of_calm_values_is_their_mean() -> None:
    """While no value is further from the middle than the bound, it is the plain mean of what is there."""
    assert middling(np.array([[1.00, 1.02, NAN, 1.05]]), apart=0.05)[0][0] == pytest.approx((1 + 1.02 + 1.05) / 3)


def test_what_the_others_do_together() -> None:
    """Per quarter the movement of the others; with a single other one there is nothing common."""
    moved = of_the_others(np.array([[0.10, 0.02, 0.02, 0.02], [0.10, NAN, 0.04, 0.04], [0.10, NAN, NAN, 0.04]]), 0.03)

    assert moved[0].tolist() == pytest.approx([0.02, 0.03, 0.03, 0.03])  # 0.10 counts as 0.02 + 0.03
    assert moved[1, 0] == pytest.approx(0.04)
    assert moved[2].tolist() == pytest.approx([0.0, 0.07, 0.07, 0.0])


def test_own_spread_is_pooled_with_the_usual_one() -> None:
    """Two changes of 0.04 and 14 parts of 0.02 squared; a change counts as 0.08 at most."""
    change = np.array([[0.04], [-0.04], [0.50], [0.0]])
    spread = own_spread(change, np.zeros(4, np.int64), 14, 0.02, 0.08)

    assert spread[0, 0] == pytest.approx(0.02)
    assert spread[2, 0] == pytest.approx(math.sqrt((14 * 0.02**2 + 2 * 0.04**2) / 16))
    assert spread[3, 0] == pytest.approx(math.sqrt((14 * 0.02**2 + 2 * 0.04**2 + 0.08**2) / 17))


def test_a_restless_quarter_is_told_by_its_own_and_the_others_scatter() -> None:
    """By hand: ten parts of 1; her own squares whole, those of the other quarter half; none over 4 squared."""
    scaled = np.array([[2.0, 1.0], [9.0, NAN], [0.0, 0.0]])
    told = restlessness(scaled, np.zeros(3, np.int64))

    assert told[0].tolist() == [1.0, 1.0]
    assert told[1].tolist() == pytest.approx([math.sqrt((10 + 4 + 0.5) / 11.5), math.sqrt((10 + 1 + 2) / 11.5)])
    assert told[2].tolist() == pytest.approx([math.sqrt((10 + 20 + 0.5) / 12.5), math.sqrt((10 + 1 + 10) / 12)])


def test_cows_stay_whole_in_parts() -> None:
    """Work that is done some cows at a time gives what it gives at once, and no cow is split."""
    code = np.repeat(np.arange(7), [5, 1, 9, 2, 2, 8, 3])

    parts = [code[one] for one in by_cows(code, most=6)]

    assert [part.tolist() for part in parts] == [[0] * 5 + [1], [2] * 9, [3, 3, 4, 4] + [5] * 8, [6] * 3]
    assert in_parts(lambda code: (code * 2,), code)[0].tolist() == (code * 2).tolist()
    assert [part.tolist() for part in in_parts(lambda code: (code, code + 1), code[:0])] == [[], []]
