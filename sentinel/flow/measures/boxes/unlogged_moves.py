"""How far the boxes of a farm move from one day to the next, where their logs tell of nothing that was done.

A log may be missing, or hold half of what was done: then a box that was set anew looks as if it had gone out of line.
So what it sees is held against how far all boxes of the farm usually move within a day with no reset in the log. On a
farm whose log has every reset there is hardly such a day, and nothing is added.
"""

from __future__ import annotations

import numpy as np

from sentinel.flow.measures.base.chance import Numbers, Whole
from sentinel.flow.model import HOUR_S

BLOCK_S = 12 * HOUR_S
DAY_BLOCKS = 2
"""Half days (UTC) are compared with those a day before them: both lie in the same hours of the herd's day."""

BLOCK_FEWEST = 12
BACK = 28
"""So many half days are looked back on, at all boxes together: 14 days."""

PAIRS_WORTH = 30
"""As long as few such pairs (of a box, a half day and an axis) were seen, the boxes count as standing still."""

MEDIAN_OF_SQUARE = 0.4549
"""The median of the square of a standard normal variable (chi-squared with one degree of freedom)."""


def unlogged_moves(
    place: Whole, at: Whole, sums: Numbers, squares: Numbers, resets: tuple[Whole, Whole]
) -> tuple[int, Numbers]:
    """The number of the first half day, and for each from there on the variance of a box's moves in the 14 days before.

    Rows are by box (`place`), then time; `sums` and `squares` are running sums of what was seen, a column for each
    figure and a row more than there are visits. By the median over the pairs, so that a few faults do not matter.
    """
    if not len(at):
        return 0, np.zeros(1)
    first = int(at.min()) // BLOCK_S
    many = int(at.max()) // BLOCK_S - first + 1
    boxes = int(place.max()) + 1
    edge = np.searchsorted(place * many + at // BLOCK_S - first, np.arange(boxes * many + 1))
    count = np.diff(edge).reshape(boxes, many, 1).astype(float)
    total, square = (np.diff(x[edge], axis=0).reshape(boxes, many, -1) for x in (sums, squares))
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = np.where(count >= BLOCK_FEWEST, total / count, np.nan)
        within = np.where(square > 0, square / count - mean * mean, np.nan)
        noise = within / count
        moved = (mean[:, DAY_BLOCKS:] - mean[:, :-DAY_BLOCKS]) ** 2
        noise = noise[:, DAY_BLOCKS:] + noise[:, :-DAY_BLOCKS]
    pairs = np.stack([moved, noise])
    pairs[:, _was_reset(resets, first, many, boxes)] = np.nan
    variance = np.zeros(many + 1)
    for block in range(DAY_BLOCKS + 1, many + 1):
        end = block - DAY_BLOCKS  # the last pair ends with the half day before
        some = pairs[:, :, max(end - BACK, 0) : end].reshape(2, -1)
        some = some[:, ~np.isnan(some).any(axis=0)]
        if some.shape[1]:
            usual, chance = np.median(some, axis=1)
            moves = max(usual / MEDIAN_OF_SQUARE - chance, 0.0) / 2.0
            variance[block] = moves * some.shape[1] / (some.shape[1] + PAIRS_WORTH)
    return first, variance


def _was_reset(resets: tuple[Whole, Whole], first: int, many: int, boxes: int) -> np.ndarray:
    """Per box and pair of half days whether a reset lies in them or between them."""
    box, at = resets
    block = at // BLOCK_S - first
    inside = (block >= 0) & (block < many) & (box < boxes)
    number = np.bincount(box[inside] * many + block[inside], minlength=boxes * many).reshape(boxes, many)
    upto = np.concatenate([np.zeros((boxes, 1), np.int64), np.cumsum(number, axis=1)], axis=1)
    return np.asarray(upto[:, DAY_BLOCKS + 1 :] > upto[:, : many - DAY_BLOCKS])
