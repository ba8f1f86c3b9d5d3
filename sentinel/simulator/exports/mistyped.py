"""Milk weights typed with the decimal mark in the wrong place, and put right some hours later."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from sentinel.flow.model import HOUR_S
from sentinel.simulator.plans.happenings import Plan
from sentinel.simulator.spec import HerdSpec


@dataclass(frozen=True, slots=True)
class Mistyped:
    """A visit's milk was written as `wrong_kg` and put right at `corrected_at`."""

    cow: str
    start: int
    wrong_kg: float
    corrected_at: int


def icar_box(spec: HerdSpec) -> str | None:
    """The box that writes the ICAR dialect: the last one, if there is more than one."""
    return spec.box_names[-1] if spec.boxes > 1 else None


def slips_of(spec: HerdSpec, plan: Plan, visits: pd.DataFrame) -> list[Mistyped]:
    """The corrections, at the box whose dialect says when a row was changed; none with one box only."""
    milkings = visits[(visits["box"] == icar_box(spec)) & (visits["outcome"] == "milked")]
    places = milkings["start"].searchsorted(plan.mistyped)
    rows = milkings.iloc[sorted({int(p) for p in places if p < len(milkings)})]
    hours = plan.corrected_after_h
    return [
        Mistyped(str(cow), int(start), round(10 * kg, 1), int(start) + hours[n % len(hours)] * HOUR_S)
        for n, (cow, start, kg) in enumerate(zip(rows["cow"], rows["start"], rows["milk_kg"], strict=True))
    ]
