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

from sentinel.flow.feeds.drafting.guessing.positions import positions
from sentinel.flow.feeds.drafting.guessing.relation import SURE, Relation
from sentinel.flow.feeds.drafting.lexicon.titles import read_title
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
        *_kicked(groups),
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


def _kicked(groups: Sequence[Profile]) -> Iterator[Relation]:
    """Yes or no of each quarter, mostly the same: hardly anything else is told so."""
    flags = [p for p in groups if p.shape in ("text", "number") and p.is_flag]
    if len(flags) == 1 and flags[0].distinct == 2:
        yield Relation("quarters", "kicked_off", flags[0].title, 2.0)


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
        for one in (p for p in singles if p.shape == "day" and (p.distinct < 60 or _goes_on(p))):
            for table, field in (("visits", "start"), ("quarters", "start"), ("box_log", "at"), ("tank", "at")):
                yield Relation(table, field, one.title, 3.7)
        for one in (p for p in singles if p.shape == "day" and _tells_since(p)):
            yield Relation("cows", "from", one.title, 2.5)


def _tells_since(day: Profile) -> bool:
    """Whether a list's day with a time of day beside it is no more than called a day."""
    return len(day.known) >= _A_LIST and read_title(day.title).concepts in ({"date"}, {"from"}, {"date", "from"})


_A_LIST = 20
_TOO_SOON_S = 50
"""No cow leaves a box and another enters within so short a time of a visit's start (common practice, no source)."""


def _one_cow_a_box(singles: Sequence[Profile]) -> Iterator[Relation]:
    """Visits to one box follow each other, while those to several boxes begin at any moment."""
    places = [
        p for p in singles if p.shape in ("number", "text") and 2 <= p.distinct <= 12 and len(p.filled) == len(p.texts)
    ]
    for moment in moments_of(singles):
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
