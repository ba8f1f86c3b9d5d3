"""The suspects of a box in words: each with the figures that speak for or against it, and one sentence of the first."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.measures.box_case import Case
from sentinel.flow.measures.chance import Numbers, Whole
from sentinel.flow.measures.elsewhere import FEWEST, Shift

NAMES = ("arm", "optics", "cow", "herd", "unknown")

LIKELY, LEAST_MM, LEAST_PCT = 1.5, 2.0, 5.0
"""A shift of less than so many standard errors, or so many mm or %, is not spoken of."""

USUAL = "nothing points to the arm, the optics, a single cow or the whole herd"
NO_TIMES = "with no attach times of this box its optics cannot be judged"
ONE_BOX = "with one box the herd cannot be told from the box"


@dataclass(frozen=True, slots=True)
class Ranked:
    """The suspects of one box and window, as plain values with the likeliest first; what to say of it and its name."""

    suspects: list[dict[str, Any]]
    sentence: str
    likeliest: str


@dataclass(frozen=True, slots=True)
class Asked:
    """The questions (a box and a window [start, end] each) with the figures that speak for or against a suspect."""

    box: Whole
    start: Whole
    end: Whole
    begin: Whole  # of the window's tries among those by box
    until: Whole
    shift: Shift
    slower: Shift
    others: tuple[Whole, Whole, Numbers]  # failed, tried, expected
    wiped: Whole  # of the tries by box: the first after the box was wiped last
    several: NDArray[np.bool_]
    cows: list[tuple[str, int, int, int, int] | None]  # failed, tried, and both at other boxes


def ranked_of(case: Case, asked: Asked, n: int, weights: list[float]) -> Ranked:
    """The suspects of one question, the heaviest first, each with the figures for or against it."""
    arm, optics = _arm_sign(case, asked, n), _optics_sign(case, asked, n)
    apart = "with no teat positions of this box, arm and optics cannot be told apart"
    if arm is None and optics is None:
        apart = "with no teat positions and no attach times of this box, arm and optics cannot be told apart"
    said = {
        "arm": "too few teat positions of this box to judge its arm"
        if arm is None
        else arm or f"teats seen {usual_place(asked.several[n])}",
        "optics": "too few attach times of this box to judge its optics" if optics is None else optics or AS_FAST,
        "cow": cow_said(asked.cows[n]),
        "herd": _herd_said(asked, n),
        "unknown": apart if arm is None else NO_TIMES if optics is None else USUAL,
    }
    order = sorted(range(len(NAMES)), key=lambda i: (-weights[i], i))
    found = [{"name": NAMES[i], "weight": weights[i], "said": said[NAMES[i]]} for i in order]
    first, second = (str(one["name"]) for one in found[:2])
    sentence = said[first]
    likeliest = CALLED[first]
    if {first, second} == {"arm", "optics"} and arm is None:
        sentence, likeliest = f"{optics}; {apart}" if optics else apart, "the arm or the optics"
    elif (first == "arm" and not arm) or (first == "optics" and not optics):
        sentence = said["unknown"]
    elif weights[order[1]] >= CLOSE and second != "unknown":
        sentence = f"{sentence} (or it is {CALLED[second]})"
    if not asked.several[n] and first != "herd":
        sentence = f"{sentence}; {ONE_BOX}"
    return Ranked(found, sentence, likeliest)


CLOSE = 0.25
CALLED = {
    "arm": "the arm",
    "optics": "the optics",
    "cow": "a cow",
    "herd": "the whole herd",
    "unknown": "none of arm, optics, cow and herd",
}
AS_FAST = "cups go on as fast as usual"


def usual_place(several: bool) -> str:
    """What the teats are held against."""
    return "where the other boxes see them" if several else "where this box saw them before"


def _arm_sign(case: Case, asked: Asked, n: int) -> str | None:
    """How far and which way the teats are seen off; empty if they are not, None if the positions are too few."""
    shift = asked.shift
    if shift.visits[n] < FEWEST:
        return None
    axis = int(np.abs(shift.mean[n] / shift.error[n]).argmax())
    if abs(shift.mean[n, axis]) < max(LIKELY * shift.error[n, axis], LEAST_MM):
        return ""
    moved = case.teats.seen.middle_shift(shift, n, axis)
    side = case.teats.direction(axis, moved, int(shift.first[n]), int(shift.first[n] + shift.visits[n]))
    return f"teats seen {abs(moved):.0f} mm {side} {usual_place(asked.several[n])}: check the arm's rest position"


def _optics_sign(case: Case, asked: Asked, n: int) -> str | None:
    """How much longer cups take to go on, and how it went since a wipe; empty if no longer, None if not to be told."""
    slower = asked.slower
    if slower.visits[n] < FEWEST:
        return None
    longer = 100 * math.expm1(slower.mean[n, 0])
    if slower.mean[n, 0] < LIKELY * slower.error[n, 0] or longer < LEAST_PCT:
        return ""
    said = f"cups take {longer:.0f} % longer to go on: check the optics"
    since, until = int(asked.wiped[n]), int(asked.until[n])
    if since < until:
        failed = int(case.by_box.failed[until] - case.by_box.failed[since])
        said += f" (since the last wipe {failed} of {until - since} failed)"
    return said


def cow_said(worst: tuple[str, int, int, int, int] | None) -> str:
    """The cow that most looks in trouble: her failures of her tries, and those at other boxes."""
    if worst is None or worst[1] < 2:
        return "no single cow fails again and again"
    cow, failed, tried, failed_away, tried_away = worst
    away = f", {failed_away} of {tried_away} at other boxes" if tried_away else ""
    return f"cow {cow} failed {failed} of {tried} times{away}: look at her"


def _herd_said(asked: Asked, n: int) -> str:
    """What failed at the other boxes, and what was to be expected."""
    if not asked.several[n]:
        return ONE_BOX
    failed, tried, expected = (int(asked.others[0][n]), int(asked.others[1][n]), float(asked.others[2][n]))
    if not tried:
        return "no cow was at another box in that time"
    said = f"{failed} of {tried} failed at the other boxes, {expected:.0f} expected"
    return f"{said}: think of air and vacuum, heat, flies" if failed > 1.5 * expected + 2 else said
