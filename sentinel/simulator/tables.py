"""The simulated rows as sentinel's own tables, rounded as the exports write them."""

from __future__ import annotations

import numpy as np
import pandas as pd

from sentinel.flow.model import DAY_S
from sentinel.flow.tables import BOX_LOG, COWS, QUARTER_VALUES, VISITS, ChoreFacts, FarmFacts, frame_types, wide
from sentinel.simulator.boxes.quarter_readings import QuarterReadings
from sentinel.simulator.boxes.traffic import OUTCOMES, REFUSED, Visits
from sentinel.simulator.boxes.upkeep import Upkeep
from sentinel.simulator.herd.lactations import Lives
from sentinel.simulator.plans.happenings import Plan
from sentinel.simulator.spec import Calendar, HerdSpec

CHORES = (("filter", "filter_changed"), ("wash", "washed"), ("optics", "optics_cleaned"), ("arm", "arm_calibrated"))
ALLOWED_FROM_D = ((0, 4), (100, 3), (230, 2))


def farm_facts(spec: HerdSpec, calendar: Calendar) -> FarmFacts:
    """What the measures may know of the farm."""
    chores = tuple(ChoreFacts(name, box, event) for name, event in CHORES for box in spec.box_names)
    return FarmFacts(boxes=spec.box_names, chores=chores, watched_since=calendar.begin)


def visit_frame(spec: HerdSpec, lives: Lives, visits: Visits, readings: QuarterReadings) -> pd.DataFrame:
    """`visits` with its quarters as wide columns, sorted by start, then cow."""
    cow = np.array(lives.cows.numbers, dtype=object)[lives.lactations.cow[visits.lactation]]
    refused = visits.outcome == REFUSED
    columns: dict[str, np.ndarray] = {
        "cow": cow,
        "start": visits.start,
        "box": np.array(spec.box_names, dtype=object)[visits.box],
        "duration_s": visits.duration_s.astype(float),
        "outcome": np.array(OUTCOMES, dtype=object)[visits.outcome],
        "milk_kg": np.where(refused, np.nan, visits.milk_kg.round(1)),
        "attach_s": visits.attach_s.round(),
        "attempts": np.where(refused, np.nan, visits.attempts),
    }
    measured = ~np.isnan(readings.milk_kg)
    values = {
        "conductivity_mS_cm": readings.conductivity.round(2),
        "milk_kg": readings.milk_kg.round(2),
        "kicked_off": np.where(measured, readings.kicked_off.astype(float), np.nan),
        **{f"{axis}_mm": readings.teats_mm[:, :, n].round() for n, axis in enumerate("xyz")},
    }
    for name in QUARTER_VALUES:
        columns |= {column: values[name][:, n] for n, column in enumerate(wide(name))}
    order = np.lexsort((cow, visits.start))
    frame = pd.DataFrame({name: column[order] for name, column in columns.items()})
    return frame.reindex(columns=list(frame_types(VISITS))).astype(frame_types(VISITS))  # the herd shows no others


def log_frame(calendar: Calendar, upkeep: Upkeep) -> pd.DataFrame:
    """`box_log` from the first day on."""
    events = [e for e in upkeep.events if e.at >= calendar.begin]
    frame = pd.DataFrame(
        {
            "box": [e.box for e in events],
            "at": [e.at for e in events],
            "event": [e.event for e in events],
            "text": pd.Series([e.text or None for e in events], dtype=object),
        }
    )
    frame = frame.drop_duplicates(["box", "at", "event"])
    return frame.astype(frame_types(BOX_LOG)).sort_values(["at", "box", "event"], kind="stable", ignore_index=True)


def cow_frame(calendar: Calendar, lives: Lives, plan: Plan) -> pd.DataFrame:
    """`cows`: what is true of each cow from when on: calved, allowed less often, milk kept apart, dried off."""
    rows: list[tuple[str, int, str, int, float, float, str]] = []
    spells = lives.lactations
    apart: dict[int, list[tuple[int, int]]] = {}
    for one in plan.udder:
        if one.withheld[1]:
            apart.setdefault(one.lactation, []).append(one.withheld)
    for n, number in enumerate(lives.cows.numbers):
        for lactation in np.flatnonzero(spells.cow == n).tolist():
            calved, dry = int(spells.calved[lactation]), int(spells.dry[lactation])
            day = float(calendar.local.at(f"{calendar.local.wall(calved).date()} 00:00"))
            group = "first lactation" if spells.number[lactation] == 1 else "older"
            steps = [(calved + d * DAY_S, float(a)) for d, a in ALLOWED_FROM_D if calved + d * DAY_S < dry]
            if n in lives.cows.once_a_day:
                steps = [(calved, 1.0)]
            changes = {at for at, _ in steps}
            spells_apart = apart.get(lactation, [])
            changes |= {at for spell in spells_apart for at in spell if calved < at < dry}
            number_and_day = (int(spells.number[lactation]), day)
            for at in sorted(changes):
                allowed = [a for since, a in steps if since <= at][-1]
                status = "withheld" if any(since <= at < until for since, until in spells_apart) else "milking"
                rows.append((number, at, group, *number_and_day, allowed, status))
            rows.append((number, dry, "dry", *number_and_day, 0.0, "dry"))
    names = ["cow", "from", "group", "lactation", "calved_on", "milkings_allowed", "status"]
    frame = pd.DataFrame(rows, columns=names)
    frame = frame[frame["from"] < calendar.until].sort_values(["from", "cow"], kind="stable")
    late = frame["from"] >= calendar.begin
    latest = frame[~late].drop_duplicates("cow", keep="last")  # of what was before, only how she stood on the first day
    listed = pd.concat([latest, frame[late]]).reindex(columns=list(frame_types(COWS)))  # the herd shows no others
    return listed.astype(frame_types(COWS)).reset_index(drop=True)
