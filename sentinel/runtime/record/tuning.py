"""What a rule's bounds are tried on: all that a store has, read once, with what people said of the rule's alerts."""

from __future__ import annotations

import threading

from sentinel.edges.store import Store
from sentinel.edges.store.alerts import alerts_of_rule
from sentinel.edges.store.exports.feeds import feed_state
from sentinel.edges.store.log import log_entries
from sentinel.flow.model import DAY_S
from sentinel.flow.rules import Rule
from sentinel.flow.setup import Setup
from sentinel.flow.tuning.episodes import Episode, episodes
from sentinel.flow.tuning.sweep import History, history_of
from sentinel.flow.tuning.trial import LOOKS_BACK_S, Trial, can_be_tried, trial_of
from sentinel.runtime.record.replay import Past, past_of


def history(store: Store, setup: Setup, rule: Rule, since: int | None = None) -> History:
    """The history of one rule: from `since`, or from where it could first be decided, up to the newest row."""
    return history_on(past_of(store, setup), known(store, rule), setup, rule, since)


def history_on(past: Past, said: list[Episode], setup: Setup, rule: Rule, since: int | None = None) -> History:
    """The same on a past that is read."""
    return history_of(rule, setup.rules, past.tables, past.coming, past.feeds_of, said, since, past.until)


def known(store: Store, rule: Rule) -> list[Episode]:
    """What was really raised by a rule of this name, and what people said of it."""
    return episodes(alerts_of_rule(store, rule.name), log_entries(store, kind="answer", rule=rule.name))


KEPT_FOR_S = 600
"""So long what was read to try bounds by hand serves; what came since is in it after that."""

MOST_TRIALS = 3
"""So many rules laid out to be tried are kept: each holds the readings of two months."""


class Trials:
    """The rules that somebody tries bounds of by hand, each laid out once and kept for a while.

    What a bound comes to is worked out for one asker after the other, as a phone that moves a slider asks often.
    """

    def __init__(self, store: Store) -> None:
        self._store = store
        self._lock = threading.Lock()
        self._past: tuple[int, Setup, Past] | None = None
        self._trials: dict[str, tuple[int, Rule, Trial]] = {}

    def of(self, setup: Setup, name: str, at: int) -> Trial | None:
        """A rule laid out on the last two months; None if there is no such rule, or its bound cannot be tried."""
        rule = setup.rules.get(name)
        if rule is None or not can_be_tried(rule):
            return None
        with self._lock:
            self._drop_old(at)
            kept = self._trials.get(name)
            if kept is None or kept[1] != rule:
                past = self._past_of(setup, at)
                since = past.until - LOOKS_BACK_S
                trial = trial_of(history_on(past, known(self._store, rule), setup, rule, since), self._lock)
                others = [one for one in self._trials.items() if one[0] != name]
                self._trials = dict([*others[-MOST_TRIALS + 1 :], (name, (at, rule, trial))])
            return self._trials[name][2]

    def forget_old(self, at: int) -> None:
        """Let go of what is too old to serve; not while somebody is at it."""
        if self._lock.acquire(blocking=False):
            try:
                self._drop_old(at)
            finally:
                self._lock.release()

    def _drop_old(self, at: int) -> None:
        self._trials = {name: one for name, one in self._trials.items() if 0 <= at - one[0] <= KEPT_FOR_S}
        if self._past is not None and not 0 <= at - self._past[0] <= KEPT_FOR_S:
            self._past = None

    def _past_of(self, setup: Setup, at: int) -> Past:
        """The past of two months, read again when what was read is old or the settings have changed."""
        kept = self._past
        if kept is None or kept[1] is not setup:
            newest = max((until for _, until in feed_state(self._store).values() if until is not None), default=at)
            kept = self._past = (at, setup, past_of(self._store, setup, since=newest - LOOKS_BACK_S - 7 * DAY_S))
        return kept[2]
