"""A share that was counted, and how sure it is: Wilson's interval."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

SURE = 0.95
"""How sure an interval is (the usual level, our choice)."""


@dataclass(frozen=True, slots=True)
class Share:
    """So many of so many."""

    part: int
    whole: int

    @property
    def value(self) -> float:
        """The share itself; NaN of nothing."""
        return self.part / self.whole if self.whole else math.nan

    @property
    def interval(self) -> tuple[float, float]:
        """Between what the share may be that stands behind what was counted; of nothing it may be anything.

        Wilson's score interval (E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209-212; the formula is from memory, and
        the tests hold it to SciPy's).

        >>> [round(end, 3) for end in Share(0, 16).interval], [round(end, 3) for end in Share(8, 10).interval]
        ([0.0, 0.194], [0.49, 0.943])
        """
        if not self.whole:
            return 0.0, 1.0
        z = NormalDist().inv_cdf(0.5 + SURE / 2)
        n, p = self.whole, self.part / self.whole
        middle = (p + z * z / (2 * n)) / (1 + z * z / n)
        apart = z / (1 + z * z / n) * math.sqrt(p * (1 - p) / n + z * z / (4 * n * n))
        return max(0.0, middle - apart), min(1.0, middle + apart)


def answers_wanted(at_most: float) -> int:
    """Of so many, none of which was, a share is surely at most that: its interval ends there.

    >>> answers_wanted(0.2), Share(0, 15).interval[1] > 0.2 > Share(0, 16).interval[1]
    (16, True)
    """
    wanted = 1
    while Share(0, wanted).interval[1] > at_most:
        wanted += 1
    return wanted
