"""What fifty bounds of a rule cost over a year, beside reading the year; a step of the slider on two months."""

from __future__ import annotations

import random
from pathlib import Path

from sentinel.edges.store import Store
from sentinel.flow.tuning.episodes import Episode, Label
from sentinel.flow.tuning.sweep import Tried, swept
from sentinel.flow.tuning.trial import LOOKS_BACK_S, Trial, trial_of
from sentinel.flow.tuning.values import around
from sentinel.flow.views.tune import tune_page
from sentinel.runtime.record.replay import Past, past_of
from sentinel.runtime.record.tuning import history_on

from .figures import Figure, best_of
from .year import Year

RULES = ("late-cow", "quarter-conductivity", "yield-drop", "box-failures", "box-quiet")
"""Those whose readings or alerts are many, and one that few alerts come of."""

VALUES = 50
GOAL_S = 0.2


def sweeping(path: Path, year: Year, read: float) -> list[Figure]:
    """Of each rule its readings once and fifty bounds tried on them; and one step of the slider."""
    store = Store(path)
    try:
        past = past_of(store, year.setup)
        lately = past_of(store, year.setup, since=past.until - LOOKS_BACK_S)
    finally:
        store.close()
    found = []
    for name in RULES:
        if name in year.setup.rules:
            found += _of_rule(name, past, lately, year, read)
    return found


def _of_rule(name: str, past: Past, lately: Past, year: Year, read: float) -> list[Figure]:
    """The figures of one rule."""
    rule = year.setup.rules[name]
    known = _answered(past, year, name)
    laid_out = best_of(1, lambda: history_on(past, known, year.setup, rule))
    history = history_on(past, known, year.setup, rule)
    values = [(one,) for one in around(rule, VALUES)]
    results: list[list[Tried]] = []
    took = best_of(1, lambda: results.append(swept(history, values)[0]))
    most = max(len(one.raised) for one in results[0])
    trial: Trial = trial_of(history_on(lately, known, year.setup, rule, lately.until - LOOKS_BACK_S))
    steps = [best_of(1, lambda: tune_page(trial, place)) for place in range(len(trial.stops))]  # noqa: B023
    tried = f"{len(results[0])} bounds of {name} with {len(known)} answers, up to {most:,} alerts each"
    return [
        Figure(tried, took, "reading the year", read, 1.0),
        Figure(f"before that, {name}'s readings and what holds it back", laid_out, "reading the year", read),
        Figure(f"the slowest step of the slider of {name}", max(steps), goal=GOAL_S),
    ]


def _answered(past: Past, year: Year, name: str) -> list[Episode]:
    """What the rule raises as it is, answered by chance: every second, one of three for something."""
    draw = random.Random(1)
    labels: tuple[Label, ...] = ("real", "nothing found", "nothing found", "", "", "")
    alerts = past.tried({name: year.setup.rules[name]})[0]
    return [Episode(one.subject, one.raised_at, one.over_at, draw.choice(labels)) for one in alerts]
