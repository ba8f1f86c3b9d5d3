"""How a cow's four quarters are doing: conductivity and share of the milk, each against its own usual."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import median
from typing import Any

import numpy as np

from sentinel.flow.measures.base.shape import Readings
from sentinel.flow.measures.udder.change import NO_READING, STUCK
from sentinel.flow.measures.udder.conductivity import IMPOSSIBLE, KICKED_OFF, PERHAPS_OFF
from sentinel.flow.measures.udder.evidence import TOO_FEW, UDDER_EVIDENCE
from sentinel.flow.model import QUARTERS
from sentinel.flow.tables import Tables
from sentinel.flow.views.parts.timeline import GLANCE_S, number, records
from sentinel.flow.views.parts.visits import Visit

COURSE = 14
"""So many milkings of a quarter are drawn."""

SHARES_FEWEST, SHARES_MOST = 5, 14
"""A usual share of the milk is the middle one of 14 milkings before, of 5 at least (our choice, no source)."""

FAULTS = {
    KICKED_OFF: "cup_off",
    PERHAPS_OFF: "cup_perhaps_off",
    IMPOSSIBLE: "impossible",
    STUCK: "stuck",
    TOO_FEW: "too_few",
    NO_READING: "no_reading",
}
"""A code for why nothing is told of a quarter at a milking."""


@dataclass(frozen=True, slots=True)
class QuarterState:
    """One quarter at her last milking.

    `conductivity` and `usual` in mS/cm, as the rule on quarters sees them, `rise_pct` the one over the other; `fault`
    is a code of `FAULTS` where the reading tells nothing, "" where it does. `share_pct` is its part of the milk of the
    four and `usual_share_pct` what is usual for it; None where the milking was cut short or a weight is missing.
    `course`: its readings of the last milkings in mS/cm, None where there was none that counts. `alert`: the number of
    the alert that stands on it.
    """

    quarter: str
    conductivity: float | None
    usual: float | None
    rise_pct: float | None
    fault: str
    share_pct: float | None
    usual_share_pct: float | None
    course: tuple[float | None, ...]
    alert: int | None = None


@dataclass(frozen=True, slots=True)
class Udder:
    """Her four quarters at her last milking with readings, `at`; `cut_short`: it was not whole, or a cup came off."""

    at: int
    cut_short: bool
    quarters: tuple[QuarterState, ...]


def udder_of(cow: str, visits: Sequence[Visit], tables: Tables, at: int) -> Udder | None:
    """The quarters of a cow at her last milking up to `at`; None if no quarter of hers was read in two weeks.

    `visits`: hers in order, the newest last. Figures and their usual are those of the evidence on quarters.
    """
    milkings = [v for v in visits if v.quarters and v.at > at - GLANCE_S]
    if not milkings:
        return None
    last, earlier = milkings[-1], milkings[:-1]
    told = _evidence(cow, tables, at)
    shares = _shares(last)
    usual = [_usual_share([_shares(milking) for milking in earlier], n) for n in range(len(QUARTERS))]
    states = []
    for n, quarter in enumerate(QUARTERS):
        row = told.get((quarter, last.at), {})
        read = last.quarters[n].conductivity
        fault = FAULTS.get(str(row.get("why", "")), "") if row else "no_reading" if read is None else "too_few"
        states.append(
            QuarterState(
                quarter,
                read,
                number(row.get("baseline")),
                None if fault else number(row.get("rise_pct")),
                fault,
                shares[n] if shares else None,
                usual[n],
                tuple(_reading(told.get((quarter, milking.at))) for milking in milkings[-COURSE:]),
            )
        )
    return Udder(last.at, _cut_short(last), tuple(states))


def with_alerts(udder: Udder, standing: Mapping[str, int | None], usual: Mapping[str, float]) -> Udder:
    """The same with the alerts that stand on its quarters, by quarter, and compared with what was usual at their raise.

    `usual`: that conductivity in mS/cm, of the quarters with such an alert.
    """
    return replace(udder, quarters=tuple(_with_alert(one, standing, usual) for one in udder.quarters))


def _with_alert(one: QuarterState, standing: Mapping[str, int | None], usual: Mapping[str, float]) -> QuarterState:
    one, was = replace(one, alert=standing.get(one.quarter)), usual.get(one.quarter)
    if was is None or one.conductivity is None or one.rise_pct is None:
        return one
    return replace(one, usual=was, rise_pct=100.0 * (one.conductivity / was - 1.0))


def _evidence(cow: str, tables: Tables, at: int) -> dict[tuple[str, int], dict[str, Any]]:
    """What the evidence on quarters reads of one cow in two weeks, by quarter and milking."""
    farm = replace(tables.farm, asked_cows=frozenset({cow}), asked_from=at - GLANCE_S)
    readings = UDDER_EVIDENCE.compute(replace(tables, farm=farm), "quarter", UDDER_EVIDENCE.settings({}))
    assert isinstance(readings, Readings)
    frame = readings.frame[["subject", "at", "value", "why", "rise_pct", "conductivity", "baseline"]]
    moments = frame["at"].to_numpy(np.int64)
    hers = {f"quarter:{cow}/{quarter}": quarter for quarter in QUARTERS}
    rows = frame[frame["subject"].isin(hers).to_numpy(bool) & (moments > at - GLANCE_S) & (moments <= at)]
    return {(hers[str(row["subject"])], int(row["at"])): row for row in records(rows)}


def _reading(row: dict[str, Any] | None) -> float | None:
    """A reading that counts."""
    fits = row is not None and str(row["why"]) in ("", TOO_FEW)
    return number(row["conductivity"]) if row is not None and fits else None


def _cut_short(milking: Visit) -> bool:
    """Whether a milking was not whole, or one of its cups came off."""
    return milking.outcome != "milked" or any(quarter.kicked_off for quarter in milking.quarters)


def _shares(milking: Visit) -> list[float] | None:
    """Each quarter's part of a whole milking in %; None where one was not weighed or was cut short."""
    kg = [quarter.milk_kg for quarter in milking.quarters if quarter.milk_kg is not None]
    if _cut_short(milking) or len(kg) < len(QUARTERS) or not sum(kg) > 0:
        return None
    return [100.0 * one / sum(kg) for one in kg]


def _usual_share(earlier: Sequence[list[float] | None], n: int) -> float | None:
    """The middle one of a quarter's last shares."""
    known = [shares[n] for shares in earlier if shares is not None][-SHARES_MOST:]
    return median(known) if len(known) >= SHARES_FEWEST else None
