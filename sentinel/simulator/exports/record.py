"""One visit as the boxes know it: what every dialect writes down in its own words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from sentinel.simulator.week.herd import Herd
from sentinel.simulator.week.milk import Readings
from sentinel.simulator.week.visits import Visit


class Quarter(NamedTuple):
    """One quarter at one visit; NaN where nothing was measured."""

    conductivity: float
    milk_kg: float
    kicked_off: bool
    teat_mm: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Record:
    """One visit with its four quarters; kilograms are rounded as a scale shows them."""

    start: int
    cow: str
    box: str
    outcome: str
    duration_s: int
    attach_s: float
    attempts: int
    milk_kg: float
    hours: float
    quarters: tuple[Quarter, ...]


def records(herd: Herd, boxes: tuple[str, ...], visits: Sequence[Visit], readings: Readings) -> list[Record]:
    """The visits with names for places and their readings beside them."""
    conductivity = readings.conductivity.round(2).tolist()
    milk = readings.milk_kg.round(2).tolist()
    off = readings.kicked_off.tolist()
    teats = readings.teats_mm.round().tolist()
    made = []
    for i, v in enumerate(visits):
        quarters = tuple(
            Quarter(c, m, o, (t[0], t[1], t[2]))
            for c, m, o, t in zip(conductivity[i], milk[i], off[i], teats[i], strict=True)
        )
        made.append(
            Record(
                start=v.start,
                cow=herd.numbers[v.cow],
                box=boxes[v.box],
                outcome=v.outcome,
                duration_s=v.duration_s,
                attach_s=v.attach_s,
                attempts=v.attempts,
                milk_kg=round(v.milk_kg, 1),
                hours=v.hours,
                quarters=quarters,
            )
        )
    return made
