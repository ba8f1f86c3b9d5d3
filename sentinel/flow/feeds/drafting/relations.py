"""What columns say of each other: quarters add up to the whole, a visit ends minutes after it began.

Each finding is so many natural log odds for or against a column being a field: our choice, tried on the corpus that
drafting is built on.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.feeds.drafting.profile import Profile
from sentinel.flow.model import HOUR_S

SURE = 6.0
MOST_MOMENTS = 8


@dataclass(frozen=True, slots=True)
class Relation:
    """A finding: which column is which field of a table, by so many log odds; `unit` if it tells that."""

    table: str
    field: str
    title: str
    weight: float
    unit: str = ""


def relations(profiles: Sequence[Profile]) -> list[Relation]:
    """All that is found between the columns of a sample."""
    singles = [p for p in profiles if not p.source.family]
    groups = [p for p in profiles if p.source.family]
    pairs = list(_stays(singles))
    return [
        *_quarters_add_up(singles, groups),
        *_begin_and_end(pairs),
        *_durations(singles, pairs),
        *_four_a_visit(singles),
        *_days_before(singles),
        *_day_and_clock(singles),
        *_one_cow_a_box(singles),
    ]


def _quarters_add_up(singles: Sequence[Profile], groups: Sequence[Profile]) -> Iterator[Relation]:
    """The milk of four quarters makes up the milk of the visit, whatever the unit."""
    for group in groups:
        if group.shape != "number":
            continue
        four = group.values.reshape(4, -1)
        added = four.sum(axis=0)
        for single in singles:
            if single.shape == "number" and len(single.values) == len(added) and _same(single.values, added):
                yield Relation("quarters", "milk_kg", group.title, SURE)
                yield Relation("visits", "milk_kg", single.title, SURE)
    # What does not add up to anything stays as likely as it was: not every quarter is measured.


def _same(one: NDArray[np.float64], other: NDArray[np.float64]) -> bool:
    both = ~np.isnan(one) & ~np.isnan(other) & (other > 0)
    if both.sum() < 5:
        return False
    near = np.abs(one[both] - other[both]) <= np.maximum(0.03 * other[both], 0.11)
    return bool(np.mean(near) > 0.85) and float(np.std(other[both])) > 0


Stay = tuple[Profile, Profile, NDArray[np.float64]]


def _stays(singles: Sequence[Profile]) -> Iterator[Stay]:
    """Pairs of moments of which one follows the other by minutes in every row."""
    moments = [p for p in singles if p.shape == "moment"][:MOST_MOMENTS]
    for first, second in permutations(moments, 2):
        gap = second.values - first.values
        known = gap[~np.isnan(gap)]
        if len(known) >= 5 and np.mean((known >= 0) & (known <= 2 * HOUR_S)) > 0.97 and 20 <= np.median(known) <= 3600:
            yield first, second, gap


def _begin_and_end(pairs: Sequence[Stay]) -> Iterator[Relation]:
    for first, second, _ in pairs:
        for table in ("visits", "quarters"):
            yield Relation(table, "start", first.title, 2.5)
            yield Relation(table, "start", second.title, -SURE)


def _durations(singles: Sequence[Profile], pairs: Sequence[Stay]) -> Iterator[Relation]:
    """A column that is the time between two moments, and so in which unit it is."""
    for _, _, gap in pairs:
        for one in singles:
            if one.shape not in ("number", "span") or len(one.values) != len(gap):
                continue
            ways: Mapping[str, float] = {"s": 1, "min": 60} if one.shape == "number" else _spans(one)
            for unit, factor in ways.items():
                both = ~np.isnan(gap) & ~np.isnan(one.values) & (gap > 0)
                off = np.abs(one.values[both] * factor - gap[both])
                if both.sum() >= 5 and np.mean(off <= np.maximum(61, 0.02 * gap[both])) > 0.9 and _varies(gap[both]):
                    yield Relation("visits", "duration_s", one.title, SURE, unit)


def _varies(gap: NDArray[np.float64]) -> bool:
    return float(np.percentile(gap, 84) - np.percentile(gap, 16)) > 120


def _spans(one: Profile) -> Mapping[str, float]:
    return {"min:sec": 1, "h:min": 60} if one.unit == "min:sec" else {"h:min:sec": 1}


def _four_a_visit(singles: Sequence[Profile]) -> Iterator[Relation]:
    """Each visit four times, once with each of four words: a row is a quarter."""
    moments = [p for p in singles if p.shape == "moment"][:MOST_MOMENTS]
    for one in singles:
        if one.distinct != 4 or one.shape not in ("text", "number") or len(one.filled) != len(one.texts):
            continue
        for moment in moments:
            rows = len(moment.values)
            fours = {t for t in moment.values if not np.isnan(t)}
            if rows >= 8 and abs(rows / max(len(fours), 1) - 4) < 0.3 and _each_once(moment, one):
                yield Relation("quarters", "quarter", one.title, SURE)
                yield Relation("quarters", "start", moment.title, 2.0)


def _each_once(moment: Profile, words: Profile) -> bool:
    seen = list(zip(moment.values.tolist(), words.texts, strict=False))
    return len(set(seen)) > 0.95 * len(seen)


def _days_before(singles: Sequence[Profile]) -> Iterator[Relation]:
    """Of several columns of days, calvings lie in the past of what else is told, and births years before them."""
    moments = [p for p in singles if p.shape in ("moment", "day") and len(p.known) > 0]
    if not moments:
        return
    newest = max((float(p.known.max()) for p in moments if p.shape == "moment"), default=None)
    for one in (p for p in moments if p.shape == "day"):
        middle = float(np.median(one.known))
        if newest is not None and middle > newest + 86400:
            yield Relation("cows", "calved_on", one.title, -SURE)
        later = [p for p in moments if p is not one and float(np.median(p.known)) - middle > 700 * 86400]
        if later:
            yield Relation("cows", "calved_on", one.title, -SURE)


def _day_and_clock(singles: Sequence[Profile]) -> Iterator[Relation]:
    """A day with a time of day in a column beside it is a moment."""
    if any(p.shape == "clock" for p in singles):
        for one in (p for p in singles if p.shape == "day" and p.distinct < 60):
            for table, field in (("visits", "start"), ("quarters", "start"), ("box_log", "at")):
                yield Relation(table, field, one.title, 3.7)


_TOO_SOON_S = 50
"""No cow leaves a box and another enters within so short a time of a visit's start (common practice, no source)."""


def _one_cow_a_box(singles: Sequence[Profile]) -> Iterator[Relation]:
    """Visits to one box follow each other, while those to several boxes begin at any moment."""
    places = [
        p for p in singles if p.shape in ("number", "text") and 2 <= p.distinct <= 12 and len(p.filled) == len(p.texts)
    ]
    for moment in [p for p in singles if p.shape == "moment"][:MOST_MOMENTS]:
        times = moment.values
        if np.isnan(times).any() or len(np.unique(times)) < max(20, 0.5 * len(times)) or np.all(times % 60 == 0):
            continue
        anywhere = _share_too_soon(times)
        for place in places:
            if len(place.texts) != len(times) or anywhere < 0.02:
                continue
            names = np.array(place.texts, dtype=object)
            within = np.mean([_share_too_soon(times[names == name]) for name in set(place.texts)])
            if within < 0.15 * anywhere and _evenly(place):
                yield Relation("visits", "box", place.title, 3.5)


def _share_too_soon(times: NDArray[np.float64]) -> float:
    steps = np.diff(np.sort(times))
    return float(np.mean(steps < _TOO_SOON_S)) if len(steps) else 0.0


def _evenly(place: Profile) -> bool:
    counts = [place.texts.count(name) for name in set(place.texts)]
    return min(counts) * 4 > max(counts)
