"""Another bound of a rule, tried on the last while: how often it would tell and ring, what would appear or go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sentinel.flow.language import ENGLISH, Words
from sentinel.flow.rules import Rule, Setting, format_quantity, parse_quantity
from sentinel.flow.tuning.advice import MAY_BE_REAL, dropped, missed
from sentinel.flow.tuning.compare import Change, changes
from sentinel.flow.tuning.share import answers_wanted
from sentinel.flow.tuning.sweep import Tried
from sentinel.flow.tuning.trial import Trial
from sentinel.flow.views.charts.draw import Picture
from sentinel.flow.views.charts.tried import tried_chart
from sentinel.flow.views.parts.links import Link, link_to

MOST_LISTED = 12
"""So many alerts that would appear or go are named."""


@dataclass(frozen=True, slots=True)
class Weekly:
    """How often a bound tells: alerts and rings a week."""

    alerts: float
    rings: float


@dataclass(frozen=True, slots=True)
class Moved:
    """An alert that would appear (`new`) or go (`missed`): about what, when it is or was raised, with which value."""

    how: str
    about: Link
    at: int
    value: str


@dataclass(frozen=True, slots=True)
class TunePage:
    """One bound tried: its place among `stops`, which are as people read them; `own` is the place of the rule's own.

    `settings`: what a rule's file would say, `along` of them what had to move with the bound. `unwritten`: the keys
    that its file does not have, so that nothing can be written. `unfit`: why it cannot be tried, then all of
    the other figures are those of the rule as it is. `looked_into`, `real`, `real_from`, `real_to`: of the alerts that
    it would raise, how many people looked into, how many were for something, and between which shares that lies, in %.
    `fresh`: how many nobody could look into. `gone`: how many of those that were raised it would not have; in `missed`
    of them something was found, in `for_nothing` nothing, and so many such answers are `wanted` to say something.
    """

    rule: str
    key: str
    stops: tuple[str, ...]
    place: int
    own: int
    settings: tuple[Setting, ...]
    unwritten: tuple[str, ...]
    unfit: str
    now: Weekly
    tried: Weekly
    looked_into: int
    real: int
    real_from: int
    real_to: int
    fresh: int
    missed: int
    gone: int
    for_nothing: int
    wanted: int
    moved: tuple[Moved, ...]
    more: int
    picture: Picture
    since: int
    until: int

    @property
    def said(self) -> str:
        """The value that is tried."""
        return self.stops[self.place]

    @property
    def along(self) -> tuple[str, ...]:
        """What has to move with it."""
        return tuple(f"{key} {text}" for key, text in self.settings[1:])


def tune_page(trial: Trial, place: int | None = None, words: Words = ENGLISH) -> TunePage:
    """A rule with the value at one of its stops, its own without one."""
    history, own = trial.history, trial.own
    rule = history.rule
    asked = own if place is None else min(max(place, 0), len(trial.stops) - 1)
    found, unfit = trial.at(asked)
    one = trial.now if found is None else found
    changed = [change for change in changes(trial.now.raised, one.raised) if change.how in ("new", "missed")]
    gone = dropped(trial.now, one)
    low, high = one.real.interval
    key, written = trial.stops[asked]
    value = parse_quantity(written, rule.unit)
    settings = one.settings or ((key, written),)
    drawn_own = rule.bound if rule.bound is not None else 0.0
    return TunePage(
        rule=rule.name,
        key=key,
        stops=tuple(format_quantity(parse_quantity(text, rule.unit), rule.unit, words) for _, text in trial.stops),
        place=asked,
        own=own,
        settings=settings,
        unwritten=tuple(name for name, _ in settings if not trial.written(name)),
        unfit=unfit,
        now=_weekly(trial.now, history.weeks),
        tried=_weekly(one, history.weeks),
        looked_into=one.real.whole,
        real=one.real.part,
        real_from=round(100 * low),
        real_to=round(100 * high),
        fresh=one.fresh,
        missed=len(missed(trial.now, one)),
        gone=len(gone),
        for_nothing=sum(episode.label == "nothing found" for episode in gone),
        wanted=answers_wanted(MAY_BE_REAL),
        moved=tuple(_moved(change, rule, words) for change in _newest(changed)),
        more=max(0, len(changed) - MOST_LISTED),
        picture=tried_chart(
            trial.peaks,
            drawn_own,
            drawn_own if asked == own else value,
            changed,
            rule.unit,
            words,
            history.since,
            history.until,
        ),
        since=history.since,
        until=history.until,
    )


def _weekly(one: Tried, weeks: float) -> Weekly:
    return Weekly(len(one.raised) / weeks, one.rings / weeks)


def _newest(changed: Sequence[Change]) -> list[Change]:
    """The newest of them, the newest first."""
    return sorted(changed, key=lambda change: -change.one.raised_at)[:MOST_LISTED]


def _moved(change: Change, rule: Rule, words: Words) -> Moved:
    one = change.one
    value = "" if one.value is None else format_quantity(one.value, rule.unit, words)
    return Moved(change.how, link_to(one.subject), one.raised_at, value)
