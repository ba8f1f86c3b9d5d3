"""How far boxes move without a reset in the log: of sizes put in, with and without the log, and with a fault."""

from __future__ import annotations

import numpy as np
import pytest

from sentinel.flow.measures.boxes.unlogged_moves import BLOCK_S, unlogged_moves

DAYS, BOXES, EACH = 40, 3, 40
NONE = (np.zeros(0, np.int64), np.zeros(0, np.int64))


def seen_by(moved_mm: float, fault: bool = False) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Boxes that are set anew at noon each day, by so many mm, and see 40 teats each half day within 6 mm."""
    rng = np.random.default_rng(7)
    blocks = np.arange(2 * DAYS)
    box, block, visit = (x.ravel() for x in np.meshgrid(np.arange(BOXES), blocks, np.arange(EACH), indexing="ij"))
    at = block * BLOCK_S + (visit + 1) * (BLOCK_S // (EACH + 1))
    stands = moved_mm * rng.standard_normal((BOXES, DAYS + 1, 2))
    value = stands[box, (block + 1) // 2] + 6.0 * rng.standard_normal((len(box), 2))
    if fault:
        value[(box == 1) & (block >= 60) & (block < 63)] += 15.0
    sums, squares = (np.vstack([np.zeros((1, 2)), np.cumsum(x, axis=0)]) for x in (value, value * value))
    return box, at, sums, squares


@pytest.mark.parametrize("fault", [False, True])
def test_what_boxes_move_by_is_found_where_no_log_tells_of_it(fault: bool) -> None:
    """1.5 mm a day come out within two fifths; a fault of a day and a half at one box does not change that."""
    first, variance = unlogged_moves(*seen_by(1.5, fault), NONE)

    assert first == 0
    assert np.sqrt(variance[40:]) == pytest.approx(np.full(len(variance) - 40, 1.5), rel=0.4)


def test_boxes_that_stand_still_add_nothing_to_speak_of() -> None:
    """The scatter of the visits is taken off."""
    _, variance = unlogged_moves(*seen_by(0.0), NONE)

    assert np.sqrt(variance).max() < 0.6


def test_what_a_log_tells_is_not_counted() -> None:
    """With each setting in the log there is no day without one."""
    box, day = (x.ravel() for x in np.meshgrid(np.arange(BOXES), np.arange(DAYS), indexing="ij"))
    _, variance = unlogged_moves(*seen_by(1.5), (box, day * 2 * BLOCK_S + BLOCK_S))

    assert variance.max() == 0.0


def test_no_later_visit_counts() -> None:
    """The half day asked about, and those after it, change nothing."""
    box, at, sums, squares = seen_by(1.5)
    early = at < 50 * BLOCK_S
    value, square = np.diff(sums, axis=0)[early], np.diff(squares, axis=0)[early]
    some = [np.vstack([np.zeros((1, 2)), np.cumsum(x, axis=0)]) for x in (value, square)]
    _, part = unlogged_moves(box[early], at[early], some[0], some[1], NONE)
    _, whole = unlogged_moves(box, at, sums, squares, NONE)

    assert part[:51] == pytest.approx(whole[:51], rel=1e-9)
    assert part[50] > 0


def test_without_a_visit_nothing_is_known() -> None:
    """Nothing was seen, nothing moves."""
    none = np.zeros(0, np.int64)

    assert unlogged_moves(none, none, np.zeros((1, 2)), np.zeros((1, 2)), NONE)[1].tolist() == [0.0]
