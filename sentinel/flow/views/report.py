"""The report card of the rules: what came of each by month, which cry wolf or never speak, what might be tried."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from sentinel.flow.alerts.chain import Logged
from sentinel.flow.language import ENGLISH, Words
from sentinel.flow.model import DAY_S, Alert
from sentinel.flow.rules import Rule, format_quantity, parse_quantity
from sentinel.flow.tuning.report import Month, Pointed, nearest_change, report_card
from sentinel.flow.tuning.trial import Trial

GOES_BACK_S = 365 * DAY_S
"""So long a report card goes back."""

MOST_TRIED = 3
"""For so many of the rules pointed at the page itself tries another bound; each takes seconds the first time."""


@dataclass(frozen=True, slots=True)
class Change:
    """A bound that might be tried: its settings as written, and alerts a week with it and now, on the last two months.

    `bound`: the one that changes, as a person reads it; `along`: what has to move with it. `place`: where
    it stands among the values of the page that tries it.
    """

    settings: str
    bound: str
    along: tuple[str, ...]
    place: int
    alerts_a_week: float
    now_a_week: float


@dataclass(frozen=True, slots=True)
class PointedAt:
    """A rule that is pointed at: why, of how many answers how many were for nothing, and the nearest sensible change.

    `tried`: whether a change was looked for; None of those that were tried then means that none is sensible.
    """

    rule: str
    why: str
    nothing_found: int
    looked_into: int
    tried: bool
    change: Change | None


@dataclass(frozen=True, slots=True)
class ReportPage:
    """The months as (name, their rules), the newest first; what each rule came to in all; the rules pointed at."""

    months: tuple[tuple[str, tuple[Month, ...]], ...]
    whole: tuple[Month, ...]
    pointed: tuple[PointedAt, ...]
    since: int
    until: int


def report_page(
    rules: Mapping[str, Rule],
    alerts: Iterable[Alert],
    notices: Iterable[Logged],
    answers: Iterable[Logged],
    trial_of: Callable[[str], Trial | None],
    zone: str,
    since: int,
    until: int,
    words: Words = ENGLISH,
    most_tried: int = MOST_TRIED,
) -> ReportPage:
    """The report card from `since` on; `trial_of` lays a rule out to be tried."""
    card = report_card(rules, alerts, notices, answers, zone, since, until)
    names = sorted({one.month for one in card.months}, reverse=True)
    months = tuple((_name(name, words), tuple(one for one in card.months if one.month == name)) for name in names)
    pointed = [_pointed(one, trial_of, n < most_tried, rules, words) for n, one in enumerate(card.pointed)]
    return ReportPage(months, tuple(one for one in card.whole if one.raised), tuple(pointed), since, until)


def _name(month: str, words: Words) -> str:
    """A month as people write it."""
    year, number = month.split("-")
    return words.calendar(date(int(year), int(number), 1)).partition(" ")[2]


def _pointed(
    one: Pointed, trial_of: Callable[[str], Trial | None], wanted: bool, rules: Mapping[str, Rule], words: Words
) -> PointedAt:
    """A rule that is pointed at, with the nearest sensible change if that is wanted."""
    trial = trial_of(one.rule) if wanted else None
    found = nearest_change(trial, one.why) if trial is not None else None
    change = None
    if trial is not None and found is not None:
        place = trial.stops.index(found.settings[0])
        weeks = trial.history.weeks
        written = ", ".join(f"{key} {value}" for key, value in found.settings)
        unit = rules[one.rule].unit
        bound = format_quantity(parse_quantity(found.settings[0][1], unit), unit, words)
        along = tuple(f"{key} {value}" for key, value in found.settings[1:])
        change = Change(written, bound, along, place, len(found.raised) / weeks, len(trial.now.raised) / weeks)
    return PointedAt(one.rule, one.why, one.for_nothing.part, one.for_nothing.whole, trial is not None, change)
