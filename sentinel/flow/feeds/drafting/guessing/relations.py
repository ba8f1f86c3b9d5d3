"""What columns say of each other: quarters add up to the whole, a visit ends minutes after it began.

Each finding is so many natural log odds for or against a column being a field: our choice, tried on the corpus that
drafting is built on.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.feeds.drafting.guessing.evidence import is_counter
from sentinel.flow.feeds.drafting.guessing.herd_lists import days_before, since_when
from sentinel.flow.feeds.drafting.guessing.positions import positions
from sentinel.flow.feeds.drafting.guessing.relation import SURE, Relation
from sentinel.flow.feeds.drafting.guessing.word_columns import word_columns
from sentinel.flow.feeds.drafting.lexicon.quarter_names import quarters_in_cells
from sentinel.flow.feeds.drafting.sample.profile import Profile
from sentinel.flow.model import DAY_S, HOUR_S

MOST_MOMENTS = 8


def relations(profiles: Sequence[Profile]) -> list[Relation]:
    """All that is found between the columns of a sample."""
    singles = [p for p in profiles if not p.source.family]
    groups = [p for p in profiles if p.source.family]
    moments = moments_of(singles)
    pairs = list(_stays(singles, moments))
    lengths = list(_durations(singles, pairs))
    adding = list(_quarters_add_up(singles, groups))
    summed = {one.title for one in adding if one.table == "quarters"}
    return [
        *adding,
        *_not_the_sum(singles, [p for p in groups if p.title in summed]),
        *_begin_and_end(pairs, lengths, moments),
        *(one for _, one in lengths),
        *_longest(singles),
        *_expected(singles),
        *positions(singles, [p for p in groups if p.title not in summed]),
        *_kicked(groups, singles),
        *_same_animal(singles),
        *_four_a_visit(singles),
        *days_before(singles),
        *since_when(singles),
        *word_columns(singles),
        *_flows(singles),
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
                # What adds up is in one unit: it is known of both if one title says it.
                unit = single.unit_said or group.unit_said
                yield Relation("quarters", "milk_kg", group.title, SURE, unit)
                yield Relation("visits", "milk_kg", single.title, SURE, unit)
    # What does not add up to anything stays as likely as it was: not every quarter is measured.


def _not_the_sum(singles: Sequence[Profile], summed: Sequence[Profile]) -> Iterator[Relation]:
    """Where one column is the sum of four quarters, another that goes with it is something else of the milk."""
    for group in summed:
        added = group.values.reshape(4, -1).sum(axis=0)
        for single in singles:
            if single.shape != "number" or len(single.values) != len(added) or _same(single.values, added):
                continue
            yield Relation("visits", "milk_kg", single.title, -SURE)


def _same(one: NDArray[np.float64], other: NDArray[np.float64]) -> bool:
    both = ~np.isnan(one) & ~np.isnan(other) & (other > 0)
    if both.sum() < 5:
        return False
    near = np.abs(one[both] - other[both]) <= np.maximum(0.03 * other[both], 0.11)
    return bool(np.mean(near) > 0.85) and float(np.std(other[both])) > 0


Stay = tuple[Profile, NDArray[np.float64], str]
"""What begins a stay, how long each lasts, and the title of what ends it."""

LONGEST_STAY_S = 1500
"""Half of all visits are not as long as that (common practice, no source)."""

_MOST_PAIRED = 3


def moments_of(singles: Sequence[Profile]) -> list[Profile]:
    """The columns of moments, and those of days with each column of times of day beside them taken together."""
    moments = [p for p in singles if p.shape == "moment"][:MOST_MOMENTS]
    days = [p for p in singles if p.shape == "day" and _goes_on(p)][:_MOST_PAIRED]
    clocks = [p for p in singles if p.shape == "clock"][:_MOST_PAIRED]
    return moments + [replace(day, values=day.values + seconds_of_day(clock)) for day in days for clock in clocks]


def seconds_of_day(clock: Profile) -> NDArray[np.float64]:
    """Times of day in s."""
    return clock.values * (60 if clock.unit == "min:sec" else 1)


def _goes_on(day: Profile) -> bool:
    """Whether days follow each other from row to row, as those of what happens do and days of birth do not."""
    steps = np.diff(day.known)
    return len(steps) == 0 or max(float(np.mean(steps >= 0)), float(np.mean(steps <= 0))) > 0.9


def _stays(singles: Sequence[Profile], moments: Sequence[Profile]) -> Iterator[Stay]:
    """Moments of which one follows the other by minutes in every row; the later may be a time of day only."""
    for first, second in permutations(moments, 2):
        if first.title != second.title:
            gap = second.values - first.values
            if is_stay(gap):
                yield first, gap, second.title
    for first in moments:
        for clock in [p for p in singles if p.shape == "clock"][:_MOST_PAIRED]:
            gap = (seconds_of_day(clock) - first.values) % DAY_S
            if is_stay(gap):
                yield first, gap, clock.title


def is_stay(gap: NDArray[np.float64]) -> bool:
    """Whether gaps in s are those between the beginnings and the ends of visits."""
    known = gap[~np.isnan(gap)]
    return bool(
        len(known) >= 5
        and np.mean((known >= 0) & (known <= 2 * HOUR_S)) > 0.97
        and 20 <= np.median(known) <= 2 * LONGEST_STAY_S
    )


def _begin_and_end(
    pairs: Sequence[Stay], lengths: Sequence[tuple[Stay, Relation]], moments: Sequence[Profile]
) -> Iterator[Relation]:
    """What begins stays: one whose length stands in a column tells it for sure, and that no other moment is it."""
    told = [stay for stay, _ in lengths]
    if told:
        begins = {first.title for first, *_ in told}
        for title in dict.fromkeys(one.title for one in moments):
            for table in ("visits", "quarters"):
                yield Relation(table, "start", title, 2.5 if title in begins else -SURE)
        return
    for first, gap, end in pairs:
        # An hour apart are rather the clocks of two machines.
        if float(np.nanmedian(gap)) <= LONGEST_STAY_S:
            for table in ("visits", "quarters"):
                yield Relation(table, "start", first.title, 2.5)
                if end != first.title:
                    yield Relation(table, "start", end, -SURE)


def _durations(singles: Sequence[Profile], pairs: Sequence[Stay]) -> Iterator[tuple[Stay, Relation]]:
    """A column that is the time between two moments, and so in which unit it is."""
    for stay in pairs:
        gap = stay[1]
        for one in singles:
            if one.shape not in ("number", "span") or len(one.values) != len(gap):
                continue
            ways: Mapping[str, float] = {"s": 1, "min": 60} if one.shape == "number" else _spans(one)
            for unit, factor in ways.items():
                both = ~np.isnan(gap) & ~np.isnan(one.values) & (gap > 0)
                off = np.abs(one.values[both] * factor - gap[both])
                if both.sum() >= 5 and np.mean(off <= np.maximum(61, 0.02 * gap[both])) > 0.9 and _varies(gap[both]):
                    yield stay, Relation("visits", "duration_s", one.title, SURE, unit)


def _longest(singles: Sequence[Profile]) -> Iterator[Relation]:
    """Of several lengths of time written alike, the stay in the box holds all the others."""
    spans = [p for p in singles if p.shape == "span" or (p.shape == "number" and p.unit_said in ("s", "min"))]
    for one in spans:
        alike = [
            p for p in spans if p is not one and (p.shape, p.unit, p.unit_said) == (one.shape, one.unit, one.unit_said)
        ]
        held = [other for other in alike if _holds(one, other)]
        for other in held:
            yield Relation("visits", "duration_s", other.title, -3.0)
        if held and len(held) == len(alike):
            yield Relation("visits", "duration_s", one.title, 2.0)
            yield Relation("visits", "attach_s", one.title, -3.0)


def _holds(one: Profile, other: Profile) -> bool:
    """Whether a length is never shorter than another, and there wherever that is."""
    if len(one.values) != len(other.values) or len(other.known) < 5:
        return False
    known = ~np.isnan(other.values)
    return float(np.mean(one.values[known] > other.values[known])) > 0.97


def _flows(singles: Sequence[Profile]) -> Iterator[Relation]:
    """Milk flows the longer the more there is; how long a box takes to attach does not go with it."""
    amounts = [p for p in singles if p.shape == "number" and not p.whole and len(p.known) > 20]
    lengths = [p for p in singles if p.shape == "span" or (p.shape == "number" and len(p.known) > 20)]
    for one in lengths:
        if any(other is not one and _go_together(one, other) > _CLOSELY for other in amounts):
            yield Relation("visits", "attach_s", one.title, -3.0)


_CLOSELY = 0.6


def _go_together(one: Profile, other: Profile) -> float:
    """How two columns go together, from -1 to 1; 0 if that cannot be told."""
    if len(one.values) != len(other.values):
        return 0.0
    both = ~np.isnan(one.values) & ~np.isnan(other.values)
    if both.sum() < 20 or np.std(one.values[both]) == 0 or np.std(other.values[both]) == 0:
        return 0.0
    ranks = [np.argsort(np.argsort(p.values[both])) for p in (one, other)]
    return float(np.corrcoef(ranks[0], ranks[1])[0, 1])


def _expected(singles: Sequence[Profile]) -> Iterator[Relation]:
    """Of two amounts that go together, the one that also stands where nothing was milked is what was expected."""
    amounts = [p for p in singles if p.shape == "number" and not p.whole and len(p.known) > 20]
    for full, part in permutations(amounts, 2):
        given = ~np.isnan(part.values) & (part.values > 0)
        if len(full.values) != len(part.values) or given.sum() < 20 or np.mean(given) > 0.95:
            continue
        there = ~np.isnan(full.values) & (full.values > 0)
        both = given & there
        if np.mean(there[given]) < 0.97 or np.mean(there[~given]) < 0.9 or np.std(full.values[both]) == 0:
            continue
        ratio = float(np.median(full.values[both]) / np.median(part.values[both]))
        alike = np.std(part.values[both]) > 0 and np.corrcoef(full.values[both], part.values[both])[0, 1] > 0.6
        if alike and 0.6 < ratio < 1.7:
            yield Relation("visits", "milk_kg", full.title, -4.0)
            yield Relation("visits", "milk_kg", part.title, 2.0)


_FEWEST_ANIMALS = 10
_LONGEST_NUMBER = 8


def _same_animal(singles: Sequence[Profile]) -> Iterator[Relation]:
    """Columns that tell the same rows apart are names of one animal: her number is the short one of figures."""
    named = [p for p in singles if p.shape in ("text", "number") and len(p.filled) > 0.97 * len(p.texts)]
    named = [p for p in named if _FEWEST_ANIMALS <= p.distinct < len(p.texts) / _AGAIN and not is_counter(p)]
    for one in named:
        alike = [p for p in named if p is not one and len(p.texts) == len(one.texts) and _one_to_one(one, p)]
        longest = max(map(len, one.texts))
        if alike and longest <= _LONGEST_NUMBER and any(c.isdigit() for c in one.texts[0]):
            if all(max(map(len, p.texts)) > longest for p in alike):
                for table in ("visits", "quarters", "cow_tests"):
                    yield Relation(table, "cow", one.title, 2.5)
                for table, field in _NO_NAMES:
                    yield Relation(table, field, one.title, -4.0)


_NO_NAMES = (
    ("visits", "duration_s"),
    ("visits", "attach_s"),
    ("cow_tests", "cells_k_ml"),
    *(("quarters", name) for name in ("x_mm", "y_mm", "z_mm", "conductivity_mS_cm")),
)
"""Fields whose figures may look like the numbers of cows."""

_AGAIN = 1.2
"""So often at least must a name come in a file that rows are told apart by names."""


def _one_to_one(one: Profile, other: Profile) -> bool:
    pairs = set(zip(one.texts, other.texts, strict=True))
    return len(pairs) == one.distinct == other.distinct


def _kicked(groups: Sequence[Profile], singles: Sequence[Profile]) -> Iterator[Relation]:
    """Yes or no of each quarter, mostly the same: hardly anything else is told so."""
    if not groups and any(p.distinct == 4 and quarters_in_cells(p.filled) for p in singles):
        rare = [p for p in singles if p.shape in ("text", "number") and p.is_flag and p.distinct == 2 and _mostly(p)]
        if len(rare) == 1:
            yield Relation("quarters", "kicked_off", rare[0].title, 2.5)
    flags = [p for p in groups if p.shape in ("text", "number") and p.is_flag]
    if len(flags) == 1 and flags[0].distinct == 2:
        yield Relation("quarters", "kicked_off", flags[0].title, 2.0)


def _mostly(flag: Profile) -> bool:
    """Whether nearly all rows say the same."""
    return max(flag.filled.count(word) for word in set(flag.filled)) > 0.8 * len(flag.filled)


def _varies(gap: NDArray[np.float64]) -> bool:
    return float(np.percentile(gap, 84) - np.percentile(gap, 16)) > 120


def _spans(one: Profile) -> Mapping[str, float]:
    return {"min:sec": 1, "h:min": 60} if one.unit == "min:sec" else {"h:min:sec": 1}


def _four_a_visit(singles: Sequence[Profile]) -> Iterator[Relation]:
    """Each visit four times, once with each of four words: a row is a quarter."""
    moments = moments_of(singles)
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


def _day_and_clock(singles: Sequence[Profile]) -> Iterator[Relation]:
    """A day with a time of day in a column beside it is a moment."""
    if any(p.shape == "clock" for p in singles):
        for one in (p for p in singles if p.shape == "day" and (p.distinct < 60 or _goes_on(p))):
            for table, field in (("visits", "start"), ("quarters", "start"), ("box_log", "at"), ("tank", "at")):
                yield Relation(table, field, one.title, 3.7)


_TOO_SOON_S = 50
"""No cow leaves a box and another enters within so short a time of a visit's start (common practice, no source)."""


def _one_cow_a_box(singles: Sequence[Profile]) -> Iterator[Relation]:
    """Visits to one box follow each other, while those to several boxes begin at any moment."""
    places = [
        p for p in singles if p.shape in ("number", "text") and 2 <= p.distinct <= 12 and len(p.filled) == len(p.texts)
    ]
    for moment in moments_of(singles):
        times = moment.values
        if np.isnan(times).any() or len(np.unique(times)) < max(20, 0.5 * len(times)):
            continue
        soon = 2 * 60 if np.all(times % 60 == 0) else _TOO_SOON_S
        anywhere = _share_too_soon(times, soon)
        for place in places:
            if len(place.texts) != len(times) or anywhere < 0.02:
                continue
            names = np.array(place.texts, dtype=object)
            within = np.mean([_share_too_soon(times[names == name], soon) for name in set(place.texts)])
            if within < 0.15 * anywhere and _evenly(place):
                yield Relation("visits", "box", place.title, 3.5)


def _share_too_soon(times: NDArray[np.float64], soon: float) -> float:
    steps = np.diff(np.sort(times))
    return float(np.mean(steps < soon)) if len(steps) else 0.0


def _evenly(place: Profile) -> bool:
    counts = [place.texts.count(name) for name in set(place.texts)]
    return min(counts) * 4 > max(counts)
