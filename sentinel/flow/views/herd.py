"""The herd's page: how often it is milked, who is in milk, how many are late, day by day for two weeks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pandas as pd

from sentinel.flow.evaluation.attributes import herd_changes
from sentinel.flow.evaluation.known_until import known_of
from sentinel.flow.language.words import Words, told
from sentinel.flow.measures.milking.lateness import LATE_SHARE
from sentinel.flow.measures.milking.outcomes import outcomes
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.schedule.days import days_between
from sentinel.flow.tables import COWS, IN_MILK, Tables
from sentinel.flow.views.charts.draw import Frame, Picture, day_axis, key, nothing, picture, room, scale
from sentinel.flow.views.charts.series import Series, series_of
from sentinel.flow.views.charts.shapes import bars, squares
from sentinel.flow.views.parts.snapshot import Snapshot
from sentinel.flow.views.parts.timeline import GLANCE_S

MILKINGS = ("milked", "incomplete")


@dataclass(frozen=True, slots=True)
class HerdDay:
    """One day on the farm's calendar: the cows in milk, their milkings, and kg in all.

    In milk is who the herd list says is when the day ends, and who was milked on it. `whole`: the visits are known from
    its begin to its end.
    """

    begins: int
    ends: int
    cows: int
    milkings: int
    milk_kg: float
    whole: bool

    @property
    def per_cow(self) -> float | None:
        """Milkings per cow in milk; None where there is none."""
        return self.milkings / self.cows if self.cows else None

    @property
    def kg_per_cow(self) -> float | None:
        """Milk per cow in milk, in kg; None where there is none."""
        return self.milk_kg / self.cows if self.cows else None


@dataclass(frozen=True, slots=True)
class HerdPage:
    """The herd as far as its visits are known, `known_until` (None: not at all).

    `status`: cows by what the herd list says of them, empty without a list. `milked_24h`: cows milked in the 24 h
    before. `late`: the share of late cows in % by the farm's rule, its last reading the newest (None: no rule asks, or
    nothing can be told). `median_kg`: the middle yield of a milking. `days`: those of two weeks of which anything is
    known, the newest first.
    """

    known_until: int | None
    status: tuple[tuple[str, int], ...]
    milked_24h: int
    late: Series | None
    median_kg: float | None
    days: tuple[HerdDay, ...]
    pictures: tuple[Picture, ...]


def herd_page(snapshot: Snapshot) -> HerdPage:
    """The herd's page."""
    tables, at = snapshot.tables, snapshot.at
    until = known_of("visits", tables.farm.feeds, at)
    seen = tables.visits[tables.visits["start"].to_numpy(np.int64) <= (at if until is None else until)]
    milked = seen[np.isin(outcomes(seen), MILKINGS)]
    moments = milked["start"].to_numpy(np.int64)
    kg = milked["milk_kg"].to_numpy(float)[moments > at - GLANCE_S]
    kg = kg[~np.isnan(kg)]
    first = int(seen["start"].iloc[0]) if len(seen) else at
    days = () if until is None else _days(milked, tables, snapshot.farm.zone, (first, until, at))
    listed = Counter(status for status in _status_at(tables, at).values() if status)
    return HerdPage(
        known_until=until,
        status=tuple((status, listed[status]) for status in COWS.column("status").words if listed),
        milked_24h=0 if until is None else int(milked["cow"][moments > until - DAY_S].nunique()),
        late=None if until is None else _late(snapshot, until),
        median_kg=float(np.median(kg)) if len(kg) else None,
        days=tuple(reversed(days)),
        pictures=(_milkings_chart(days, snapshot.words, snapshot.farm.zone),),
    )


def _late(snapshot: Snapshot, until: int) -> Series | None:
    """The readings of the share of late cows by the first rule that asks for it; None if there are none."""
    rules = (rule for rule in snapshot.rules.values() if rule.measure == LATE_SHARE.name)
    rule = next(rules, None)
    series = series_of(rule, "herd", snapshot.tables, until) if rule else None
    return series if series is not None and series.points else None


def _status_at(tables: Tables, moment: int) -> dict[str, str]:
    """What the herd list says of each cow at a moment; empty for one of whom it does not say."""
    changes = herd_changes(tables)
    now = changes[changes["from"].to_numpy(np.int64) <= moment].drop_duplicates("cow", keep="last")
    listed = zip(now["cow"], now["status"], strict=True)
    return {str(cow): status if isinstance(status, str) else "" for cow, status in listed}


def _days(milked: pd.DataFrame, tables: Tables, zone: str, known: tuple[int, int, int]) -> tuple[HerdDay, ...]:
    """The days of two weeks, oldest first, of which anything is known.

    `known`: the moments of the first visit, up to which visits are known, and at which this is asked.
    """
    first, until, at = known
    edges = days_between(at - GLANCE_S, at + DAY_S + 2 * HOUR_S, zone)  # with the end of a day of 25 hours
    start = milked["start"].to_numpy(np.int64)
    days = []
    for begins, ends in pairwise(edges):
        if ends <= first or begins >= until:
            continue
        here = milked[(start >= begins) & (start < ends)]
        cows = {cow for cow, what in _status_at(tables, min(ends - 1, until)).items() if what in IN_MILK}
        cows |= set(map(str, here["cow"].unique()))
        kg = float(here["milk_kg"].fillna(0.0).sum())
        days.append(HerdDay(begins, ends, len(cows), len(here), kg, first <= begins and ends <= until))
    return tuple(days)


def _milkings_chart(days: Sequence[HerdDay], words: Words, zone: str) -> Picture:
    """Milkings per cow in milk, a bar a day; a day that is known in part is an open square."""
    title = words.say("The herd: milkings per cow and day")
    rates = [(day, day.per_cow) for day in days if day.per_cow is not None]
    whole = [(day, rate) for day, rate in rates if day.whole]
    if not rates:
        return nothing("herd", title, words.say("No milking is known."))
    ends = room([rate for _, rate in rates], 1, from_zero=True)
    frame = Frame((days[0].begins, days[-1].ends), ends, 18, 148)
    places = {day.begins: frame.at((day.begins + day.ends) / 2, rate) for day, rate in rates}
    part = [places[day.begins] for day, _ in rates if not day.whole]
    items = [("bar", words.say("milkings per cow"))] if whole else []
    items += [("mark", words.say("known in part"))] if part else []
    named, bottom = key(items, 182)
    parts = [
        scale(frame, words, ""),
        bars([places[day.begins] for day, _ in whole], frame.bottom, width=12) if whole else "",
        squares(part, "mark"),
        day_axis(frame, words, zone),
        named,
    ]
    return picture("herd", title, _chart_words(whole, words), bottom, parts)


def _chart_words(whole: Sequence[tuple[HerdDay, float]], words: Words) -> list[str]:
    """The same in words."""
    if not whole:
        return [words.say("No day is known as a whole yet.")]
    low, high = min(whole, key=lambda one: one[1]), max(whole, key=lambda one: one[1])
    mean = sum(day.milkings for day, _ in whole) / sum(day.cows for day, _ in whole)
    return [
        told(words, "{rate} milkings per cow and day on average.", rate=words.number(mean)),
        told(
            words,
            "Fewest {low} ({low_day}), most {high} ({high_day}).",
            low=words.number(low[1]),
            low_day=words.date(low[0].begins),
            high=words.number(high[1]),
            high_day=words.date(high[0].begins),
        ),
    ]
