"""One rule laid out to be tried by hand: its readings over a while, and the values that it may be given."""

from __future__ import annotations

from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, field

import numpy as np

from sentinel.flow.evaluation.series import FAR, OPEN, firsts
from sentinel.flow.evaluation.spans import spans_of
from sentinel.flow.measures import measure_named
from sentinel.flow.model import DAY_S
from sentinel.flow.rules import Rule, Setting, document_of, parse_quantity
from sentinel.flow.schedule.days import days_of
from sentinel.flow.tuning.sweep import History, Tried, tried
from sentinel.flow.tuning.values import around, fitted
from sentinel.flow.yaml.text import Document

LOOKS_BACK_S = 60 * DAY_S
"""So long a while a bound is tried on by hand; what people read calls it two months."""

STOPS = 41
"""So many values of a bound may be tried by hand: from half of it to twice as much."""


@dataclass(frozen=True, slots=True)
class Peaks:
    """The worst reading of each subject on each day of the farm, in order of time.

    Of elapsed time it is what it came to before a reset. `over`: the rule raises over its bound, so that the
    highest is the worst.
    """

    subject: np.ndarray
    at: np.ndarray
    value: np.ndarray
    over: bool


@dataclass(frozen=True, slots=True)
class Trial:
    """A rule's history, its peaks, and the values that may be tried; `own` is the place of its own among them.

    `turn`: who asks waits for it. `found`: what was worked out, by its place.
    """

    history: History
    peaks: Peaks
    stops: tuple[Setting, ...]
    own: int
    now: Tried
    document: Document = field(repr=False, compare=False)
    turn: AbstractContextManager[object] = field(default_factory=nullcontext, repr=False, compare=False)
    found: dict[int, tuple[Tried | None, str]] = field(default_factory=dict, repr=False, compare=False)

    def at(self, place: int) -> tuple[Tried | None, str]:
        """What one of the values would have raised; or why it cannot be tried. Each is worked out once."""
        with self.turn:
            if place not in self.found:
                self.found[place] = (self.now, "") if place == self.own else self._worked_out(place)
            return self.found[place]

    def _worked_out(self, place: int) -> tuple[Tried | None, str]:
        settings, rule, why = fitted(self.history.rule, (self.stops[place],), self.document)
        return (None if rule is None else tried(self.history, rule, settings)), why

    def written(self, key: str) -> bool:
        """Whether the rule's file says something of a key itself; only there another value can be written."""
        return key in self.document.data[0]


def can_be_tried(rule: Rule) -> bool:
    """Whether there is a range of values to try: a bound that is not nothing, and not on when files came."""
    return bool(rule.bound) and not measure_named(rule.measure).about_arrival


def trial_of(history: History, turn: AbstractContextManager[object] | None = None) -> Trial:
    """A rule laid out to be tried; with `turn` for one asker after the other."""
    stops = tuple(around(history.rule, STOPS))
    own = min(
        range(len(stops)),
        key=lambda n: abs(parse_quantity(stops[n][1], history.rule.unit) - (history.rule.bound or 0.0)),
    )
    now, document = tried(history, history.rule), document_of(history.rule)[0]
    return Trial(history, peaks_of(history), stops, own, now, document, turn or nullcontext())


def peaks_of(history: History) -> Peaks:
    """The worst reading of each subject on each day of the time."""
    series, over = history.series, history.rule.raise_under is None
    subject, at = series.subject, series.at
    if series.elapsed:
        spans = spans_of(history.rule, measure_named(history.rule.measure), series, history.tables)
        until = np.where(series.next_sure < FAR, series.next_sure, OPEN)
        at = np.minimum(until, history.until)
        value = spans.values(np.arange(len(at)), at)
    else:
        value = series.value
    known = np.flatnonzero(~np.isnan(value) & (at >= history.since) & (at <= history.until))
    subject, at, value = subject[known], at[known], value[known]
    _, code = np.unique(subject.astype(str), return_inverse=True) if len(subject) else (None, np.empty(0, np.int64))
    day = days_of(at, history.tables.farm.zone)
    order = np.lexsort((-value if over else value, day, code))
    first = firsts(code[order] * FAR + day[order])
    worst = order[first]
    worst = worst[np.argsort(at[worst], kind="stable")]
    return Peaks(subject[worst], at[worst], value[worst], over)
