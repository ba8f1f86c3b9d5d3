"""What a box sees on its cows, compared with what the other boxes see on the same cows and with its own past.

Used for teat positions (mm) and for attach times (logarithm): per visit a deviation from the cow's own mean at the
other boxes, and per window the mean deviation less that of the box's past. Figures are kept as whole numbers in
2^-10 of their unit, so that sums are exact and do not depend on where the data begins.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from sentinel.flow.measures.base.chance import Numbers, Whole
from sentinel.flow.measures.base.medians import median_known
from sentinel.flow.measures.boxes.unlogged_moves import BLOCK_S, unlogged_moves
from sentinel.flow.model import DAY_S, HOUR_S

COW_DAYS = 12
"""A cow's mean elsewhere is over the 12 whole days (UTC) before that of the visit."""

COW_FEWEST = 5
STRETCHES = 8
"""How many stretches between resets are looked back on, and how many visits one must have to count."""

STRETCH_FEWEST = 12
STEP_WORTH = 2.0
"""The assumed step at a reset counts like two seen ones."""

PAST_S = 7 * DAY_S
WINDOW_S = 12 * HOUR_S
WINDOWS = (12, 24, 48, 96)
"""A window is the last 12, 24, 48 or 96 visits, none 12 h old: a large change is seen soon, a small one later."""

FEWEST = 5
UNIT = 1024
LONG_AGO = -(2**40)


@dataclass(frozen=True, slots=True)
class Named:
    """Per visit its cow and its box as places in the sorted names; -1 where no box is named."""

    cow: Whole
    cows: NDArray[np.object_]
    box: Whole
    boxes: NDArray[np.object_]


def named(visits: pd.DataFrame) -> Named:
    """The cows and boxes of the visits, in the frame's order."""
    cow, cows = pd.factorize(visits["cow"].to_numpy(object), sort=True)
    box, boxes = pd.factorize(visits["box"].to_numpy(object), sort=True)
    return Named(cow.astype(np.int64), np.asarray(cows, object), box.astype(np.int64), np.asarray(boxes, object))


def deviations(value: Numbers, cow: Whole, box: Whole, at: Whole) -> Numbers:
    """Per visit and figure how far it is from the cow's own mean at the other boxes; NaN where that is not known.

    `value` is visits x figures. Where only one box gave figures in those days, her mean there is taken. A visit
    that names no box (-1) has no deviation. At least 5 of her earlier visits must have the figure.
    """
    known = np.flatnonzero(box >= 0)
    out = np.full(value.shape, np.nan)
    if not len(known):
        return out
    value, cow, box, day = value[known], cow[known], box[known], at[known] // DAY_S
    day = day - day.min() + COW_DAYS
    has = ~np.isnan(value)
    any_has = np.asarray(has.any(axis=1))
    counts = has if (has.any(axis=1) != has.all(axis=1)).any() else any_has[:, None]  # mostly all figures or none
    figures = np.hstack([np.rint(np.where(has, value, 0.0) * UNIT).astype(np.int64), counts.astype(np.int64)])
    several = _boxes_at_work(box, day, any_has)[day] > 1
    total = _before(cow, day, figures)
    sums_of_cow_at_box = _before(cow * (int(box.max()) + 1) + box, day, figures)
    total -= np.where(several[:, None], sums_of_cow_at_box, 0)
    sums, numbers = total[:, : value.shape[1]], total[:, value.shape[1] :]
    mean = sums / np.maximum(numbers, 1) / UNIT
    out[known] = np.where(numbers >= COW_FEWEST, value - mean, np.nan)
    return out


def _before(group: Whole, day: Whole, figures: Whole) -> Whole:
    """Per row the sums over the rows of its group in the 12 days before its day."""
    width = int(day.max()) + 1
    key = group * width + day
    order = np.argsort(key, kind="stable")
    ordered = key[order]
    upto = np.zeros((len(key) + 1, figures.shape[1]), np.int64)
    np.cumsum(figures[order], axis=0, out=upto[1:])
    new = np.append(True, ordered[1:] != ordered[:-1])  # the rows of one group and day have one answer
    first = np.flatnonzero(new)
    sums = upto[first] - upto[np.searchsorted(ordered, ordered[first] - COW_DAYS)]
    place = np.empty(len(key), np.int64)
    place[order] = np.cumsum(new) - 1
    return np.asarray(sums[place])


def _boxes_at_work(box: Whole, day: Whole, has: NDArray[np.bool_]) -> Whole:
    """Per day how many boxes gave a figure in the 12 days before it."""
    boxes, days = int(box.max()) + 1, int(day.max()) + 1
    given = np.zeros((boxes, days + 1), np.int64)
    given[:, 1:] = np.bincount(box[has] * days + day[has], minlength=boxes * days).reshape(boxes, days)
    upto, each = np.cumsum(given, axis=1), np.arange(days)
    return np.asarray((upto[:, each] > upto[:, np.maximum(each - COW_DAYS, 0)]).sum(axis=0))


@dataclass(frozen=True, slots=True)
class Shift:
    """Per question and figure how far the window lies from the past, and the standard error.

    `past` is the past's mean; the window are `visits` visits from the place `first` on.
    """

    mean: Numbers
    error: Numbers
    past: Numbers
    visits: Whole
    first: Whole

    def surely(self, times: float, rising: bool = False) -> Numbers:
        """How far it is off (`rising`: upward) at the least, less some standard errors; 0 if it may be nothing."""
        off = self.mean if rising else np.abs(self.mean)
        return np.nan_to_num(np.maximum(off - times * self.error, 0.0))


@dataclass(frozen=True, slots=True)
class Seen:
    """The deviations that boxes saw, by box, then time (then cow), ready to be asked for any window.

    `spread` is the usual standard deviation of one visit and `frame` that between boxes (both assumptions that count
    little once the farm's own figures are there). `sums` and `squares` are running sums. A reset (box, moment) begins a
    new past; `before` and `step` say where the box stood before it and the variance of where it may stand after it,
    in their last row where the other boxes stand.
    """

    box: Whole
    at: Whole
    cow: Whole
    value: Numbers
    spread: float
    frame: float
    sums: Whole
    squares: Whole
    reset_box: Whole
    reset_at: Whole
    before: Numbers
    step: Numbers
    first_block: int
    moves: Numbers

    def places(self, box: Whole, at: Whole) -> Whole:
        """How many visits stand up to each (box, moment) with those of earlier boxes."""
        return up_to(self.box, self.at, box, at)

    def last_reset(self, box: Whole, at: Whole) -> tuple[Whole, Whole]:
        """The box's last reset up to each moment: its place, -1 if there was none, and its moment, long ago if none."""
        place = up_to(self.reset_box, self.reset_at, box, at) - 1
        if not len(self.reset_at):
            return np.full(len(at), -1), np.full(len(at), LONG_AGO)
        was_reset = (place >= 0) & (self.reset_box[place] == box)
        return np.where(was_reset, place, -1), np.where(was_reset, self.reset_at[place], LONG_AGO)

    def unlogged(self, at: Whole) -> Numbers:
        """The variance of what boxes move by, without a reset in the log, before each moment."""
        return self.moves[np.clip(at // BLOCK_S - self.first_block, 0, len(self.moves) - 1)]

    def shift(self, box: Whole, start: Whole, first: Whole, end: Whole) -> Shift:
        """How the visits [first, end) (places) lie against the box's past before them.

        The past is the 7 days before `start` (moments), from the box's last reset on; with few visits it is drawn
        toward where the box stood before that reset, by how much resets usually move it, or, with no reset in the 7
        days, toward the other boxes, by how much boxes usually differ. One visit's variance is that of the box's own
        7 days, whatever was reset in them, and of the window; and what boxes move by with no reset in the log counts
        as error (`unlogged_moves`).
        """
        last = np.where(end > first, self.at[np.maximum(end - 1, 0)], start) if len(self.at) else start
        reset, reset_at = self.last_reset(box, last)
        since = np.maximum(start - PAST_S, reset_at)
        week = np.minimum(self.places(box, start - PAST_S), first)
        old = np.minimum(self.places(box, since), first)
        n, m = end - first, first - old
        size, number, of_week = np.maximum(n, 1)[:, None], m[:, None], (first - week)[:, None]
        past_sum = (self.sums[first] - self.sums[old]) / UNIT
        week_sum, week_square = ((x[first] - x[week]) / UNIT for x in (self.sums, self.squares))
        now_sum, now_square = ((x[end] - x[first]) / UNIT for x in (self.sums, self.squares))
        now = now_sum / size
        scatter = np.maximum(week_square - week_sum * week_sum / np.maximum(of_week, 1), 0.0)
        scatter += np.maximum(now_square - now_sum * now, 0.0)
        variance = (scatter + 30.0 * self.spread**2) / (of_week + n[:, None] + 30.0)
        reset = np.where(reset_at > start - PAST_S, reset, -1)
        stood, worth = self.before[reset], variance / self.step[reset]
        past = (past_sum + worth * stood) / (number + worth)
        error = np.sqrt(variance / size + variance / (number + worth) + self.unlogged(start)[:, None])
        return Shift(np.where(n[:, None] > 0, now - past, np.nan), error, past, n, first)

    def middle_shift(self, shift: Shift, question: Whole, figure: Whole) -> Numbers:
        """The same, of some questions, with the median of the window's visits in place of their mean.

        A mean holds each visit back; windows without a visit have no place among the questions.
        """
        size = shift.visits[question]
        number, place = spread(shift.first[question], shift.first[question] + size)
        value = self.value[place, figure[number]]
        value = value[np.lexsort((value, number))]
        begin = np.cumsum(size) - size
        middle = (value[begin + (size - 1) // 2] + value[begin + size // 2]) / 2.0
        return np.asarray(middle - shift.past[question, figure])

    def _when(self, end: Whole, otherwise: Whole) -> Whole:
        """The moment of the last visit of each window."""
        return np.where(end > 0, self.at[np.maximum(end - 1, 0)], otherwise) if len(self.at) else otherwise

    def latest(self, box: Whole, at: Whole, times: float, rising: bool = False) -> Shift:
        """Per (box, moment) the window of 12 to 96 visits up to it that is most surely off (`rising`: upward)."""
        oldest = self.places(box, np.maximum(at - WINDOW_S, self.last_reset(box, at)[1]))
        return surest(self.windows(box, oldest, self.places(box, at)), times, rising)

    def windows(self, box: Whole, oldest: Whole, end: Whole, whole: bool = False) -> list[Shift]:
        """The last 12, 24, 48 and 96 visits (`whole`: and all) of [oldest, end) (places), each against the past."""
        shifts = []
        for size in (*WINDOWS, *((len(self.at),) if whole else ())):
            first = np.maximum(end - size, oldest)
            start = self.at[np.minimum(first, len(self.at) - 1)] - 1 if len(self.at) else first
            shifts.append(self.shift(box, start, first, end))
        return shifts


def surest(shifts: Sequence[Shift], times: float, rising: bool) -> Shift:
    """Per question, the one of several windows that is most certainly off, counted in standard errors."""
    best = np.stack([one.surely(times, rising).max(axis=1, initial=0.0) for one in shifts]).argmax(axis=0)
    each = np.arange(len(best))
    return Shift(*(np.stack([getattr(one, f.name) for one in shifts])[best, each] for f in fields(Shift)))


def seen(
    value: Numbers,
    cow: Whole,
    box: Whole,
    at: Whole,
    *,
    spread: float,
    frame: float,
    most: float,
    resets: tuple[Whole, Whole],
    wanders: bool = False,
) -> tuple[Seen, Whole]:
    """The deviations of visits (visits x figures), those without any left out, ready to be asked; and their rows."""
    has = np.flatnonzero(~np.isnan(value).any(axis=1) & (box >= 0))
    order = has[np.lexsort((cow[has], at[has], box[has]))]
    figures = value[order]
    whole = np.rint(np.clip(figures, -most, most) * UNIT).astype(np.int64)
    sums, squares = (
        np.vstack([np.zeros((1, value.shape[1]), np.int64), np.cumsum(x, axis=0)])
        for x in (whole, (whole * whole) // UNIT)
    )
    stood = _steps(box[order], at[order], sums, resets, spread, frame)
    moves = unlogged_moves(box[order], at[order], sums / UNIT, squares / UNIT, resets) if wanders else (0, np.zeros(1))
    return Seen(
        box[order], at[order], cow[order], figures, spread, frame, sums, squares, *resets, *stood, *moves
    ), order


def _steps(
    box: Whole, at: Whole, sums: Whole, resets: tuple[Whole, Whole], spread: float, frame: float
) -> tuple[Numbers, Numbers]:
    """Per reset where the box stood in the 7 days before it, and the variance of where it may stand after it.

    A last row is of a box without a reset.

    Where it stood is the median of its means between the resets of those days (at most 8 stretches of at least 12
    visits), so a stretch out of line does not move it; how much a reset moves it is their spread about it, by the
    median too, drawn toward the assumed `frame`. With no such stretch: as the other boxes, within `frame`.
    """
    reset_box, reset_at = resets
    n = len(reset_at)
    means = np.full((n, STRETCHES, sums.shape[1]), np.nan)
    noise = np.full((n, STRETCHES), np.nan)
    for back in range(STRETCHES if n else 0):
        ends, begins = np.maximum(np.arange(n) - back, 0), np.maximum(np.arange(n) - back - 1, 0)
        own = (np.arange(n) - back >= 0) & (reset_box[ends] == reset_box)
        earlier = (np.arange(n) - back - 1 >= 0) & (reset_box[begins] == reset_box)
        begin = np.maximum(np.where(earlier, reset_at[begins], LONG_AGO), reset_at - PAST_S)
        first, end = up_to(box, at, reset_box, begin), up_to(box, at, reset_box, reset_at[ends])
        size = np.where(own & (reset_at[ends] > begin), end - first, 0)
        enough = size >= STRETCH_FEWEST
        mean = (sums[np.maximum(end, first)] - sums[first]) / UNIT / np.maximum(size, 1)[:, None]
        means[:, back] = np.where(enough[:, None], mean, np.nan)
        noise[:, back] = np.where(enough, spread**2 / np.maximum(size, 1), np.nan)
    count = np.count_nonzero(~np.isnan(noise), axis=1)[:, None]
    none = count == 0
    stood = np.where(none, 0.0, _over_stretches(means))
    about = np.square(1.4826 * _over_stretches(np.abs(means - stood[:, None])))
    seen = np.maximum(about - median_known(noise)[0][:, None], 0.0)
    free = np.maximum(count - 1, 0)
    step = (STEP_WORTH * frame**2 + np.where(free > 0, free * seen, 0.0)) / (STEP_WORTH + free)
    moves = np.where(none, frame**2, step * (1.0 + 1.57 / np.maximum(count, 1)))
    other = np.zeros((1, sums.shape[1]))
    return np.vstack([stood, other]), np.vstack([moves, other + frame**2])


def _over_stretches(values: Numbers) -> Numbers:
    """The median over the second axis."""
    return median_known(np.moveaxis(values, 1, -1))[0]


def up_to(code: Whole, at: Whole, asked: Whole, moment: Whole) -> Whole:
    """How many of the rows (by code, then time) stand up to each (code, moment)."""
    if not len(at):
        return np.zeros(len(asked), np.int64)
    low, high = int(at.min()), int(at.max())
    width = high - low + 2
    return np.searchsorted(
        code * width + (at - low + 1), asked * width + (np.clip(moment, low - 1, high) - low + 1), side="right"
    )


def spread(begin: Whole, until: Whole) -> tuple[Whole, Whole]:
    """Every place of the stretches [begin, until), and the number of its stretch.

    >>> [x.tolist() for x in spread(np.array([0, 5]), np.array([2, 6]))]
    [[0, 0, 1], [0, 1, 5]]
    """
    size = until - begin
    number = np.repeat(np.arange(len(begin)), size)
    within = np.arange(int(size.sum())) - np.repeat(np.cumsum(size) - size, size)
    return number, np.repeat(begin, size) + within
