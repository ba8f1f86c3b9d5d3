"""One tank's page: temperature and litres of two weeks, and the laboratory's results of the last months."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sentinel.flow.measures import measure_named
from sentinel.flow.model import DAY_S, Alert
from sentinel.flow.rules import Rule
from sentinel.flow.tables import FeedFacts, Tables
from sentinel.flow.views.parts.timeline import GLANCE_S, Mark, alert_marks, lately, number, records

TESTS_S = 120 * DAY_S
"""So far back the laboratory's results are shown: three months' means and what came before."""


@dataclass(frozen=True, slots=True)
class Reading:
    """Temperature in °C and litres at one moment."""

    at: int
    temperature_C: float | None
    litres: float | None


@dataclass(frozen=True, slots=True)
class TankTest:
    """One result of the laboratory: cells and bacteria in thousands per ml."""

    at: int
    cells_k_ml: float | None
    bacteria_k_ml: float | None


@dataclass(frozen=True, slots=True)
class TankPage:
    """One tank, the newest first. `limits`: the strictest bound of the rules on `cells`, `bacteria`, `temperature`."""

    tank: str
    known: bool
    known_until: int | None
    readings: tuple[Reading, ...]
    tests: tuple[TankTest, ...]
    limits: Mapping[str, float]
    marks: tuple[Mark, ...]


def tank_page(tank: str, tables: Tables, alerts: Iterable[Alert], rules: Mapping[str, Rule], at: int) -> TankPage:
    """One tank's page at `at`; `known` is false if no row ever named it."""
    rows = tables.tank[(tables.tank["tank"] == tank).to_numpy(bool)]
    readings, tests = [], []
    for row in reversed(records(lately(rows, at, "at", TESTS_S))):
        moment, warm, litres = int(row["at"]), number(row["temperature_C"]), number(row["litres"])
        cells, bacteria = number(row["cells_k_ml"]), number(row["bacteria_k_ml"])
        if (warm is not None or litres is not None) and moment > at - GLANCE_S:
            readings.append(Reading(moment, warm, litres))
        if cells is not None or bacteria is not None:
            tests.append(TankTest(moment, cells, bacteria))
    return TankPage(
        tank=tank,
        known=bool(len(rows)),
        known_until=_known_until(tables.farm.feeds, at),
        readings=tuple(readings),
        tests=tuple(tests),
        limits=limits_of(rules),
        marks=alert_marks(alerts, [f"tank:{tank}"], at),
    )


def _known_until(feeds: Sequence[FeedFacts], at: int) -> int | None:
    """Up to when the feed that is furthest tells of the tank: the laboratory's is days behind the sensor's."""
    moments = (feed.known_until for feed in feeds if "tank" in feed.tables)
    newest = max((moment for moment in moments if moment is not None), default=None)
    return None if newest is None else min(at, newest)


def limits_of(rules: Mapping[str, Rule]) -> dict[str, float]:
    """The highest bound of the rules on each figure of the tank: the limit itself, not the warning before it."""
    limits: dict[str, float] = {}
    for rule in rules.values():
        needs = measure_named(rule.measure).needs
        for name in ("cells", "bacteria", "temperature"):
            if any(n.startswith(f"tank.{name}") for n in needs) and rule.raise_over is not None:
                limits[name] = max(limits.get(name, rule.raise_over), rule.raise_over)
    return limits
