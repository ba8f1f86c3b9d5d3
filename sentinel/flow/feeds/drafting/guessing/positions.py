"""Which of three positions of teats is along the box, across it and up, told by how the quarters' figures differ.

All four teats hang nearly as high, so of heights the figure is large beside what quarters differ by; across the box
left teats lie on one side of right ones, and along it front teats before rear ones (plain geometry of an udder).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, permutations

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.feeds.drafting.guessing.relation import Relation
from sentinel.flow.feeds.drafting.lexicon.quarter_names import quarters_in_cells
from sentinel.flow.feeds.drafting.lexicon.titles import read_title
from sentinel.flow.feeds.drafting.sample.profile import Profile
from sentinel.flow.model import QUARTERS

_FIELDS = ("x_mm", "y_mm", "z_mm")
_CLEAR, _LESS_CLEAR = 5.0, 2.5
_LEAST_ROWS = 8
_KEPT_APART = 1.2
"""Two quarters are told apart where their middles are so many times farther from each other than the others'."""


def positions(singles: Sequence[Profile], groups: Sequence[Profile]) -> Iterator[Relation]:
    """The columns that are positions, where three are there of which each can be told."""
    words = next((p for p in singles if p.distinct == 4 and _labels(p)), None)
    told: dict[str, dict[str, float]] = {}
    for one in groups:
        if one.shape == "number" and _may_be(one) and _as_far_as_teats(one):
            four = [np.asarray(part) for part in one.values.reshape(4, -1)]
            told[one.title] = _likeness(four, ordered=one.source.sure or one.source.read)
    if words is not None and not groups:
        labels = _labels(words)
        rows = {label: np.array([text == label for text in words.texts]) for label in labels}
        for one in (p for p in singles if p is not words and p.shape == "number" and _as_far_as_teats(p)):
            if _may_be(one) and len(one.values) == len(words.texts):
                told[one.title] = _likeness([one.values[rows[label]] for label in labels], ordered=True)
    told = {title: found for title, found in told.items() if found}
    for count in (3, 2, 1):
        three, weight = _told_apart(told, count), _CLEAR if count == 3 else _LESS_CLEAR
        if count == 1 and "y_mm" not in three.values():
            return  # by itself only what lies on two sides of a middle can be told
        if not three:
            continue
        for title, field in three.items():
            for other in _FIELDS:
                yield Relation("quarters", other, title, weight if other == field else -weight)
            for milk in ("milk_kg", "conductivity_mS_cm"):
                yield Relation("quarters", milk, title, -weight)
        return


def _labels(words: Profile) -> tuple[str, ...]:
    """A column's four words in the order of the quarters; empty if they are no names of quarters."""
    known = quarters_in_cells(words.filled)
    return tuple(sorted(known, key=lambda word: QUARTERS.index(known[word])))


def _may_be(one: Profile) -> bool:
    """Whether a title does not say that it is something else."""
    return one.unit_said in ("", "mm", "cm", "l") and not read_title(one.title).concepts - {
        "teat",
        "quarter",
        "x",
        "y",
        "z",
    }


_LEAST_MM, _MOST_MM = 8, 150


def _as_far_as_teats(one: Profile) -> bool:
    """Whether figures lie as far apart as teats of a herd do, in millimetres or centimetres (our choice, no source)."""
    spread = float(np.percentile(one.known, 84) - np.percentile(one.known, 16)) / 2 if len(one.known) else 0.0
    return _LEAST_MM / 10 <= spread <= _MOST_MM


def _told_apart(told: Mapping[str, Mapping[str, float]], count: int) -> dict[str, str]:
    """So many columns with the position each is; {} if some column is as likely one of them."""
    best: tuple[float, tuple[str, ...], tuple[str, ...]] = (0.0, (), ())
    for fields in combinations(_FIELDS, count):
        for some in permutations(told, count):
            score = sum(told[title].get(field, -9.0) for title, field in zip(some, fields, strict=True))
            best = max(best, (score, some, fields))
    score, chosen, fields = best
    if score < 0.7 * count:
        return {}
    rivals = [title for title in told if title not in chosen]
    return {
        title: field
        for title, field in zip(chosen, fields, strict=True)
        if all(told[rival].get(field, 0.0) < told[title][field] - 0.25 for rival in rivals)
    }


def _likeness(four: Sequence[NDArray[np.float64]], *, ordered: bool) -> dict[str, float]:
    """How much four quarters' figures look like each position, up to 1; {} for none at all.

    `ordered`: LF, RF, LR, RR; else it is not known which is which.
    """
    known = [part[~np.isnan(part)] for part in four]
    if min(len(part) for part in known) < _LEAST_ROWS:
        return {}
    middles = np.array([np.median(part) for part in known])
    everything = np.concatenate(known)
    size = float(np.median(np.abs(everything)))
    within = float(np.median([np.percentile(part, 84) - np.percentile(part, 16) for part in known])) / 2
    if size == 0 or within == 0:
        return {}
    parted = [
        abs(middles[a] + middles[b] - middles[c] - middles[d]) / 2
        for a, b, c, d in ((0, 1, 2, 3), (0, 2, 1, 3), (0, 3, 1, 2))
    ]
    crosses = bool(np.min(everything) < 0 < np.max(everything))
    along, across = parted[:2] if ordered else ((0.0, max(parted)) if crosses else (max(parted), 0.0))
    found: dict[str, float] = {}
    if crosses or across > max(_KEPT_APART * along, 2 * within):
        found["y_mm"] = 1.0 if across > _KEPT_APART * along else 0.4
    if np.min(everything) > 0 and along > max(_KEPT_APART * across, 0.5 * within) and along / size > 0.05:
        found["x_mm"] = 1.0
    if np.min(everything) > 0 and max(along, across) < 0.06 * size and within < 0.2 * size:
        found["z_mm"] = 1.0 if max(along, across) < 0.03 * size else 0.7
    return found
