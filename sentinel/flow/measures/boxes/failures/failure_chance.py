"""Every try to attach with its chance to fail: the cow's own history without what is judged, shrunk to the herd.

Sums are of whole numbers (chances in 2^-20) over whole days in UTC, so that a chance is the same to the last bit
wherever the data begins.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from sentinel.flow.measures.base.chance import Numbers, Whole, herd_prior, shrunk
from sentinel.flow.measures.boxes.peer_baseline import Named
from sentinel.flow.measures.milking.outcomes import milkings
from sentinel.flow.measures.milking.yield_share import silent
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import NOT_WHOLE

USUAL_FAILED = 5.5 / 146.45
USUAL_TRIES_A_DAY = 146.45
"""5.5 failed of 146.45 milkings per box and day: survey of 635 farms, Tremblay et al. 2016, J Dairy Sci 99:3824
(citation from memory, figures from a summary). Used only as far as the farm's own record is short."""

USUAL_WORTH = 100.0
"""So many tries the survey's figure is worth beside the herd's own record (assumption)."""

HISTORY_DAYS = 24
"""A cow's history is the 24 whole days (UTC) before yesterday: what is judged is never older than yesterday."""

RETRY_S = 12 * HOUR_S
"""A try within 12 h of a failure is a try again: it fails more often than her others (common practice, no source)."""

RETRY_FAILED, RETRY_WORTH = 0.25, 10.0
"""Share of tries again that fail, until ten or more were seen in the herd (assumption)."""

BOX_USUAL_MOST, BOX_WORTH = 1.5, 20.0
"""A box may usually fail up to 1.5 times as often as its cows' chances say, or as seldom; more is never usual."""

OTHERS_S = 6 * HOUR_S
HERD_TIMES = (1.0, 2.0, 4.0)
HERD_BEFORE = (0.8, 0.13, 0.07)
"""At most moments a herd attaches as usual; at some it fails 2 or 4 times as often (assumption). What the other boxes
did in the 6 h before a try says how likely that is just then."""

UNIT = 2**20
LEAST, MOST = 0.002, 0.9

MONTH_DAYS = 365.25 / 12


@dataclass(frozen=True, slots=True)
class Tries:
    """Every visit at which cups were to be attached (`milked`, `incomplete`, `failed`), by time, then cow.

    `cow` and `box` are places in the names of `who` (-1: no box named). `own` is the cow's chance to fail, in 2^-20,
    with what is usual at the box; `now` the same with what the other boxes did in the last hours. `month` is how
    many tries the box has in a month, `herd_month` how many all boxes have.
    """

    who: Named
    at: Whole
    cow: Whole
    box: Whole
    failed: NDArray[np.bool_]
    own: Whole
    now: Whole
    month: Numbers
    herd_month: Numbers

    def __len__(self) -> int:
        return len(self.at)


def tries_of(visits: pd.DataFrame, who: Named) -> Tries:
    """The tries among the visits, with their chances; a refused visit or an unknown outcome is no try.

    Where the export does not say how a visit ended, one without any milk failed; where it says only that it was not
    whole, one with too little of it (`outcomes`).
    """
    outcome, milked = visits["outcome"], milkings(visits)
    failed = np.asarray(outcome.to_numpy(object) == "failed", dtype=bool)
    failed |= (outcome == NOT_WHOLE).to_numpy(bool) & ~milked
    failed |= silent(visits) & (visits["milk_kg"].to_numpy(float) == 0)
    row = np.flatnonzero(failed | milked)
    cow, box = who.cow[row], who.box[row]
    at = visits["start"].to_numpy(np.int64)[row]
    order = np.lexsort((cow, at))
    at, cow, box, failed = at[order], cow[order], box[order], failed[row][order]
    own, month, herd_month = _chances(at, cow, box, failed, len(who.cows), len(who.boxes))
    now = _with_others(at, box, failed, own, len(who.boxes))
    return Tries(who, at, cow, box, failed, own, now, month, herd_month)


def _chances(
    at: Whole, cow: Whole, box: Whole, failed: NDArray[np.bool_], n_cows: int, n_boxes: int
) -> tuple[Whole, Numbers, Numbers]:
    """Per try its chance (in 2^-20) from the days before yesterday, and the tries in a month of its box and of all."""
    if not len(at):
        return np.zeros(0, np.int64), np.zeros(0), np.zeros(0)
    day = at // DAY_S
    day = day - day.min()
    days = int(day.max()) + 1
    again = times_failed_before(at, cow, failed)
    first = again == 0

    def history(keep: NDArray[np.bool_], who: Whole, size: int) -> Whole:
        """Per day how many of these tries each had in the history of that day."""
        counts = np.bincount(who[keep] * days + day[keep], minlength=size * days)
        return _before(counts.reshape(size, days))

    none = np.zeros(len(at), np.int64)
    cow_tried, cow_failed = history(first, cow, n_cows), history(first & failed, cow, n_cows)
    mean, worth = herd_prior(cow_failed, cow_tried, USUAL_FAILED, USUAL_WORTH)
    hers = shrunk(cow_failed, cow_tried, mean, worth)
    once, twice = (again == n for n in (1, 2))
    share = np.full(days, RETRY_FAILED)
    retry = [np.zeros(days)]
    for level in (once, twice):
        lost, tried = history(level & failed, none, 1)[0], history(level, none, 1)[0]
        share = shrunk(lost, tried, share, RETRY_WORTH)
        retry.append(share)
    chance = np.maximum(hers[cow, day], np.stack(retry)[again, day])
    usual = np.ones((n_boxes + 1, days))
    month = np.full((n_boxes + 1, days), np.nan)
    whole = np.rint(hers * UNIT).astype(np.int64)
    for one in range(n_boxes):
        here = box == one
        expected = (history(first & here, cow, n_cows) * whole).sum(axis=0) / UNIT
        lost = history(first & here & failed, none, 1)[0]
        usual[one] = np.clip((lost + BOX_WORTH) / (expected + BOX_WORTH), 1 / BOX_USUAL_MOST, BOX_USUAL_MOST)
        month[one] = _month(np.bincount(day[here], minlength=days))
    herd_month = month[:n_boxes].sum(axis=0) if n_boxes else np.full(days, np.nan)
    return _odds_times(chance, usual[box, day]), month[box, day], herd_month[day]


def times_failed_before(at: Whole, cow: Whole, failed: NDArray[np.bool_]) -> Whole:
    """Per try how often in a row, each within 12 h, the cow had failed just before it: 0, 1, or 2 for more."""
    order = np.lexsort((at, cow))
    goes_on = np.zeros(len(at), np.int64)
    near = (cow[order][1:] == cow[order][:-1]) & (at[order][1:] - at[order][:-1] < RETRY_S)
    goes_on[1:] = near & failed[order][:-1]
    goes_on[1:] += goes_on[1:] & goes_on[:-1] if len(at) else 0
    again = np.empty(len(at), np.int64)
    again[order] = goes_on
    return again


def _before(counts: Whole) -> Whole:
    """Per day (last axis) the sum over the history of that day: 24 days, the last of them two days earlier."""
    days = counts.shape[-1]
    upto = np.zeros((*counts.shape[:-1], days + 1), np.int64)
    np.cumsum(counts, axis=-1, out=upto[..., 1:])
    end = np.maximum(np.arange(days) - 1, 0)
    return upto[..., end] - upto[..., np.maximum(end - HISTORY_DAYS, 0)]


def _month(counts: Whole) -> Numbers:
    """Per day the tries a box has in a month, from the days of its history on which it had any."""
    tried, at_work = _before(counts), _before((counts > 0).astype(np.int64))
    return np.asarray(MONTH_DAYS * (tried + USUAL_TRIES_A_DAY) / (at_work + 1.0))


def _odds_times(chance: Numbers, factor: Numbers) -> Whole:
    """A chance with its odds multiplied, in 2^-20."""
    raised = np.clip(chance, LEAST, MOST)
    odds = raised / (1.0 - raised) * factor
    return np.rint(np.clip(odds / (1.0 + odds), LEAST, MOST) * UNIT).astype(np.int64)


def _with_others(at: Whole, box: Whole, failed: NDArray[np.bool_], own: Whole, n_boxes: int) -> Whole:
    """The chances with what happened at the other boxes in the 6 h before: more failures there, more expected here.

    The factor on the odds is the mean of how many times as often the herd may fail, each weighted by how well it
    explains what failed elsewhere (Poisson) and by how rare it is.
    """
    factor = np.ones(len(at))
    begin, end = np.searchsorted(at, at - OTHERS_S, side="right"), np.searchsorted(at, at, side="left")
    lost_here, own_here = failed.astype(np.int64), own
    every = [np.append(0, np.cumsum(np.where(box >= 0, x, 0))) for x in (lost_here, own_here)]
    times = np.array(HERD_TIMES)
    for one in range(n_boxes):
        here = np.flatnonzero(box == one)
        sums_of_box = [np.append(0, np.cumsum(np.where(box == one, x, 0))) for x in (lost_here, own_here)]
        lost, expected = (
            (all_[end[here]] - all_[begin[here]]) - (its[end[here]] - its[begin[here]])
            for all_, its in zip(every, sums_of_box, strict=True)
        )
        logs = lost[:, None] * np.log(times) - (expected / UNIT)[:, None] * (times - 1.0) + np.log(HERD_BEFORE)
        weight = np.exp(logs - logs.max(axis=1, keepdims=True))
        factor[here] = (weight * times).sum(axis=1) / weight.sum(axis=1)
    return _odds_times(own / UNIT, factor)
