"""How many true drops of milk are found, how soon, and how often a healthy cow is told of."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from sentinel.flow.evaluation.spans import spans
from sentinel.flow.measures.base.shape import Measure, Options, Readings
from sentinel.flow.measures.milking.outcomes import not_broken_off
from sentinel.flow.measures.milking.yield_day import at_milkings
from sentinel.flow.measures.milking.yield_drop import YIELD_DROP_PCT, compared
from sentinel.flow.measures.milking.yield_share import milk_of
from sentinel.flow.rules import Rule
from sentinel.flow.tables import Tables

from .truth import AFTERWARDS_S, BEGUN_S, SLIGHT_DROP, TRUE_DROP, Spell

NAME = "yield-drop"


def plain_drop_pct(tables: Tables, per: str, options: Options) -> Readings:
    """The drop as it was: every interval as it stands in the record, and not beside her own spread."""
    milk = milk_of(tables.visits)
    found = compared(milk, int(options["within"]))
    enough = not_broken_off(milk.rows.take(tables.visits["outcome"])) & found.is_known
    value = np.where(enough, 100.0 * (1.0 - found.rate / np.where(enough, found.expected, 1.0)), np.nan)
    return at_milkings(
        tables,
        milk,
        value,
        np.where(enough, "", "not known"),
        kg_a_day=np.where(found.lately, found.rate, np.nan),
        expected_kg_a_day=np.where(found.has_level, found.expected, np.nan),
    )


BEFORE, NOW = "before", "now"
WAYS: Mapping[str, Measure] = {BEFORE: replace(YIELD_DROP_PCT, compute=plain_drop_pct), NOW: YIELD_DROP_PCT}


@dataclass(frozen=True, slots=True)
class YieldScore:
    """What was found on some herds: `hours` per true drop, from its spell's first day, NaN where it was not found.

    `slight`: the same of drops of 20 to 25 %. `false`: alerts on healthy cows, over `days` healthy cow-days. `told`:
    whole milkings at which a drop could be judged, of `milkings`.
    """

    hours: tuple[float, ...]
    slight: tuple[float, ...]
    false: int
    between: int
    days: int
    told: int
    milkings: int

    def __add__(self, other: YieldScore) -> YieldScore:
        """Both together."""
        mine, others = (
            (one.hours, one.slight, one.false, one.between, one.days, one.told, one.milkings) for one in (self, other)
        )
        return YieldScore(*(a + b for a, b in zip(mine, others, strict=True)))  # type: ignore[operator]

    @property
    def false_per_1000(self) -> float:
        """False alerts per 1,000 cow-days of healthy cows."""
        return 1000.0 * self.false / max(self.days, 1)


def raised(rule: Rule, measure: Measure, tables: Tables) -> list[tuple[str, int]]:
    """Cow and moment of each alert; what is raised again soon is the same alert (`again_within`)."""
    held = spans(rule, measure, tables).held
    found, ended = [], defaultdict(lambda: -(1 << 60))
    for subject, start, end in zip(held["subject"], held["start"].tolist(), held["end"].tolist(), strict=True):
        if start > ended[subject] + rule.again_within_s:
            found.append((str(subject).partition(":")[2], start))
        ended[subject] = end
    return found


def score(
    rule: Rule, measure: Measure, tables: Tables, spells: Sequence[Spell], healthy: int, begin: int
) -> YieldScore:
    """The alerts of a rule on one record.

    A drop is found by the first alert on the cow from the beginning of its spell to its end. An alert within two days
    after a spell, or within one of less than 20 %, is neither true nor false (`between`); all others are false.
    """
    alerts: dict[str, list[int]] = defaultdict(list)
    for cow, at in raised(rule, measure, tables):
        if at >= begin + BEGUN_S:
            alerts[cow].append(at)
    deep, slight, meant = [], [], set()
    between = 0
    for one in spells:
        if one.start < begin + BEGUN_S:
            continue
        hit = [at for at in alerts[one.cow] if one.start <= at < one.until]
        hours = (hit[0] - one.start) / 3600.0 if hit else float("nan")
        if one.depth >= TRUE_DROP:
            deep.append(hours)
        elif one.depth >= SLIGHT_DROP:
            slight.append(hours)
        else:
            between += len(hit)
    for one in spells:
        meant |= {(one.cow, at) for at in alerts[one.cow] if one.start <= at < one.until + AFTERWARDS_S}
    false = sum(len(moments) for moments in alerts.values()) - len(meant)
    found = measure.compute(tables, "cow", measure.settings(rule.options))
    assert isinstance(found, Readings)
    told = int(found.frame["value"].notna().sum())
    return YieldScore(tuple(deep), tuple(slight), false, between, healthy, told, len(found.frame))
