"""Which pass of a repeated hour the rows of a file belong to, or that nothing says which.

A file is taken to be written in the order of time, forwards or backwards, and none of its rows later than the file was
last written. Its rows may be out of order by less than half of that hour, as those of several boxes are, or by twice
what its other rows are, where there are enough of them to show it. A row's pass is told
if it is the same in every way of giving the rows their passes that fits this. A feed that comes hourly says more: it is
the news up to the moment of writing, and a herd that comes all the time is not silent for a whole hour. Whatever
neither tells is in doubt, and no guess is made: a visit that is stored in the wrong pass is stored a second time by the
next file that tells it right.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

SKEW_S = 600
"""Clocks of the boxes and of whoever writes the file may differ by so much."""

ENOUGH = 10
"""So many rows show at what pace a herd comes, or how far a file is out of order."""

FAR = float("inf")


@dataclass(frozen=True, slots=True)
class Heard:
    """A local time of a file as the two moments (UTC seconds) it may be; the same twice if it came once."""

    first: int
    second: int

    @property
    def twice(self) -> bool:
        """Whether the local time came twice."""
        return self.first != self.second


@dataclass(frozen=True, slots=True)
class Written:
    """What is known of a file beside its rows: when it was last written (UTC seconds), and what its name says of that.

    `named` are the moments that its name may mean, empty if it means none. `hourly`: its feed is the news of the hour.
    """

    at: int
    named: tuple[int, ...] = ()
    hourly: bool = False


def passes(times: Sequence[Heard], written: Written) -> list[bool | None]:
    """For each time that came twice, in the file's order: whether it is of the second pass; None if nothing says so."""
    twice = [one for one in times if one.twice]
    if not twice:
        return []
    long = min(one.second - one.first for one in twice)
    may = _not_after(times, written.at)
    back = times[::-1]
    fitting = [_fitting(may, _slack(times, long)), _fitting(may[::-1], _slack(back, long))[::-1]]
    ordered = any(all(one) for one in fitting)
    if ordered:  # a direction that no giving of passes fits has empty places all over
        may = [tuple(sorted({*one, *other})) for one, other in zip(*fitting, strict=True)]
        if written.hourly:
            may = _without_silence(may, written, long / 4)
    return [
        None if len(one) != 1 else one[0] == heard.second for one, heard in zip(may, times, strict=True) if heard.twice
    ]


def _not_after(times: Sequence[Heard], at: int) -> list[tuple[int, ...]]:
    """The moments that each time may be, without those after the file was written if that can be gone by."""
    latest = at + SKEW_S
    credible = all(one.first <= latest for one in times)
    return [
        (one.first,) if not one.twice or (credible and one.second > latest) else (one.first, one.second)
        for one in times
    ]


def _slack(times: Sequence[Heard], long: int) -> float:
    """By how much a row may be out of order: less than half of what the clock was put back, and less where it shows."""
    known = [one.first for one in times if not one.twice]
    if len(known) < ENOUGH:
        return long / 2
    latest = accumulate(known, max)
    shown = max(before - moment for before, moment in zip(latest, known, strict=True))
    return min(long / 2, max(2 * shown, long / 12))


def _fitting(may: Sequence[tuple[int, ...]], slack: float) -> list[tuple[int, ...]]:
    """Of the moments that each row may be, those with which all rows fit: none `slack` or more before an earlier row.

    What may follow hangs only on the latest moment so far, and the earlier that is the more may follow: so one walk
    forth finds the earliest it can be after each row, and one walk back the latest it may be for the rest to fit.
    """
    latest = [-FAR]
    for one in may:
        fit = [moment for moment in one if moment > latest[-1] - slack]
        if not fit:
            return [()] * len(may)
        latest.append(max(latest[-1], min(fit)))
    room = [FAR]
    for one in reversed(may):
        room.append(max((min(room[-1], moment + slack - 1) for moment in one if moment <= room[-1]), default=-FAR))
    room.reverse()
    return [
        tuple(m for m in one if m > latest[i] - slack and max(m, latest[i]) <= room[i + 1]) for i, one in enumerate(may)
    ]


def _without_silence(may: Sequence[tuple[int, ...]], written: Written, longest: float) -> list[tuple[int, ...]]:
    """The same with the pass in which a busy herd was never silent until the file was written, if only one is so.

    One that fills a silence with rows out of their order is no likelier than the silence.
    """
    if all(len(one) == 1 for one in may):
        return list(may)
    if written.named and all(abs(written.at - one) > 2 * longest for one in written.named):
        return list(may)  # written, or copied, at another time than it says
    ways = [[one[0] for one in may], [one[-1] for one in may]]
    busy = [way for way in ways if _busy(way, may, written.at, longest)]
    if len(busy) != 1 or _disorder(busy[0]) > longest / 3:
        return list(may)
    return [(moment,) for moment in busy[0]]


def _disorder(way: Sequence[int]) -> float:
    """By how much rows are before an earlier one, at most, in the direction in which that is less; s."""
    return min(max(a - b for a, b in zip(accumulate(line, max), line, strict=True)) for line in (way, way[::-1]))


def _busy(way: Sequence[int], may: Sequence[tuple[int, ...]], until: int, longest: float) -> bool:
    """Whether from the first row in doubt on, up to a moment, rows came without a longer pause, and enough of them.

    Enough are `ENOUGH` that reach over three times the pause that is let pass. A row after that moment speaks against
    it: that clocks differ is no better a reason than that the herd was silent.
    """
    begin = min(moment for moment, one in zip(way, may, strict=True) if len(one) > 1)
    moments = sorted(moment for moment in way if moment >= begin)
    pauses = [b - a for a, b in zip(moments, [*moments[1:], until], strict=True)]
    enough = len(moments) >= ENOUGH and moments[-1] - begin >= 3 * longest
    return enough and pauses[-1] >= 0 and max(pauses) <= longest
