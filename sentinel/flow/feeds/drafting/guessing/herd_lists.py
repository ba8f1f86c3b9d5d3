"""What the days of a herd list say of each other, and that a row of a list is a cow and no reading.

Each finding is in natural log odds: our choice, tried on the corpus that drafting is built on.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from sentinel.flow.feeds.drafting.guessing.relation import SURE, Relation
from sentinel.flow.feeds.drafting.lexicon.titles import read_title
from sentinel.flow.feeds.drafting.sample.profile import Profile
from sentinel.flow.model import DAY_S, HOUR_S

A_LIST = 20
"""So many rows at least make a list of cows."""

_AT_A_TIME = 8
_NEARLY_ALL = 0.9
_YEARS = 700 * DAY_S
_REGULAR = 0.8


def days_before(singles: Sequence[Profile]) -> Iterator[Relation]:
    """Of several columns of days, calvings lie in the past of what else is told, and births years before them."""
    moments = [p for p in singles if p.shape in ("moment", "day") and len(p.known) > 0]
    newest = max((float(p.known.max()) for p in moments if p.shape == "moment"), default=None)
    days = [p for p in moments if p.shape == "day"]
    left = []
    for one in days:
        middle = float(np.median(one.known))
        to_come = newest is not None and middle > newest + DAY_S
        if to_come or any(p is not one and float(np.median(p.known)) - middle > _YEARS for p in moments):
            yield Relation("cows", "calved_on", one.title, -SURE)
        else:
            left.append(one)
    listed = [p for p in left if len(p.known) >= A_LIST]
    if len(listed) == 1 and len(days) > 1:
        yield Relation("cows", "calved_on", listed[0].title, 1.5)
    if len(listed) == 2 and any(p.shape == "clock" for p in singles):
        # What is true since a moment that has its time of day came after her calving.
        first, then = sorted(listed, key=lambda p: float(np.median(p.known)))
        yield Relation("cows", "calved_on", first.title, 1.5)
        yield Relation("cows", "from", then.title, 2.0)
        yield Relation("cows", "calved_on", then.title, -2.0)
    yield from _days_in_milk(singles, days)


def _days_in_milk(singles: Sequence[Profile], days: Sequence[Profile]) -> Iterator[Relation]:
    """A day and a number of days that add up to one day, that of the list, are a calving and the days in milk."""
    for day in days:
        for one in (p for p in singles if p.shape == "number" and p.whole and p.distinct > A_LIST // 2):
            if len(one.values) != len(day.values):
                continue
            added = day.values / DAY_S + one.values
            known = added[~np.isnan(added)]
            if len(known) >= A_LIST and float(np.mean(np.abs(known - np.median(known)) <= 1)) > _NEARLY_ALL:
                yield Relation("cows", "calved_on", day.title, SURE)
                yield Relation("cows", "lactation", one.title, -SURE)


def since_when(singles: Sequence[Profile]) -> Iterator[Relation]:
    """A list's day with a time of day beside it is since when its rows are true, if it is no more than called a day.

    So is its only moment.
    """
    moments = [p for p in singles if p.shape == "moment" and len(p.known) >= A_LIST]
    if len(moments) == 1 and any(p.shape == "day" for p in singles):
        yield Relation("cows", "from", moments[0].title, 1.5)
    if not any(p.shape == "clock" for p in singles):
        return
    days = [p for p in singles if p.shape == "day" and len(p.known) >= A_LIST]
    meant = {p.title: read_title(p.title).concepts | read_title(p.title).shaky for p in days}
    called = [p for p in days if meant[p.title] and meant[p.title] <= {"date", "from"}]
    nameless = [p for p in days if not meant[p.title]]
    for one in days:
        if len(one.known) >= _AT_A_TIME * len(set(one.known.tolist())):
            yield Relation("cow_tests", "at", one.title, 2.0)  # many cows on each of a few days
            return
    if called:
        yield from (Relation("cows", "from", one.title, 2.5) for one in called)
    elif len(nameless) == 1:
        yield Relation("cows", "from", nameless[0].title, 2.5)


def readings(singles: Sequence[Profile]) -> bool:
    """Whether the rows follow each other at regular steps, as readings of a tank do and cows of a list do not."""
    for one in singles:
        if one.shape != "moment" or len(one.known) < A_LIST or len(one.known) < len(one.values):
            continue
        steps = np.diff(one.known)
        usual = float(np.median(steps))
        if usual >= HOUR_S / 4 and float(np.mean(steps == usual)) > _REGULAR:
            return True
    return False
