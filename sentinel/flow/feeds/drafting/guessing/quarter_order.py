"""Which of four unknown words is likely which quarter, by what is measured there: a first guess, which is always asked.

Rear quarters give more milk than front ones (some 55 to 60 % of it, from memory), left and right lie on two sides of a
middle, and words for right begin with a few letters in many languages.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.feeds.drafting.lexicon.quarter_names import partings
from sentinel.flow.feeds.drafting.lexicon.titles import plain

RIGHT, LEFT = "rdpoh", "lgisvek"
"""Letters that words for right and left begin with: right, rechts, derecha, dešinė, prawa, oikea, höger; left, links,
gauche, izquierda, sinistra, vänster, esquerda, kairė (from memory)."""


def likely_order(labels: Sequence[str], groups: Sequence[Mapping[str, NDArray[np.float64]]]) -> tuple[str, ...]:
    """Four labels in the likely order LF, RF, LR, RR; empty if they are not made of two parts each.

    `groups`: the figures of each group of four columns, by label.
    """
    for parts in partings([plain(label) for label in labels]):
        told = _front_and_rear(parts, [[group[label] for label in labels] for group in groups])
        if told is not None:
            rows, front = told
            sides = [other for _, other in parts] if rows == 0 else [one for one, _ in parts]
            left = _left(sorted(set(sides)), sides)
            place = [(row != front, side != left) for row, side in zip([p[rows] for p in parts], sides, strict=True)]
            called = dict(zip(place, labels, strict=True))
            if len(called) == 4:
                return tuple(called[key] for key in ((False, False), (False, True), (True, False), (True, True)))
    return ()


def _front_and_rear(
    parts: Sequence[tuple[str, str]], groups: Sequence[Sequence[NDArray[np.float64]]]
) -> tuple[int, str] | None:
    """Which of the two parts says front or rear, and what it says for front; by the figures that vary most."""
    best: tuple[float, int, str] | None = None
    for four in groups:
        known = [part[~np.isnan(part)] for part in four]
        if min(map(len, known)) < _LEAST_ROWS or min(part.min() for part in known) < 0:
            continue
        middles = [float(part.mean()) for part in known]
        spread = float(np.std(np.concatenate(known))) / max(float(np.mean(middles)), 1e-9)
        for place in (0, 1):
            names = sorted({part[place] for part in parts})
            means = [float(np.mean([m for m, p in zip(middles, parts, strict=True) if p[place] == n])) for n in names]
            apart = abs(means[0] - means[1]) / max(sum(means), 1e-9)
            # Milk varies more from cow to cow than anything else of a quarter.
            score = (spread > _AS_MILK) + apart
            if best is None or score > best[0]:
                best = score, place, names[int(means[0] > means[1])]
    return _by_the_sides(parts, groups) if best is None or best[0] < 1 else best[1:]


def _by_the_sides(
    parts: Sequence[tuple[str, str]], groups: Sequence[Sequence[NDArray[np.float64]]]
) -> tuple[int, str] | None:
    """The same where no milk is among the figures: by those that lie on two sides of a middle; front stands first."""
    for four in groups:
        known = [part[~np.isnan(part)] for part in four]
        if min(map(len, known)) < _LEAST_ROWS or not min(p.min() for p in known) < 0 < max(p.max() for p in known):
            continue
        middles = [float(np.median(part)) for part in known]
        apart = []
        for place in (0, 1):
            first = parts[0][place]
            here = [m for m, part in zip(middles, parts, strict=True) if part[place] == first]
            there = [m for m, part in zip(middles, parts, strict=True) if part[place] != first]
            apart.append(abs(float(np.mean(here)) - float(np.mean(there))))
        rows = int(apart[0] > apart[1])
        return rows, parts[0][rows]
    return None


def _left(names: Sequence[str], sides: Sequence[str]) -> str:
    """Which of two words is left: by its first letter, else the one that stands first."""
    right, left = ([name for name in names if name[:1] in letters] for letters in (RIGHT, LEFT))
    if len(right) == 1:
        return next(name for name in names if name not in right)
    return left[0] if len(left) == 1 else sides[0]


_LEAST_ROWS = 20
_AS_MILK = 0.25
"""So much do figures vary beside their mean that they may be milk (our choice)."""
