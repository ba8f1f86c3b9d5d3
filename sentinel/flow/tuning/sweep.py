"""One rule with many bounds on one history: what each would have raised, and what people said of what was raised.

The readings, the moments of decision and what may hold the rule's alerts back are worked out once (`history_of`);
another bound costs the comparing only.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import median

import numpy as np

from sentinel.flow.alerts.incidents import place_of_trouble
from sentinel.flow.alerts.links import Links
from sentinel.flow.alerts.replayed import NEVER
from sentinel.flow.evaluation.series import OPEN, Series, series_of
from sentinel.flow.measures import measure_named
from sentinel.flow.model import DAY_S
from sentinel.flow.replay import Coming, Deciding, Raised, deciding, links_by_time, raised_on, with_incidents
from sentinel.flow.rules import Rule, Setting, document_of
from sentinel.flow.tables import Tables
from sentinel.flow.tuning.compare import rings, within
from sentinel.flow.tuning.episodes import Episode, together
from sentinel.flow.tuning.share import Share
from sentinel.flow.tuning.values import fitted

WEEK_S = 7 * DAY_S


@dataclass(frozen=True, slots=True)
class History:
    """A rule's readings over a history and all else that its bounds are tried on, from `since` to `until`.

    `covering`: the alerts of the rules that may hold its own back; `rules`: those and itself. `known`: what was really
    raised in the time.
    """

    rule: Rule
    rules: Mapping[str, Rule]
    series: Series
    when: Deciding | None
    tables: Tables
    covering: Sequence[Raised]
    links_at: Callable[[int], Links]
    known: Sequence[Episode]
    since: int
    until: int

    @property
    def weeks(self) -> float:
        """How long the history is."""
        return max(self.until - self.since, 1) / WEEK_S


@dataclass(frozen=True, slots=True)
class Tried:
    """What one bound would have raised: `settings` are what was changed, none of them for the rule as it is.

    `kept`: the episodes that were really raised and that it raises too; what it misses beside the rule as it is,
    `advice` tells. `fresh`: how many of its alerts nobody could answer, as they were never raised. `lead_s`: seconds in
    the middle from an alert to where something was found, or to its end.
    """

    settings: tuple[Setting, ...]
    rule: Rule
    raised: tuple[Raised, ...]
    rings: int
    kept: tuple[Episode, ...]
    fresh: int
    lead_s: float | None

    @property
    def real(self) -> Share:
        """How many of those it raises that people looked into were for something."""
        found = sum(one.label == "real" for one in self.kept)
        return Share(found, found + sum(one.label == "nothing found" for one in self.kept))

    @property
    def unanswered(self) -> int:
        """How many of those it raises nobody has answered."""
        return sum(not one.label for one in self.kept)


def history_of(
    rule: Rule,
    rules: Mapping[str, Rule],
    tables: Tables,
    coming: Mapping[str, Coming],
    feeds_of: Mapping[str, tuple[str, ...]],
    known: Iterable[Episode],
    since: int | None,
    until: int,
) -> History:
    """All that a rule's bounds are tried on, worked out once; without `since` from where it could first be decided."""
    by_hand = tables.chores["at"].to_numpy(np.int64)

    def read(one: Rule) -> tuple[Series, Deciding | None]:
        measure = measure_named(one.measure)
        return series_of(one, measure, tables), deciding(measure, coming, feeds_of, by_hand)

    above = {name: rules[name] for name in rule.covered_by if name in rules}
    covering = []
    for one in above.values():
        if not measure_named(one.measure).about_arrival:
            series, when = read(one)
            covering += raised_on(one, series, tables, when, until)
    series, when = read(rule)
    first = _first_decided(when, tables.farm.watched_since)
    since = first if since is None else max(first, since)
    in_time = [one for one in known if since <= one.raised_at]  # told live once its file came: after the newest row
    some = {**above, rule.name: rule}
    return History(rule, some, series, when, tables, covering, links_by_time(some, tables), in_time, since, until)


def _first_decided(when: Deciding | None, watched_since: int) -> int:
    """When all that a rule rests on had come for the first time."""
    if when is None:
        return watched_since
    decided = np.flatnonzero(when.known > -OPEN)
    return int(when.at[decided[0]]) if len(decided) else watched_since


def tried(history: History, rule: Rule, settings: tuple[Setting, ...] = ()) -> Tried:
    """What a rule with another bound would have raised on the same history."""
    alerts = raised_on(rule, history.series, history.tables, history.when, history.until)
    raised = within(_as_it_rings(history, rule, alerts), history.since, history.until + 1)
    pairs = together(raised, history.known)
    kept = {place for _, place in pairs}
    known_of = {number: history.known[place] for number, place in reversed(pairs)}
    return Tried(
        settings,
        rule,
        tuple(raised),
        len(rings(raised)),
        tuple(one for place, one in enumerate(history.known) if place in kept),
        sum(number not in known_of for number in range(len(raised))),
        _lead_s(raised, known_of),
    )


def _as_it_rings(history: History, rule: Rule, alerts: Sequence[Raised]) -> list[Raised]:
    """The alerts with when they ring and the incidents of those that may: of the others nothing hangs on it.

    Incidents are of one place, so where no alert presses nothing rings; and what stood at another time covers nothing.
    """
    places = {place_of_trouble(one.subject) for one in alerts if one.rings_at is not None}
    asked = [one for one in alerts if place_of_trouble(one.subject) in places]
    if not asked:
        return list(alerts)
    begin = min(one.raised_at for one in asked)
    end = max(NEVER if one.over_at is None else one.over_at for one in asked)
    covering = [one for one in history.covering if one.raised_at < end and (one.over_at is None or one.over_at > begin)]
    every = with_incidents({**history.rules, rule.name: rule}, [*covering, *asked], history.links_at)
    others = [one for one in alerts if place_of_trouble(one.subject) not in places]
    return [*(one for one in every if one.rule == rule.name), *others]


def _lead_s(raised: Sequence[Raised], known_of: Mapping[int, Episode]) -> float | None:
    """Seconds in the middle from an alert to where something was found, or to its end; None if all of them stand."""
    leads = []
    for number, alert in enumerate(raised):
        found_at = known_of[number].found_at if number in known_of else None
        end = found_at if found_at is not None and found_at >= alert.raised_at else alert.over_at
        if end is not None:
            leads.append(end - alert.raised_at)
    return float(median(leads)) if leads else None


def swept(
    history: History, settings: Iterable[tuple[Setting, ...]], progress: Callable[[], None] = lambda: None
) -> tuple[list[Tried], list[tuple[tuple[Setting, ...], str]]]:
    """Each of many settings tried, and those that do not fit the rule with why; `progress` is called after each."""
    found, unfit = [], []
    document, _ = document_of(history.rule)
    for some in settings:
        fitting, changed, why = fitted(history.rule, some, document)
        if changed is None:
            unfit.append((some, why))
        else:
            found.append(tried(history, changed, fitting))
        progress()
    return found, unfit
