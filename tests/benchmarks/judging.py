"""What it costs to compute every measure over a year, to go through every rule, and to try one more threshold."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from statistics import median

import numpy as np

from sentinel.edges.store import Store
from sentinel.flow.evaluation.series import series_of
from sentinel.flow.measures import MEASURES, measure_named
from sentinel.flow.replay import deciding, raised_on
from sentinel.flow.rules import Rule
from sentinel.runtime.record.replay import Past, on_time, past_of

from .figures import Figure, best_of
from .year import Year


def judging(path: Path, year: Year, read: float, times: int) -> list[Figure]:
    """Measures against the reading, rules against the reading, a threshold against the rules."""
    store = Store(path)
    try:
        past = past_of(store, year.setup)
        every, dearest = _measures(past)
        rules = year.setup.rules
        alone = best_of(times, lambda: past.tried(rules))
        whole = best_of(1, lambda: on_time(store, year.setup))
        each = [one for one in rules.values() if not measure_named(one.measure).about_arrival]
        further = {one.name: _further(past, one, times) for one in each}
    finally:
        store.close()
    most = max(further, key=lambda name: further[name])
    told = ", ".join(f"{name} {seconds:.1f} s" for name, seconds in dearest)
    return [
        Figure(f"every measure by itself, per each kind of subject (dearest: {told})", every, "reading", read),
        Figure(f"all {len(rules)} rules that ship", alone, "reading", read, 3.0),
        Figure("reading and all rules that ship", whole, "reading", read),
        Figure(f"one more threshold of {most} (the dearest)", further[most], "all rules", alone, 0.01),
        Figure("one more threshold of the rule in the middle", median(further.values()), "all rules", alone, 0.01),
    ]


def _measures(past: Past) -> tuple[float, list[tuple[str, float]]]:
    """Seconds of all measures with their usual options, and the three dearest."""
    took: dict[str, float] = {}
    for measure in MEASURES:
        for per in measure.per:
            fresh = replace(past.tables, visits=past.tables.visits.copy(deep=False))  # nothing kept from another
            seconds = best_of(1, lambda: measure.compute(fresh, per, measure.settings({})))  # noqa: B023
            took[f"{measure.name} per {per}"] = seconds
    return sum(took.values()), sorted(took.items(), key=lambda one: -one[1])[:3]


def _further(past: Past, rule: Rule, times: int) -> float:
    """Seconds of one more threshold of a rule where another was tried on the same readings."""
    measure = measure_named(rule.measure)
    when = deciding(measure, past.coming, past.feeds_of, past.tables.chores["at"].to_numpy(np.int64))
    series = series_of(rule, measure, past.tables)
    raised_on(rule, series, past.tables, when, past.until)
    field = "raise_over" if rule.raise_under is None else "raise_under"
    moved = rule.model_copy(update={field: 1.01 * getattr(rule, field)})
    return best_of(times, lambda: raised_on(moved, series, past.tables, when, past.until))
