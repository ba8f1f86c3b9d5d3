"""Looking back along a cow's milkings: what a quarter showed before, what is usual for it, what her others do.

Arrays are milkings x quarters, the milkings by cow, then time. A look back reaches over a fixed number of milkings and
a fixed time, never over a running state, so what is found at a milking is the same to the last bit wherever the data
begin. Where sums are carried along, they are of whole numbers (millionths), which lose nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from sentinel.flow.measures.base.medians import median_known

AT_ONCE = 6_000
"""About so many milkings are worked on at once: so few that they stay in the processor's memory."""

MILLION = 1_000_000

CALM, OF_OTHERS, RESTLESS_MOST = 10.0, 0.5, 4.0
"""How a quarter's own scatter is pooled: the usual weighs as ten of its changes, a change of another quarter of the cow
as half of one, and none counts as more than four standard deviations. Our choice, no source; tried on simulated
herds."""


def by_cows(code: np.ndarray, most: int = AT_ONCE) -> Iterator[slice]:
    """Slices of whole cows, each of about `most` milkings.

    >>> list(by_cows(np.array([0, 0, 0, 1, 1, 2]), most=2))
    [slice(0, 3, None), slice(3, 5, None), slice(5, 6, None)]
    """
    begin = 0
    while begin < len(code):
        end = min(begin + most, len(code))
        end = int(np.searchsorted(code, code[end - 1], side="right"))
        yield slice(begin, end)
        begin = end


def in_parts(work: Callable[..., tuple[np.ndarray, ...]], code: np.ndarray, *arrays: np.ndarray) -> list[np.ndarray]:
    """What `work(code, *arrays)` gives for all milkings, worked out some cows at a time."""
    parts = [work(code[one], *(array[one] for array in arrays)) for one in by_cows(code)]
    if not parts:
        return list(work(code, *arrays))
    return [np.concatenate(same) for same in zip(*parts, strict=True)]


def reaches_from(code: np.ndarray, at: np.ndarray, most: int, past_s: int) -> np.ndarray:
    """Per milking the row of the earliest one that a look back reaches: of the same cow, `most` back, within `past_s`.

    A milking exactly `past_s` before is not reached. Where none is reached, it is the milking's own row.
    """
    if not len(code):
        return np.empty(0, np.int64)
    moment = at - at.min()
    width = int(moment.max()) + past_s + 2
    early = np.searchsorted(code * width + moment, code * width + np.maximum(moment - past_s, -1), side="right")
    return np.asarray(np.maximum(early, np.arange(len(code)) - most))


def before(values: np.ndarray, begin: np.ndarray, first: int, last: int) -> np.ndarray:
    """The values `first` to `last` milkings back, oldest first, along a new last axis; NaN before row `begin`."""
    n, width = len(values), last - first + 1
    padded = np.concatenate([np.full((last, *values.shape[1:]), np.nan), values])
    windows = np.lib.stride_tricks.sliding_window_view(padded, width, axis=0)[:n].copy()
    reached = np.arange(n) - begin  # so many milkings back are her own and not too old
    short = np.flatnonzero(reached < last)
    for place in range(width):
        windows[short[reached[short] < last - place], ..., place] = np.nan
    return windows


def middling(values: np.ndarray, apart: float) -> tuple[np.ndarray, np.ndarray]:
    """A mean that odd values cannot carry away, along the last axis, and how many values it is of.

    The median, plus the mean distance of all values from it, none counted as more than `apart`: one step of Huber's
    estimate (Huber 1964, Ann Math Stat 35:73; from memory). With normal values it wavers less than the median.
    """
    centre, number = median_known(values)
    away = np.clip(values - centre[..., None], -apart, apart)
    away[np.isnan(away)] = 0.0
    total = away[..., 0].copy()
    for place in range(1, values.shape[-1]):
        total += away[..., place]
    return centre + total / np.maximum(number, 1), number


def of_the_others(change: np.ndarray, apart: float) -> np.ndarray:
    """Per quarter how much the cow's other quarters moved together at the milking; 0 with fewer than two of them."""
    quarters = range(change.shape[1])
    others = np.stack([np.delete(change, quarter, axis=1) for quarter in quarters], axis=1)
    common, number = middling(others, apart)
    return np.asarray(np.where(number >= 2, common, 0.0))


def mean_before(values: np.ndarray, begin: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The plain mean of the values from row `begin` to the row before each (to a millionth), and how many they are."""
    has = ~np.isnan(values)
    whole = np.rint(np.where(has, values, 0.0) * MILLION).astype(np.int64)
    sums, counts = _sum_before(whole, begin), _sum_before(has.astype(np.int64), begin)
    return sums / np.maximum(counts, 1) / MILLION, counts


def restlessness(scaled: np.ndarray, begin: np.ndarray) -> np.ndarray:
    """How many times as much as usual a quarter's own changes scatter, from row `begin` to the row before each.

    `scaled` are its changes in the standard deviations that are usual. Pooled are: the usual 1, as heavy as
    `CALM` changes; those of the cow's other quarters, each with a weight of `OF_OTHERS`; and its own.
    """
    has = ~np.isnan(scaled)
    square = np.clip(np.where(has, scaled, 0.0), -RESTLESS_MOST, RESTLESS_MOST) ** 2
    own = _sum_before(np.rint(square * MILLION).astype(np.int64), begin) / MILLION
    number = _sum_before(has.astype(np.int64), begin)
    others, others_number = own.sum(axis=1, keepdims=True) - own, number.sum(axis=1, keepdims=True) - number
    return np.asarray(np.sqrt((CALM + OF_OTHERS * others + own) / (CALM + OF_OTHERS * others_number + number)))


def own_spread(change: np.ndarray, begin: np.ndarray, milkings: int, usual: float, most: float) -> np.ndarray:
    """The standard deviation of a quarter's own changes from row `begin` to the row before each.

    They are pooled with what is `usual` of quarters, which weighs as much as `milkings` of her own: so a restless
    quarter gets wide limits, a calm one narrow ones, and one little known the usual ones. No change counts as more
    than `most`.
    """
    has = ~np.isnan(change)
    square = np.clip(np.where(has, change, 0.0), -most, most) ** 2
    sums = _sum_before(np.rint(square * MILLION**2).astype(np.int64), begin) / MILLION**2
    return np.asarray(np.sqrt((milkings * usual**2 + sums) / (milkings + _sum_before(has.astype(np.int64), begin))))


def _sum_before(whole: np.ndarray, begin: np.ndarray) -> np.ndarray:
    """The sums of whole numbers from row `begin` to the row before each."""
    running = np.concatenate([np.zeros((1, whole.shape[1]), np.int64), np.cumsum(whole, axis=0)])
    return np.asarray(running[:-1] - running[begin])
