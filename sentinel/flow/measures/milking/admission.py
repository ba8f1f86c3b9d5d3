"""Why a box let a cow go unmilked: whether she had been milked a short time before."""

from __future__ import annotations

import numpy as np

from sentinel.flow.measures.milking.yield_share import LONGEST_S

SHORT_SHARE = 0.1
"""Of her intervals so many are as short as this or shorter: a single odd one tells nothing (our choice, no source)."""

FEWEST_INTERVALS = 5
"""With fewer intervals nothing is told (our choice, no source)."""


def least_interval_s(milked: np.ndarray) -> int | None:
    """A cow's usual minimum interval between whole milkings, in s; None with fewer than 5 intervals.

    Nine in ten of her intervals of at most 24 h are longer. `milked`: when she was milked, in order (UTC seconds). Our
    choice, no source: an export says that she was let go, and not what she is allowed at which hour.
    """
    apart = np.diff(milked)
    intervals = apart[(apart > 0) & (apart <= LONGEST_S)]
    return int(np.quantile(intervals, SHORT_SHARE)) if len(intervals) >= FEWEST_INTERVALS else None


def let_go(refused: np.ndarray, milked: np.ndarray) -> list[str]:
    """What each refusal of a cow is called: `not_due` or `not_admitted`.

    One sooner after her last whole milking than her usual minimum interval is `not_due`. One past it, or where her
    usual is not known, is `not_admitted`: the export does not say why. Both arrays are moments in order (UTC seconds).

    >>> day = np.arange(0, 60, 8) * 3600
    >>> let_go(np.array([3, 9, 15.9, 70]) * 3600, day)
    ['not_due', 'not_due', 'not_due', 'not_admitted']
    """
    least = least_interval_s(milked)
    if least is None:
        return ["not_admitted"] * len(refused)
    place = np.searchsorted(milked, refused, side="right") - 1
    since = refused - milked[np.maximum(place, 0)]
    return [
        "not_due" if one >= 0 and after < least else "not_admitted" for one, after in zip(place, since, strict=True)
    ]
