"""What a sample's rows as a whole say: which table they are of, and which time of day belongs to their day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from sentinel.flow.feeds.drafting.guessing.evidence import is_counter
from sentinel.flow.feeds.drafting.guessing.field_guess import SURE_PERCENT, Guess
from sentinel.flow.feeds.drafting.guessing.herd_lists import readings
from sentinel.flow.feeds.drafting.guessing.relations import seconds_of_day
from sentinel.flow.feeds.drafting.lexicon.titles import title_score
from sentinel.flow.feeds.drafting.sample.profile import Profile
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import QUARTER_VALUES, Table


def with_clock(table: Table, chosen: dict[str, Guess], profiles: Sequence[Profile]) -> dict[str, Guess]:
    """The guesses with the time of day beside a day, and in the table's order."""
    moment = chosen.get(table.happened)
    used = {one.source.title for one in chosen.values()}
    by_title = {p.title: p for p in profiles}
    clocks = [p for p in profiles if p.title not in used and p.shape == "clock"]
    if moment and clocks and by_title[moment.source.title].shape == "day":
        clock = _first_clock(table, clocks).source
        # Of several times of day a person has to say which.
        percent = max(moment.percent, 80) if len(clocks) == 1 else min(moment.percent, SURE_PERCENT - 1)
        chosen[table.happened] = replace(moment, percent=percent, clock=clock, unit="", units=())
    return {c.name: chosen[c.name] for c in table.columns if c.name in chosen}


def _first_clock(table: Table, clocks: Sequence[Profile]) -> Profile:
    """Of several times of day the one that a row begins with: by its title, then the one the others follow."""

    def rank(one: Profile) -> tuple[float, float]:
        behind = sum(
            float(np.nanmedian((seconds_of_day(other) - seconds_of_day(one)) % DAY_S)) > DAY_S / 2
            for other in clocks
            if other is not one
        )
        return (-title_score(table.name, table.happened, one.title), behind)

    return min(clocks, key=rank)


_MEASURED: Mapping[str, frozenset[str]] = {
    "quarters": frozenset(QUARTER_VALUES),
    "tank": frozenset({"temperature_C", "litres", "cells_k_ml", "bacteria_k_ml"}),
    "cow_tests": frozenset({"cells_k_ml", "milk_kg"}),
}
"""Of tables that are nothing without a figure, what their figures are."""

_VISITED = frozenset({"outcome", "duration_s", "milk_kg", "attach_s", "attempts"})


def structure(table: Table, chosen: Mapping[str, Guess], profiles: Sequence[Profile], *, four: bool) -> float:
    """By how much the rows as a whole speak for a table; `four`: a row holds all four quarters."""
    by_title = {p.title: p for p in profiles}
    score = -4.0 * sum(key not in chosen for key in table.key if not (four and table.name == "quarters"))
    if table.name == "cows" and "from" not in chosen:
        score += 3.0  # a list of today needs none
    if table.name in _MEASURED and not _MEASURED[table.name] & set(chosen):
        score -= 6.0
    if table.name == "visits" and not _VISITED & set(chosen) and max(len(p.texts) for p in profiles) >= _MANY:
        score -= 3.0
    if table.name in ("cows", "cow_tests") and readings([p for p in profiles if not p.source.family]):
        score -= 5.0
    if four:
        return score + (4.0 if table.name == "visits" else -4.0)
    cow = by_title[chosen["cow"].source.title] if "cow" in chosen else None
    moment = by_title[chosen[table.happened].source.title] if table.happened in chosen else None
    score += _cows(table, cow, moment) if cow is not None and len(cow.filled) > _FEW else 0.0
    score += _others(table, chosen, profiles)
    if moment is not None and len(moment.known) > _FEW and moment.shape == "moment":
        on_the_hour = float(np.mean(moment.known % HOUR_S == 0)) > 0.9
        if table.name in ("visits", "quarters", "box_log"):
            score -= 4.0 * on_the_hour
        elif table.name == "tank":
            score += 1.0 * on_the_hour
    return score


_FEW, _MANY = 5, 20


def _cows(table: Table, cow: Profile, moment: Profile | None) -> float:
    """How often a cow comes in a file, and how many at one moment."""
    score = 0.0
    if table.name == "cows":
        score += 2.0 if cow.each_in_a_file < 1.2 else -3.0
    if moment is None or not len(moment.known):
        return score
    alike = len(moment.known) / len(np.unique(moment.known))
    if table.name == "cow_tests":
        score += 2.5 if alike > 5 else -3.0
    if table.name == "visits":
        score += -3.0 if alike > 2.5 and moment.shape == "moment" else 1.0
    return score


def _others(table: Table, chosen: Mapping[str, Guess], profiles: Sequence[Profile]) -> float:
    """What is left besides the fields: words where figures would be, or figures where words would be."""
    taken = {one.source.title for one in chosen.values()}
    texts = [p for p in profiles if p.shape == "text" and p.distinct > 1 and p.title not in taken and not p.is_flag]
    if table.name == "tank":
        return -1.5 * len(texts)
    if table.name == "box_log":
        figures = [p for p in profiles if p.shape in ("number", "span") and not is_counter(p) and p.distinct > 12]
        entries = [p for p in profiles if p.shape == "text" and 3 <= p.distinct <= 20]
        return (1.5 if entries else -1.0) - 1.5 * len(figures)
    return 0.0
