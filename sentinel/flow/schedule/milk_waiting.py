"""How much milk is waiting in cows to be fetched: each one's own kilos an hour, times the hours since milking."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np

from sentinel.flow.evaluation.known_until import known_of
from sentinel.flow.measures.milking.outcomes import outcomes
from sentinel.flow.measures.milking.yield_day import YIELD_24H_KG
from sentinel.flow.model import HOUR_S
from sentinel.flow.tables import Tables


@dataclass(frozen=True, slots=True)
class MilkWaiting:
    """The milk that waits in a cow, in kg (None: too few of her milkings lately have a weight), and since how many h.

    `hours`: since her last whole milking, at the moment up to which the visits are known; None if none is known.
    """

    kg: float | None
    hours: float | None

    @property
    def order(self) -> tuple[float, float]:
        """Most milk first, then those of whom no milk is known, the longest unmilked first."""
        return (0.0 if self.kg is None else -self.kg, 0.0 if self.hours is None else -self.hours)


NOT_KNOWN = MilkWaiting(None, None)


def milk_waiting(tables: Tables, cows: Collection[str], at: int) -> Mapping[str, MilkWaiting]:
    """The milk that waits in some cows at a moment.

    A cow's kilos an hour are those of her last four days of whole intervals (`yield_24h_kg`). They are taken to go on
    evenly; past some 16 h an udder fills more slowly, so of a very late cow it is rather too much (from memory).
    """
    if not cows:
        return {}
    until = known_of("visits", tables.farm.feeds, at)
    until = at if until is None else min(at, until)
    hers = tables.of_cows(frozenset(cows))
    names, start = hers.visits["cow"].to_numpy(object), hers.visits["start"].to_numpy(np.int64)
    whole = (outcomes(hers.visits) == "milked") & (start <= until)
    last = dict(zip(map(str, names[whole]), map(int, start[whole]), strict=True))  # the rows are in order of time
    readings = YIELD_24H_KG.compute(hers, "cow", {}).frame
    known = readings[readings["value"].notna() & (readings["at"] <= until)]
    kg_a_day = {
        subject.partition(":")[2]: value for subject, value in zip(known["subject"], known["value"], strict=True)
    }
    found = {}
    for cow in cows:
        hours = (until - last[cow]) / HOUR_S if cow in last else None
        kg = None if hours is None or cow not in kg_a_day else float(kg_a_day[cow]) / 24 * hours
        found[cow] = MilkWaiting(kg, hours)
    return found
