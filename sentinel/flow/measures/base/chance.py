"""Chance: how likely a number of failures is, how far a ratio can be trusted, what a herd says about a cow.

Plain statistics over numbers; nothing here knows of boxes or cows. The tail is worked out by the direct recursion and
not by scipy's `poisson_binom`, which goes through a Fourier transform and answers 0 or noise below about 2e-16, just
where evidence is strong; every term here is positive, so small tails keep their digits (a test compares the two).
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]
Whole = NDArray[np.int64]

LEAST_STRENGTH, MOST_STRENGTH = 4.0, 400.0
"""Between these lies how many tries the herd's mean is worth for one cow (assumption)."""


def count_chances(chances: Any) -> Numbers:
    """The chance of each number of successes 0..n among n independent tries with these chances (Poisson-binomial).

    The recursion over tries: P(k) = P(k) (1 - p) + P(k - 1) p. Hong 2013, Comput Stat Data Anal 59:41-51.

    >>> count_chances([0.1, 0.5]).round(2).tolist()
    [0.45, 0.5, 0.05]
    """
    chance_of_count = np.zeros(len(chances) + 1)
    chance_of_count[0] = 1.0
    for n, chance in enumerate(chances, start=1):
        chance_of_count[1 : n + 1] = chance_of_count[1 : n + 1] * (1.0 - chance) + chance_of_count[:n] * chance
        chance_of_count[0] *= 1.0 - chance
    return chance_of_count


def chance_of_at_least(least: Any, chances: Any) -> Numbers:
    """The chance of `least` or more successes among independent tries, per row of `chances` (Poisson-binomial tail).

    `chances` has a row per question and a column per try; a chance of 0 fills up a shorter row. One row keeps in
    mind how many successes are still wanting, and none wanting is never left: no difference is taken.

    >>> chance_of_at_least([2, 1], [[0.1, 0.5], [0.1, 0.0]]).round(3).tolist()
    [0.05, 0.1]
    """
    wanted = np.asarray(least, np.int64)
    table = np.asarray(chances, np.float64).reshape(len(wanted), -1)
    most = int(wanted.max(initial=0))
    length = np.where(table != 0, np.arange(1, table.shape[1] + 1), 0).max(axis=1, initial=0)
    order = np.argsort(-length, kind="stable")  # the longest first, so that the shorter ones can stop
    wanting = np.zeros((len(wanted), most + 2))
    wanting[np.arange(len(wanted)), np.maximum(wanted, 0)[order]] = 1.0
    going = len(wanted) - np.searchsorted(np.sort(length), np.arange(table.shape[1]), side="right")
    for p, rows in zip(table[order].T[:, :, None], going, strict=True):
        gained = wanting[:rows, 1:] * p[:rows]
        wanting[:rows, 1:] -= gained
        wanting[:rows, :-1] += gained
    chances_of_wanted = np.empty(len(wanted))
    chances_of_wanted[order] = wanting[:, 0]
    return chances_of_wanted


def poisson_at_most(count: int, mean: float) -> float:
    """The chance of `count` or fewer when `mean` are expected (Poisson).

    >>> round(poisson_at_most(1, 2.0), 4)
    0.406
    """
    if mean <= 0:
        return 1.0
    spread = math.sqrt(mean)  # beyond ten or twelve of these a count adds less than the last digit of the sum
    low, high = min(count, int(mean)) - int(10 * spread) - 10, min(count, int(mean + 12 * spread) + 60)
    return math.fsum(math.exp(k * math.log(mean) - mean - math.lgamma(k + 1)) for k in range(max(0, low), high + 1))


def poisson_quantile(share: float, mean: float) -> int:
    """The smallest count that `share` of Poisson counts with this mean do not exceed.

    >>> poisson_quantile(0.025, 58), poisson_quantile(0.975, 58)
    (44, 73)
    """
    count = max(int(mean - 10 * math.sqrt(mean) - 10), 0)
    while poisson_at_most(count, mean) < share:
        count += 1
    return count


@lru_cache(maxsize=4096)
def count_limits(count: int, level: float = 0.95) -> tuple[float, float]:
    """The exact limits of the mean behind a counted number (Garwood 1936, the chi-square limits; from memory).

    The least mean is the one at which so many or more come in half of 1 - level of the cases, the greatest the one
    at which so many or fewer do. Of a count of 0 the least is 0.

    >>> [round(x, 5) for x in count_limits(58)]
    [44.04183, 74.97845]
    """
    off = (1.0 - level) / 2.0
    least = 0.0 if count == 0 else _mean_where(lambda mean: 1.0 - poisson_at_most(count - 1, mean) - off, 0.0, count)
    greatest = _mean_where(
        lambda mean: off - poisson_at_most(count, mean), count, count + 10.0 * math.sqrt(count + 1) + 10
    )
    return least, greatest


def _mean_where(rises: Any, low: float, high: float) -> float:
    """Where a rising function passes zero, by halving."""
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (low, middle) if rises(middle) > 0 else (middle, high)
    return (low + high) / 2.0


def ratio_interval(observed: int, expected: float, level: float = 0.95) -> tuple[float, float]:
    """The limits of observed over expected: the exact limits of the observed count, over the expected one.

    >>> [round(x, 3) for x in ratio_interval(58, 52.0)]
    [0.847, 1.442]
    """
    least, greatest = count_limits(observed, level)
    return least / expected, greatest / expected


def ratio_quantiles(observed: int, expected: float, level: float = 0.95) -> tuple[float, float]:
    """The interval of observed over expected that CRAN epiR prints for a standardised ratio.

    It is made of the quantiles of the Poisson distribution about the observed count; of a count of 0 it is no interval.

    >>> [round(x, 7) for x in ratio_quantiles(58, 52.0)]
    [0.8461538, 1.4038462]
    """
    off = (1.0 - level) / 2.0
    return poisson_quantile(off, observed) / expected, poisson_quantile(1.0 - off, observed) / expected


def herd_prior(failed: Whole, tried: Whole, usual: float, worth: float) -> tuple[Numbers, Numbers]:
    """What the herd says of a cow before she has tried: a mean chance, and how many tries of hers it is worth.

    `failed` and `tried` are cows x moments; each moment is answered apart. The beta-binomial by moments with weights
    n (Kleinman 1973, J Am Stat Assoc 68:46, from memory): with S = sum of n (p_cow - p)^2 and J cows that tried,

        rho = (S / (p (1 - p)) - (J - 1)) / (N - sum n^2 / N - (J - 1)),   worth = 1 / rho - 1.

    The mean is drawn toward `usual` as if that had been seen in `worth` tries, so a herd of which little is known
    has an answer too. Sums are taken of whole numbers, so they do not depend on the order or on cows without tries.
    """
    failures, tries = failed.sum(axis=0), tried.sum(axis=0)
    cows = (tried > 0).sum(axis=0)
    mean = (failures + usual * worth) / (tries + worth)
    with np.errstate(invalid="ignore", divide="ignore"):
        squares = np.where(tried > 0, np.rint(failed * failed / np.maximum(tried, 1) * 2**20), 0).astype(np.int64)
        spread = squares.sum(axis=0) / 2**20 - failures * failures / np.maximum(tries, 1)
        p = np.where(tries > 0, failures / np.maximum(tries, 1), 0.0)
        above = spread / (p * (1.0 - p)) - (cows - 1)
        rho = above / (tries - (tried * tried).sum(axis=0) / np.maximum(tries, 1) - (cows - 1))
        strength = 1.0 / rho - 1.0
    strength = np.where(rho > 0, strength, MOST_STRENGTH)
    enough = (tries >= 200) & (cows >= 10) & (failures >= 5) & np.isfinite(rho)
    return mean, np.where(enough, np.clip(strength, LEAST_STRENGTH, MOST_STRENGTH), 30.0)


def shrunk(failed: Any, tried: Any, mean: Any, worth: Any) -> Numbers:
    """A cow's own chance: her failures over her tries, drawn toward the herd's mean as if that were `worth` tries.

    >>> float(shrunk(6, 30, 0.04, 60.0).round(4))
    0.0933
    """
    return np.asarray((failed + mean * worth) / (tried + worth), dtype=np.float64)
