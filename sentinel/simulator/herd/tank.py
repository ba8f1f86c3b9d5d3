"""The tank and the milk recording: litres and temperature by the hour, the laboratory's results, the cows' tests."""

from __future__ import annotations

import numpy as np
import pandas as pd

from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import COW_TESTS, TANK, frame_types
from sentinel.simulator.boxes.traffic import Visits
from sentinel.simulator.figures import MilkFigures, MishapFigures
from sentinel.simulator.herd.episodes import course
from sentinel.simulator.herd.lactations import Lives
from sentinel.simulator.plans.happenings import Plan
from sentinel.simulator.spec import QUIET_DAYS, Calendar, Dice, Numbers, Whole

COLLECTED, COLLECTION_DAYS = "09:30", 2
RECORDING_DAYS = 28
TANK_NAME = "1"
KG_PER_LITRE = 1.03
"""From memory: milk weighs 1.03 kg a litre."""


def cow_cells(milk: MilkFigures, calendar: Calendar, lives: Lives, plan: Plan) -> Numbers:
    """Cells of each place's cow on each day at noon, in 1000/ml: her own, with drift and episodes."""
    cow = lives.lactations.cow[np.maximum(lives.lactation, 0)]
    cells = lives.cows.cells[cow] * plan.herd_cells[None, :]
    noon = calendar.first + np.arange(calendar.days) * DAY_S + DAY_S // 2
    for one in plan.udder:
        hers = course(one, noon) * (lives.lactation[one.place] == one.lactation)
        cells[one.place] += hers * one.cells_k_ml * lives.cows.share[one.cow, one.quarter]
    return np.where(lives.lactation >= 0, cells, np.nan)


def withheld(plan: Plan, visits: Visits) -> np.ndarray:
    """Whether a visit's milk was kept apart because people had noticed an episode."""
    apart = np.zeros(len(visits.start), dtype=bool)
    for one in plan.udder:
        since, until = one.withheld
        if until > since:
            apart |= (visits.lactation == one.lactation) & (visits.start >= since) & (visits.start < until)
    return apart


def collections(calendar: Calendar) -> Whole:
    """When the milk is collected: every second day."""
    days = calendar.local.days(calendar.begin, calendar.until)[::COLLECTION_DAYS]
    return np.array([calendar.local.at(f"{day} {COLLECTED}") for day in days], dtype=np.int64)


def tank_rows(
    milk: MilkFigures, m: MishapFigures, calendar: Calendar, lives: Lives, plan: Plan, visits: Visits, dice: Dice
) -> pd.DataFrame:
    """The tank's own readings at every full hour, and the laboratory's result of each collection."""
    rng = dice.of("vat")
    hours = np.arange(calendar.begin + HOUR_S, calendar.until, HOUR_S)
    emptied = collections(calendar)
    poured = np.where(withheld(plan, visits), 0.0, visits.milk_kg)
    total = np.append(0.0, np.cumsum(poured) / KG_PER_LITRE)
    since = np.append(calendar.begin, emptied)[np.searchsorted(emptied, hours, side="right")]
    litres = total[np.searchsorted(visits.start, hours)] - total[np.searchsorted(visits.start, since)]
    age_h = (hours - since) / HOUR_S
    warm = m.tank_C + 4.5 * np.exp(-age_h / 1.6) * (since > calendar.begin) + 0.15 * rng.standard_normal(len(hours))
    for spell in plan.tank:
        at = (hours - spell.start) / max(spell.until - spell.start, 1)
        warm += np.where((at >= 0) & (at < 1), spell.size * np.sin(np.pi * np.clip(at, 0, 1) * 0.9), 0.0)
    cells, bacteria = _laboratory(milk, m, calendar, lives, plan, visits, poured, emptied, rng)
    nothing = np.full(len(emptied), np.nan)
    frame = pd.DataFrame(
        {
            "tank": TANK_NAME,
            "at": np.append(hours, emptied),
            "temperature_C": np.append(warm.round(1), nothing),
            "litres": np.append(litres.round(), nothing),
            "cells_k_ml": np.append(np.full(len(hours), np.nan), cells.round()),
            "bacteria_k_ml": np.append(np.full(len(hours), np.nan), bacteria.round()),
        }
    )
    return frame.astype(frame_types(TANK)).sort_values(["at", "tank"], kind="stable", ignore_index=True)


def _laboratory(
    milk: MilkFigures,
    m: MishapFigures,
    calendar: Calendar,
    lives: Lives,
    plan: Plan,
    visits: Visits,
    poured: Numbers,
    emptied: Whole,
    rng: np.random.Generator,
) -> tuple[Numbers, Numbers]:
    """Cells and bacteria of each collection, in 1000/ml."""
    cells = cow_cells(milk, calendar, lives, plan)[visits.place, calendar.day(visits.start)]
    batch = np.searchsorted(emptied, visits.start, side="right")
    use = (poured > 0) & ~np.isnan(cells)
    kg = np.bincount(batch[use], poured[use], minlength=len(emptied) + 1)[: len(emptied)]
    cells_kg = np.bincount(batch[use], (poured * cells)[use], minlength=len(emptied) + 1)[: len(emptied)]
    tank_cells = cells_kg / np.maximum(kg, 1.0) * np.exp(0.06 * rng.standard_normal(len(emptied)))
    bacteria = m.bacteria_k_ml * np.exp(m.bacteria_spread * rng.standard_normal(len(emptied)))
    for spell in plan.dirty:
        bacteria = np.where((emptied >= spell.start) & (emptied < spell.until), bacteria * spell.size, bacteria)
    return tank_cells, np.maximum(bacteria, 1.0)


def cow_test_rows(
    milk: MilkFigures, calendar: Calendar, lives: Lives, plan: Plan, visits: Visits, dice: Dice
) -> pd.DataFrame:
    """Milk recording every four weeks: cells and the day's milk of each cow in milk for five days or more."""
    rng = dice.of("recording")
    cells = cow_cells(milk, calendar, lives, plan)
    days = calendar.local.days(calendar.begin, calendar.until)[QUIET_DAYS // 2 :: RECORDING_DAYS]
    parts = []
    for day in days:
        at = calendar.local.at(f"{day} 12:00")
        number = int(calendar.day(np.array(at)))
        places = np.flatnonzero(lives.days_in_milk[:, number] > 5)
        recent = (visits.start > at - DAY_S) & (visits.start <= at)
        kg = np.bincount(visits.place[recent], visits.milk_kg[recent], minlength=len(cells))[places]
        tested = cells[places, number] * np.exp(milk.cells_test * rng.standard_normal(len(places)))
        cows = lives.lactations.cow[lives.lactation[places, number]]
        names = np.array(lives.cows.numbers, dtype=object)[cows]
        parts.append(pd.DataFrame({"cow": names, "at": at, "cells_k_ml": tested.round(), "milk_kg": kg.round(1)}))
    frame = pd.concat(parts).astype(frame_types(COW_TESTS))
    return frame.sort_values(["at", "cow"], kind="stable", ignore_index=True)
