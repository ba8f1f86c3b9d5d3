"""Columns of words or codes told by the figures beside them: how a visit ended says what was measured at it.

A word that says how a visit ended decides which cells of its row are empty, whatever it is called; the stage of a cow
in a herd list decides whether she may be milked at all. Each finding is in natural log odds: our choice, tried on the
corpus that drafting is built on.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.feeds.drafting.guessing.relation import Relation
from sentinel.flow.feeds.drafting.sample.profile import Profile

_MOST_WORDS, _MOST_LACTATIONS = 8, 15
_FEWEST_ROWS = 20
_DECIDES = 0.97
"""So many rows must be as their word lets expect."""
_BY_CHANCE = 0.01
"""So much of the rows at least must be told better than without the words, and three of them."""
_ENDED, _STAGE = 4.5, 4.0


def word_columns(singles: Sequence[Profile]) -> Iterator[Relation]:
    """The columns whose words decide which figures of a row there are."""
    words = [p for p in singles if _may_be_words(p)]
    masks = [_given(p) for p in singles if p.shape in ("number", "span") and p.distinct > 2 * _MOST_WORDS]
    zeros = {p.title: _given(p) for p in singles if p.shape == "number" and p.whole and 2 <= p.distinct <= _MOST_WORDS}
    ones = {
        p.title: np.asarray(p.values == 1)
        for p in singles
        if p.shape == "number" and p.whole and 3 <= p.distinct <= _MOST_LACTATIONS and p.known.min() == 1
    }
    decided = {p.title: sum(_decides(p, mask) for mask in masks) for p in words}
    best = max(decided.values(), default=0)
    told = [p for p in words if decided[p.title] == best > 0]
    for one in words:
        # How often a box tried decides as well what was measured, and is a figure of more values.
        if one in told and one.distinct == min(p.distinct for p in told):
            yield Relation("visits", "outcome", one.title, _ENDED)
        if any(_decides(one, mask) for title, mask in zeros.items() if title != one.title):
            # A part of the herd may be its dry cows, and those in their first lactation.
            parted = any(_names_some(one, mask) for title, mask in ones.items() if title != one.title)
            yield Relation("cows", "group" if parted else "status", one.title, _STAGE)
            if parted:
                yield Relation("cows", "status", one.title, -2.0)


def _may_be_words(one: Profile) -> bool:
    if one.shape not in ("text", "number") or not 2 <= one.distinct <= _MOST_WORDS or len(one.filled) < _FEWEST_ROWS:
        return False
    return len(one.filled) > 0.97 * len(one.texts) and (one.shape == "text" or one.whole)


def _given(one: Profile) -> NDArray[np.bool_]:
    """The rows in which a column says something that is not 0."""
    given: NDArray[np.bool_] = ~np.isnan(one.values) & (one.values != 0)
    return given


def _names_some(words: Profile, mask: NDArray[np.bool_]) -> bool:
    """Whether all rows of a word are among those of a mask, and none of another word."""
    if len(mask) != len(words.texts):
        return False
    texts = np.array(words.texts, dtype=object)
    shares = [float(mask[texts == word].mean()) for word in set(words.filled) if words.filled.count(word) >= _FEWEST]
    return max(shares, default=0.0) == 1.0 and min(shares, default=1.0) == 0.0


_FEWEST = 5


def _decides(words: Profile, mask: NDArray[np.bool_]) -> bool:
    """Whether each word goes with cells that are there or with cells that are not, and both are met."""
    if len(mask) != len(words.texts):
        return False
    right, rows = 0, 0
    texts = np.array(words.texts, dtype=object)
    for word in set(words.filled):
        of_word = mask[texts == word]
        there = int(of_word.sum())
        right, rows = right + max(there, len(of_word) - there), rows + len(of_word)
    without = max(int(mask.sum()), len(mask) - int(mask.sum()))
    return right >= _DECIDES * rows and right - without > max(2, _BY_CHANCE * rows)
