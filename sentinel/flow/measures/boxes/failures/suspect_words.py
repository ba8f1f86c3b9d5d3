"""The suspects of a box in words: each with the figures that speak for or against it, and one sentence of the first."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.language import Said, joined
from sentinel.flow.measures.base.chance import Numbers, Whole
from sentinel.flow.measures.boxes.box_context import Case
from sentinel.flow.measures.boxes.peer_baseline import FEWEST, Shift

NAMES = ("arm", "optics", "cow", "herd", "unknown")

LIKELY, LEAST_MM, LEAST_PCT = 1.5, 2.0, 5.0
"""A shift of less than so many standard errors, or so many mm or %, is not spoken of."""

USUAL = Said("nothing points to the arm, the optics, a single cow or the whole herd")
NO_TIMES = Said("with no attach times from this box, its optics cannot be judged")
ONE_BOX = Said("with only one box, the herd cannot be told from the box")
NO_PLACES = Said("with no teat positions from this box, arm and optics cannot be told apart")
NEITHER = Said("with no teat positions and no attach times from this box, arm and optics cannot be told apart")
FEW_PLACES = Said("too few teat positions from this box to judge its arm")
FEW_TIMES = Said("too few attach times from this box to judge its optics")


Worst = tuple[str, int, int, int, int]
"""The cow of a window that most looks in trouble: her name, failures and tries, and both at other boxes."""


@dataclass(frozen=True, slots=True)
class Ranked:
    """The suspects of one box and window, as plain values with the likeliest first; what to say of it and its name."""

    suspects: list[dict[str, Any]]
    sentence: Said
    likeliest: Said


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
    cows: list[Worst | None]  # failed, tried, and both at other boxes


def ranked_of(case: Case, asked: Asked, n: int, weights: list[float]) -> Ranked:
    """The suspects of one question, the heaviest first, each with the figures for or against it."""
    arm, optics = _arm_sign(case, asked, n), _optics_sign(case, asked, n)
    apart = NEITHER if arm is None and optics is None else NO_PLACES
    sentence_of = {
        "arm": FEW_PLACES if arm is None else arm or (AS_OTHERS if asked.several[n] else AS_BEFORE),
        "optics": FEW_TIMES if optics is None else optics or AS_FAST,
        "cow": cow_said(asked.cows[n]),
        "herd": _herd_said(asked, n),
        "unknown": apart if arm is None else NO_TIMES if optics is None else USUAL,
    }
    order = sorted(range(len(NAMES)), key=lambda i: (-weights[i], i))
    suspects = [{"name": NAMES[i], "weight": weights[i], "said": sentence_of[NAMES[i]]} for i in order]
    first, second = (str(one["name"]) for one in suspects[:2])
    sentence = sentence_of[first]
    likeliest = CALLED[first]
    if {first, second} == {"arm", "optics"} and arm is None:
        sentence, likeliest = joined("; ", [optics, apart]) if optics else apart, Said("the arm or the optics")
    elif (first == "arm" and not arm) or (first == "optics" and not optics):
        sentence = sentence_of["unknown"]
    elif weights[order[1]] >= CLOSE and second != "unknown":
        sentence = Said("{said} (or it is {other})", said=sentence, other=CALLED[second])
    if not asked.several[n] and first != "herd":
        sentence = joined("; ", [sentence, ONE_BOX])
    return Ranked(suspects, sentence, likeliest)


def herd_ranked_of(worst: Worst | None, box: str, failed: int, tried: int, weights: list[float]) -> Ranked:
    """The suspects of all boxes together: a cow, the herd, or (unknown) the box that stands out most."""
    sentences = (
        cow_said(worst),
        Said("failures at all boxes: suspect air and vacuum, heat, flies"),
        Said("most of it at box {box}: {failed} of {tried} failed", box=box, failed=failed, tried=tried),
    )
    order = sorted(range(3), key=lambda i: (-weights[i], i))
    suspects = [{"name": NAMES[i + 2], "weight": weights[i], "said": sentences[i]} for i in order]
    return Ranked(suspects, sentences[order[0]], CALLED[NAMES[order[0] + 2]])


CLOSE = 0.25
NOT_SEEN = Said("")
"""What a suspect's sign says where there is none."""
CALLED = {
    "arm": Said("the arm"),
    "optics": Said("the optics"),
    "cow": Said("a cow"),
    "herd": Said("the whole herd"),
    "unknown": Said("not the arm, optics, cow or herd"),
}
AS_FAST = Said("cups go on as fast as usual")
AS_OTHERS = Said("teats seen where the other boxes see them")
AS_BEFORE = Said("teats seen where this box saw them before")


OTHERS, BEFORE = Said("where the other boxes see them"), Said("where this box saw them before")


def usual_place(several: bool) -> Said:
    """What the teats are held against."""
    return OTHERS if several else BEFORE


def _arm_sign(case: Case, asked: Asked, n: int) -> Said | None:
    """How far and which way the teats are seen off; empty if they are not, None if the positions are too few."""
    shift = asked.shift
    if shift.visits[n] < FEWEST:
        return None
    axis = int(np.abs(shift.mean[n] / shift.error[n]).argmax())
    if abs(shift.mean[n, axis]) < max(LIKELY * shift.error[n, axis], LEAST_MM):
        return NOT_SEEN
    [moved] = case.teats.seen.middle_shift(shift, np.array([n]), np.array([axis])).tolist()
    side = case.teats.direction(axis, moved, int(shift.first[n]), int(shift.first[n] + shift.visits[n]))
    return Said(
        "teats seen {moved} mm {side} {place}: check the arm's rest position",
        moved=f"{abs(moved):.0f}",
        side=side,
        place=usual_place(asked.several[n]),
    )


def _optics_sign(case: Case, asked: Asked, n: int) -> Said | None:
    """How much longer cups take to go on, and how it went since a wipe; empty if no longer, None if not to be told."""
    slower = asked.slower
    if slower.visits[n] < FEWEST:
        return None
    longer = 100 * math.expm1(slower.mean[n, 0])
    if slower.mean[n, 0] < LIKELY * slower.error[n, 0] or longer < LEAST_PCT:
        return NOT_SEEN
    sentence = Said("cups take {longer} % longer to go on: check the optics", longer=f"{longer:.0f}")
    since, until = int(asked.wiped[n]), int(asked.until[n])
    if since < until:
        failed = int(case.by_box.failed[until] - case.by_box.failed[since])
        wiped = Said("since the last wipe {failed} of {tried} failed", failed=failed, tried=until - since)
        return Said("{said} ({more})", said=sentence, more=wiped)
    return sentence


def cow_said(worst: Worst | None) -> Said:
    """The cow that most looks in trouble: her failures of her tries, and those at other boxes."""
    if worst is None or worst[1] < 2:
        return Said("no single cow fails repeatedly")
    cow, failed, tried, failed_away, tried_away = worst
    hers = {"cow": cow, "failed": failed, "tried": tried}
    if not tried_away:
        return Said("cow {cow} failed {failed} of {tried} times: look at her", **hers)
    return Said(
        "cow {cow} failed {failed} of {tried} times, {failed_away} of {tried_away} at other boxes: look at her",
        **hers,
        failed_away=failed_away,
        tried_away=tried_away,
    )


def _herd_said(asked: Asked, n: int) -> Said:
    """What failed at the other boxes, and what was to be expected."""
    if not asked.several[n]:
        return ONE_BOX
    failed, tried, expected = (int(asked.others[0][n]), int(asked.others[1][n]), float(asked.others[2][n]))
    if not tried:
        return Said("no cow was at another box in that time")
    figures = {"failed": failed, "tried": tried, "expected": f"{expected:.0f}"}
    sentence = Said("{failed} of {tried} failed at the other boxes, {expected} usual", **figures)
    many = failed > 1.5 * expected + 2
    return Said("{said}: suspect air and vacuum, heat, flies", said=sentence) if many else sentence
