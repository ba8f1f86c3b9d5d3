"""Arm, optics, cow, herd or none of them: the suspects of a box, ranked by how well each explains what was seen.

Each suspect says what should be seen if it is at fault, and its weight is its share before any evidence times how much
better it explains the figures than "nothing is wrong" does (Bayes' rule, the signs taken as independent):

| suspect | failures | teat positions | attach times |
|---|---|---|---|
| arm | more at this box, until it was calibrated | shifted together on one axis | longer |
| optics | more at this box, until it was wiped | not shifted | longer |
| cow | those of few cows, at every box they go to | not shifted | as usual |
| herd | more at every box, or more still at one | not shifted | as usual |
| unknown | more at this box | not shifted | as usual |

Under each of them every other box may be at fault by itself: two boxes are not the herd, unless the boxes that are left
fail as well. And failures may have another cause at the same time, which explains no shift and no longer time. What is
not in the exports speaks neither way. Everything in this file that is a number is fixed and stands at its top.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.language import Later
from sentinel.flow.measures.base.chance import Numbers, Whole
from sentinel.flow.measures.boxes.box_context import Case, Sums
from sentinel.flow.measures.boxes.failures.failure_chance import UNIT
from sentinel.flow.measures.boxes.failures.suspect_words import LIKELY, Asked, Ranked, herd_ranked_of, ranked_of
from sentinel.flow.measures.boxes.peer_baseline import FEWEST, Seen, Shift, spread, surest, up_to
from sentinel.flow.measures.boxes.teat_positions import events

BEFORE = (0.27, 0.27, 0.15, 0.10, 0.21)
"""Shares before any evidence. Of 162 missed teats 54 % were for their position (halved here between arm and optics),
15 % for the cow and 21 % for the equipment (Mottram et al. 1995, J Dairy Sci 78:1873); the rest is the herd's."""

HELPS = 0.7
"""How often a calibration, or a wipe, helps if it was the arm, or the optics (assumption)."""

WOBBLE_MM, OUT_MM = 1.0, 10.0
"""Standard deviation of a shift that means nothing, and of one of an arm out of line (assumptions)."""

WOBBLE_TIME, SLOW_TIME = 0.08, 0.4
"""The same of the logarithm of the attach time; slow attaching is never fast (assumptions)."""

ELSEWHERE = 0.05
"""How likely each other box is to be at fault at the same time: two boxes are not the herd (assumption)."""

TOGETHER = 0.1
"""How likely a cow in trouble, or an upset herd, comes together with a box at fault (assumption): either then explains
failures that the box need not, but no shifted teats and no longer attach time."""

TROUBLED = 0.01
"""Share of cows that are in trouble at the moment, and then fail four times of five (Beta(4, 1); assumptions)."""


def suspects_of(case: Case, box: Whole, start: Whole, end: Whole) -> list[Later]:
    """The suspects (`Ranked`) of each box (a place in `case.who.boxes`) over the visits of [start, end]."""
    if not len(box):
        return []
    tries = case.by_box
    begin, until = tries.places(box, start - 1), tries.places(box, end)
    wiped = _first_after(case, "optics_cleaned", box, end, begin, until)
    calibrated = _first_after(case, "arm_calibrated", box, end, begin, until)
    shifts = _windows(case.teats.seen, box, start, _until_event(calibrated, until, tries.at, end))
    slows = _windows(case.times, box, start, end)
    each = _each_box(case, start, end)
    here, others = each[np.arange(len(box)), box], _at_fault(each)
    others = others.sum(axis=1) - others[np.arange(len(box)), box]
    cow, cows = _cow(case, tries, box, start, end)
    everywhere = _whole_herd(case, start, end)
    besides = math.log(TOGETHER) + np.logaddexp(cow + others, everywhere)
    moved = _mixed([_shifted(shift) for shift in shifts])
    slow = _mixed([_slowed(one) for one in slows])
    logs = np.stack(
        [
            _or(_eased(here, _more(tries.more, begin, calibrated), calibrated < until) + others, besides)
            + moved
            + slow,
            _or(_eased(here, _more(tries.more, begin, wiped), wiped < until) + others, besides) + slow,
            cow + others,
            everywhere,
            here + others,
        ],
        axis=1,
    ) + np.log(BEFORE)
    shift, slower = surest(shifts, LIKELY, False), surest(slows, LIKELY, True)
    elsewhere = _others(case, start, end, begin, until)
    asked = Asked(box, start, end, begin, until, shift, slower, elsewhere, wiped, case.several(end), cows)
    weights = _hundredths(_shares(logs))
    return [Later(partial(ranked_of, case, asked, n, weights[n])) for n in range(len(box))]


def herd_suspects_of(case: Case, start: Whole, end: Whole) -> list[Later]:
    """The same of all boxes together: the herd, a few cows, or (unknown) one box more than the others."""
    if not len(start):
        return []
    herd, tries = np.zeros(len(start), np.int64), case.by_box
    boxes = np.unique(case.tries.box[case.tries.box >= 0])
    window = [(tries.places(herd + box, start - 1), tries.places(herd + box, end)) for box in boxes]
    single = _each_box(case, start, end)[:, boxes]
    cow, cows = _cow(case, case.by_time, herd, start, end)
    logs = np.stack([cow, _whole_herd(case, start, end), _few(single)], axis=1)
    logs += np.log([BEFORE[2], BEFORE[3], BEFORE[0] + BEFORE[1] + BEFORE[4]])
    weights, worst = _hundredths(_shares(logs)), single.argmax(axis=1)
    lost = np.stack([_lost(tries, begin, until) for begin, until in window], axis=1)
    tried = np.stack([until - begin for begin, until in window], axis=1)

    def ranked(n: int) -> Ranked:
        box = int(worst[n])
        figures = (case.who.boxes[boxes[box]], int(lost[n, box]), int(tried[n, box]))
        return herd_ranked_of(cows[n], *figures, weights[n])

    return [Later(partial(ranked, n)) for n in range(len(start))]


def herd_share(case: Case, start: Whole, end: Whole) -> Numbers:
    """How well the herd explains the tries of [start, end], over one or two boxes by themselves; at most 1.

    What the boxes that are left say decides: if they attach as usual, it is not the herd.
    """
    if not len(start):
        return np.zeros(0)
    few = _few(_each_box(case, start, end)) + math.log((BEFORE[0] + BEFORE[1] + BEFORE[4]) / BEFORE[3])
    return np.asarray(np.exp(np.minimum(_whole_herd(case, start, end) - few, 0.0)))


def _whole_herd(case: Case, start: Whole, end: Whole) -> Numbers:
    """More failures at every box, as many times as often at all of them, or more often still at one."""
    each = _sums_of_boxes(case, start, end)
    total = each.sum(axis=1)
    mild, bad = np.triu_indices(each.shape[2], 1)
    pairs = (total[:, None, mild] - each[:, :, mild] + each[:, :, bad]).reshape(len(start), -1)
    beyond = _mean_of(pairs)
    return np.asarray(np.logaddexp(math.log(1 - ELSEWHERE) + _mean_of(total), math.log(ELSEWHERE) + beyond))


def _few(each: Numbers) -> Numbers:
    """That one box is at fault, the likeliest, and each of the others perhaps as well."""
    at_fault = _at_fault(each)
    return np.asarray((each + at_fault.sum(axis=1, keepdims=True) - at_fault).max(axis=1))


def _lost(tries: Sums, begin: Whole, until: Whole) -> Whole:
    return tries.failed[until] - tries.failed[begin]


def _shares(logs: Numbers) -> Numbers:
    """Weights that sum to 1 from logarithms of their proportions."""
    share = np.exp(logs - logs.max(axis=1, keepdims=True))
    return np.asarray(share / share.sum(axis=1, keepdims=True))


def _first_after(case: Case, event: str, box: Whole, end: Whole, begin: Whole, until: Whole) -> Whole:
    """The window's first try after the box's last such event in it; its end if there was none."""
    event_box, event_at = events(case.tables.box_log, event, case.who)
    if not len(event_at):
        return until
    place = up_to(event_box, event_at, box, end) - 1
    is_there = (place >= 0) & (event_box[place] == box)
    after = case.by_box.places(box, event_at[place])
    return np.where(is_there & (after > begin), np.minimum(after, until), until)


def _windows(seen: Seen, box: Whole, start: Whole, end: Whole) -> list[Shift]:
    """How the visits of [start, end] lie against the box's past before them: all, and only the last of them."""
    return seen.windows(box, seen.places(box, start - 1), seen.places(box, end), whole=True)


def _mixed(logs: Sequence[Numbers]) -> Numbers:
    """The evidence of a change that may be as old as any of the windows."""
    return _mean_of(np.stack(logs, axis=1))


def _until_event(after: Whole, until: Whole, at: Whole, end: Whole) -> Whole:
    """The end of each window, or its last try before the event after which [after, until) came."""
    return np.where(after < until, at[np.maximum(after - 1, 0)], end)


# --- how much better a suspect explains the figures than nothing being wrong does (logarithms) ---------------


def _more(sums: Whole, begin: Whole, until: Whole) -> Numbers:
    """Of more failures among the tries [begin, until): the mean over the alternatives, and over no more at all."""
    return _with_none((sums[until] - sums[begin]) / UNIT)


def _sums_of_boxes(case: Case, start: Whole, end: Whole) -> Numbers:
    """Windows x boxes (by name) x alternatives: of more failures among the tries of [start, end]."""
    tries, none = case.by_box, np.zeros(len(start), np.int64)
    sums = [
        tries.more[tries.places(none + box, end)] - tries.more[tries.places(none + box, start - 1)]
        for box in range(len(case.who.boxes))
    ]
    return np.stack(sums, axis=1) / UNIT


def _each_box(case: Case, start: Whole, end: Whole) -> Numbers:
    """Per window and box: of more failures there, as `_more` has it."""
    each = _sums_of_boxes(case, start, end)
    return np.stack([_with_none(each[:, box]) for box in range(each.shape[1])], axis=1)


def _with_none(logs: Numbers) -> Numbers:
    """The mean over the alternatives, and over no more at all."""
    return _mean_of(np.column_stack([logs, np.zeros(len(logs))]))


def _at_fault(each: Numbers) -> Numbers:
    """How much better it explains each box's tries that it may be at fault by itself than that it is not."""
    return np.asarray(np.logaddexp(math.log(1 - ELSEWHERE), math.log(ELSEWHERE) + each))


def _or(box: Numbers, besides: Numbers) -> Numbers:
    """The failures are the box's, or something else's that came at the same time."""
    return np.asarray(np.logaddexp(math.log(1 - 2 * TOGETHER) + box, besides))


def _mean_of(logs: Numbers) -> Numbers:
    """The logarithm of the mean of the numbers whose logarithms stand in each row."""
    most = logs.max(axis=1)
    return np.asarray(most + np.log(np.exp(logs - most[:, None]).mean(axis=1)))


def _eased(whole: Numbers, before: Numbers, helped: NDArray[np.bool_]) -> Numbers:
    """More failures until somebody saw to it and as usual since; or on to the end, if that did not help."""
    both = np.logaddexp(math.log(HELPS) + before, math.log(1 - HELPS) + whole)
    return np.where(helped, both, whole)


def _shifted(shift: Shift) -> Numbers:
    """A shift on one of the axes: the density of what was seen if the arm is out over that if it is not."""
    if not len(shift.mean):
        return np.zeros(0)
    usual = shift.error**2 + WOBBLE_MM**2
    out = usual + OUT_MM**2
    logs = 0.5 * (np.log(usual / out) + shift.mean**2 * (1 / usual - 1 / out))
    return np.where(shift.visits >= FEWEST, _mean_of(np.nan_to_num(logs)), 0.0)


def _slowed(slower: Shift) -> Numbers:
    """A longer attach time: the same, of a change that is never toward faster."""
    mean, error = slower.mean[:, 0], slower.error[:, 0]
    usual = error**2 + WOBBLE_TIME**2
    out = usual + SLOW_TIME**2
    above = np.nan_to_num(mean) / usual / np.sqrt(1 / usual + 1 / SLOW_TIME**2)
    side = np.array([max(math.erfc(-z / math.sqrt(2)), 1e-12) for z in above])
    logs = 0.5 * (np.log(usual / out) + mean**2 * (1 / usual - 1 / out)) + np.log(side)
    return np.where(slower.visits >= FEWEST, np.nan_to_num(logs), 0.0)


def _cow(
    case: Case, tries: Sums, group: Whole, start: Whole, end: Whole
) -> tuple[Numbers, list[tuple[str, int, int, int, int] | None]]:
    """Few cows in trouble wherever they go; and the one of each window that most looks so.

    Over the cows that failed in the window among the tries of the group (a box, or the herd): with the chance of 1 in
    100 she is in trouble, and then her tries at every box follow Beta(4, 1); else they follow her own chances.
    """
    hers = case.by_cow
    asked, place = spread(tries.places(group, start - 1), tries.places(group, end))
    lost = case.tries.failed[tries.row[place]]
    cow = case.tries.cow[tries.row[place[lost]]]
    keys, here = np.unique(asked[lost] * len(case.who.cows) + cow, return_counts=True)
    question, cow = np.divmod(keys, max(len(case.who.cows), 1))
    first, last = hers.places(cow, start[question] - 1), hers.places(cow, end[question])
    failed, tried = hers.failed[last] - hers.failed[first], last - first
    lgamma = np.array([0.0, *(math.lgamma(k) for k in range(1, int(tried.max(initial=0)) + 8))])
    trouble = lgamma[4 + failed] + lgamma[1 + tried - failed] - lgamma[5 + tried] + math.log(4.0)
    better = trouble - (hers.usual[last] - hers.usual[first]) / UNIT
    logs = np.zeros(len(group))
    np.add.at(logs, question, np.logaddexp(math.log(1 - TROUBLED), math.log(TROUBLED) + better))
    worst: list[tuple[str, int, int, int, int] | None] = [None] * len(group)
    there = np.bincount(
        asked * len(case.who.cows) + case.tries.cow[tries.row[place]], minlength=int(keys.max(initial=-1)) + 1
    )
    away = tried - there[keys]
    order = np.lexsort((better, question))
    for n in order[np.append(question[order][1:] != question[order][:-1], True)[: len(order)]].tolist():
        name = str(case.who.cows[cow[n]])
        worst[question[n]] = name, int(failed[n]), int(tried[n]), int(failed[n] - here[n]), int(away[n])
    return logs, worst


def _others(case: Case, start: Whole, end: Whole, begin: Whole, until: Whole) -> tuple[Whole, Whole, Numbers]:
    """What failed at the other boxes in each window, of how many tries, and how much was to be expected."""
    herd, here, none = case.by_time, case.by_box, np.zeros(len(start), np.int64)
    first, last = herd.places(none, start - 1), herd.places(none, end)
    failed = herd.failed[last] - herd.failed[first] - (here.failed[until] - here.failed[begin])
    own = herd.own[last] - herd.own[first] - (here.own[until] - here.own[begin])
    return failed, last - first - (until - begin), own / UNIT


def _hundredths(share: Numbers) -> list[list[float]]:
    """Weights in whole hundredths that sum to 1: what rounding leaves over goes to the heaviest."""
    hundredths = np.rint(share * 100).astype(np.int64)
    hundredths[np.arange(len(share)), share.argmax(axis=1)] += 100 - hundredths.sum(axis=1)
    shares: list[list[float]] = (hundredths / 100).tolist()
    return shares
