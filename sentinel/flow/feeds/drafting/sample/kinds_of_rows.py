"""Samples in which a column says of what kind each row is, such as milkings and what boxes write of themselves.

Rows are of different kinds where each has columns of its own: filled in the rows of some words and empty in those of
others, and the other way about. A visit that was refused lacks what others have, and has nothing of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, combinations, pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.feeds.drafting.sample.sniff import Sample
from sentinel.flow.feeds.values import as_text

_FEWEST, _MOST_WORDS, _MOST_COLUMNS = 4, 12, 200
"""Of fewer rows of a word nothing is said; a column of more words is none of kinds; so many columns are looked at."""

_FULL, _EMPTY = 0.95, 0.02
_PARTED = "; "


@dataclass(frozen=True, slots=True)
class KindsOfRows:
    """The column that says of what kind a row is, and the words of each kind, that of most rows first."""

    title: str
    kinds: tuple[tuple[str, ...], ...]

    def keys(self) -> tuple[str, ...]:
        """What a person answers for each kind."""
        return tuple(_PARTED.join(words) for words in self.kinds)


def kinds_of_rows(sample: Sample) -> KindsOfRows | None:
    """The kinds of a sample's rows; None if all are of one."""
    columns = dict(list(zip(sample.titles, sample.columns, strict=True))[:_MOST_COLUMNS])
    missing = set(sample.missing)
    filled = {title: _filled(cells, missing) for title, cells in columns.items()}
    for title, cells in columns.items():
        words = [as_text(cell) for cell in cells]
        distinct = dict.fromkeys(words)
        if not 2 <= len(distinct) <= _MOST_WORDS or "" in distinct or len(words) < 2 * _FEWEST:
            continue
        places = {word: np.array([one == word for one in words]) for word in distinct}
        kinds = _kinds(places, [f for t, f in filled.items() if t != title])
        if len(kinds) > 1:
            number = {kind: sum(int(places[word].sum()) for word in kind) for kind in kinds}
            if min(number.values()) >= _FEWEST:
                return KindsOfRows(title, tuple(sorted(kinds, key=lambda kind: -number[kind])))
    return None


def _filled(cells: Sequence[Any], missing: set[str]) -> NDArray[np.bool_]:
    return np.array([bool(text := as_text(cell)) and text not in missing for cell in cells])


def _kinds(places: dict[str, NDArray[np.bool_]], columns: Sequence[NDArray[np.bool_]]) -> list[tuple[str, ...]]:
    """The words whose rows fill the same columns, taken together where either has no column of its own."""
    filled = np.array(columns, dtype=float)
    shares = {word: filled @ rows / rows.sum() for word, rows in places.items()}
    kind_of = {word: word for word in places}
    for one, other in combinations(places, 2):
        mine, theirs = shares[one], shares[other]
        own = np.any((mine >= _FULL) & (theirs <= _EMPTY)) and np.any((theirs >= _FULL) & (mine <= _EMPTY))
        if not own:
            before, now = kind_of[other], kind_of[one]
            kind_of = {word: now if kind == before else kind for word, kind in kind_of.items()}
    return [tuple(word for word in places if kind_of[word] == kind) for kind in dict.fromkeys(kind_of.values())]


def of_kind(sample: Sample, title: str, words: Sequence[str]) -> Sample:
    """A sample's rows of some words alone."""
    cells = sample.columns[sample.titles.index(title)]
    kept = [n for n, cell in enumerate(cells) if as_text(cell) in words]
    ends = [0, *accumulate(sample.files)]
    files = tuple(sum(begin <= n < end for n in kept) for begin, end in pairwise(ends))
    return replace(sample, columns=tuple(tuple(column[n] for n in kept) for column in sample.columns), files=files)
