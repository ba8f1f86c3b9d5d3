"""One figure now, what is usual, what was before, and whether it is better or worse."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Verdict = Literal["", "better", "worse", "as-usual"]

FEWEST_DAYS = 5
"""With fewer days to compare with nothing is said to be better or worse (our choice, no source)."""

PAST_ALL_BUT = 1
"""Better or worse is what lies past all of the days compared with but so many (our choice, no source)."""


@dataclass(frozen=True, slots=True)
class Compared:
    """A figure `now`, the mean of the days before it (`usual`), of those before them, and of a year before.

    None: not known. `verdict` is empty where it cannot be said, or where neither more nor less is better.
    """

    now: float | None
    usual: float | None
    before: float | None
    year_before: float | None
    verdict: Verdict = ""


def compared(
    now: float | None,
    days: Sequence[float | None],
    before: Sequence[float | None],
    year_before: float | None,
    more_is_better: bool | None,
) -> Compared:
    """A figure against those of single days; `more_is_better` is None where neither is.

    >>> compared(2.9, [2.4, 2.6, 2.5, 2.7, 2.8], [2.4], None, True).verdict
    'better'
    >>> compared(2.7, [2.4, 2.6, 2.5, 2.9, 2.8], [], None, True)
    Compared(now=2.7, usual=2.64, before=None, year_before=None, verdict='as-usual')
    """
    return Compared(now, mean(days), mean(before), year_before, _verdict(now, days, more_is_better))


def mean(values: Sequence[float | None]) -> float | None:
    """The mean of those that are known; None if none is."""
    known = [value for value in values if value is not None]
    return round(sum(known) / len(known), 9) if known else None


def _verdict(now: float | None, days: Sequence[float | None], more_is_better: bool | None) -> Verdict:
    known = [value for value in days if value is not None]
    if now is None or more_is_better is None or len(known) < FEWEST_DAYS:
        return ""
    sign = 1 if more_is_better else -1
    if sum(sign * now <= sign * value for value in known) <= PAST_ALL_BUT and sign * now > sign * sum(known) / len(
        known
    ):
        return "better"
    if sum(sign * now >= sign * value for value in known) <= PAST_ALL_BUT and sign * now < sign * sum(known) / len(
        known
    ):
        return "worse"
    return "as-usual"
