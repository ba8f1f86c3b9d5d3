"""Evidence that grows try by try, and how rarely chance alone would bring that much.

For one alternative, the odds of every failure times r, a try multiplies the evidence of a trouble that began at any
earlier try by its likelihood ratio: r / (1 - p + r p) if it failed, 1 / (1 - p + r p) if not. The sum over all
possible beginnings, R(t) = (1 + R(t - 1)) x ratio(t), is the Shiryaev-Roberts statistic (Pollak 1985, Ann Stat
13:206; Steiner et al. 2000, Biostatistics 1:441 for unequal chances; both from memory). While nothing is wrong,
R(t) - t has no drift, so the mean number of tries until R first passes A is at least A, whatever the unequal chances
are, as long as each is right given what went before. Divided by the tries of a month, R says once in how many months
chance brings so much: the number that a rule sets.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.measures.base.chance import Numbers, Whole
from sentinel.flow.model import HOUR_S

ALTERNATIVES = (3.0, 8.0, 20.0)
"""How many times the odds of a failure; the mean of the three is taken, so that none need be chosen (assumption)."""

NEARLY = 5.0
"""Of beginnings nearly as likely as the likeliest, the one of the strongest alternative is named: the shortest."""

SPAN_S = 12 * HOUR_S
"""Evidence reaches back to the beginning of the half day (UTC) before: 12 to 24 h."""

CEILING = 1e30
AT_ONCE = 500
"""Half days of groups that are worked out side by side; it changes nothing but the memory and the time it takes."""


@dataclass(frozen=True, slots=True)
class Grown:
    """Per try the evidence up to it, and the place of the try at which the likeliest trouble began."""

    sum: Numbers
    begun: Whole


def ratios(chance: Numbers, failed: NDArray[np.bool_], alternatives: tuple[float, ...] = ALTERNATIVES) -> Numbers:
    """What each try multiplies the evidence by, per alternative (last axis)."""
    odds = np.array(alternatives)
    p = chance[..., None]
    return np.asarray(np.where(failed[..., None], odds, 1.0) / (1.0 - p + odds * p))


def grown(
    group: Whole,
    at: Whole,
    chance: Numbers,
    failed: NDArray[np.bool_],
    most: Numbers,
    *,
    counts: NDArray[np.bool_],
    asked: Whole,
    alternatives: tuple[float, ...] = ALTERNATIVES,
) -> Grown:
    """The evidence at every try of each group, from the tries since the beginning of the half day (UTC) before.

    Rows are sorted by group, then time. Only the half days of the `asked` tries (places) are worked out; on others it
    is 0. A try that does not count leaves the evidence as it is. It never passes `most` (per try), so that it falls
    soon after the trouble is over; that can only make it smaller, so the bound on chance holds. The sum begins anew
    each half day with the first try of the one before, so it never rests on more than 24 h and does not depend on
    where the data begins.
    """
    n = len(at)
    total, begun = np.zeros(n), np.arange(n)
    if not n:
        return Grown(total, begun)
    day = at // SPAN_S
    day = day - day.min() + 1
    key = group * (int(day.max()) + 2) + day
    days = np.unique(key[asked])
    first, end = (np.searchsorted(key, days, side=side) for side in ("left", "right"))
    begin = np.searchsorted(key, days - 1, side="left")
    ratio = np.where(counts[:, None], ratios(chance, failed, alternatives), 1.0)
    for some in range(0, len(days), AT_ONCE):
        part = slice(some, some + AT_ONCE)
        _grow(ratio, most, begin[part], first[part], end[part], total, begun)
    return Grown(total, begun)


def _grow(ratio: Numbers, most: Numbers, begin: Whole, first: Whole, end: Whole, total: Numbers, begun: Whole) -> None:
    """Fill in the evidence of the tries [first, end) of some half days, summed from their `begin` on."""
    width = int((end - begin).max())
    place = begin + np.arange(width)[:, None]  # try of the half day x half day
    inside = place < end
    held = np.minimum(place, len(ratio) - 1)
    times = np.where(inside[:, :, None], ratio[held], 1.0)
    ceiling = most[held][:, :, None]
    shape = (len(begin), ratio.shape[1])
    sums, bests = np.empty((width, *shape)), np.empty((width, *shape))
    steps = np.empty((width, *shape), np.int32)
    now, best, since = np.zeros(shape), np.zeros(shape), np.zeros(shape, np.int32)
    for step in range(width):
        now += 1.0
        now *= times[step]
        np.minimum(now, ceiling[step], out=now)
        since[best <= 1.0] = step
        np.maximum(best, 1.0, out=best)
        best *= times[step]
        np.minimum(best, CEILING, out=best)
        sums[step], bests[step], steps[step] = now, best, since
    today = inside & (place >= first)
    near = bests[today] >= bests[today].max(axis=1, keepdims=True) / NEARLY
    strongest = near.shape[1] - 1 - near[:, ::-1].argmax(axis=1)
    each = place[today]
    total[each] = sums[today].mean(axis=1)
    begun[each] = np.broadcast_to(begin, place.shape)[today] + steps[today][np.arange(len(each)), strongest]
