"""The demo's week, put together: the herd, its traffic, the exports that tell of it, and the truth beside them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from importlib.resources import files as package_files
from pathlib import Path
from typing import Any

import numpy as np

from sentinel.flow.model import DAY_S
from sentinel.simulator.boxes.routine import make_routine
from sentinel.simulator.exports.arrivals import File, box_log_files, csv_files, herd_files, icar_files, tank_files
from sentinel.simulator.exports.record import records
from sentinel.simulator.local_time import rfc3339
from sentinel.simulator.truth.items import truth_text
from sentinel.simulator.week.herd import make_herd
from sentinel.simulator.week.milk import measure
from sentinel.simulator.week.parameters import Parameters, with_sources
from sentinel.simulator.week.script import (
    BOXES,
    CSV_BOXES,
    DRY,
    FARM,
    HISTORY_DAYS,
    ICAR_BOXES,
    IN_MILK,
    ROUNDS,
    SEED,
    SETTLE_DAYS,
    TODAY,
    ZONE,
    cast,
    slip_of_the_finger,
    write_script,
)
from sentinel.simulator.week.story import tell
from sentinel.simulator.week.visits import run_traffic

FARM_FILES = ("farm.yaml", "feeds/milkings.yaml", "feeds/boxlog.yaml", "feeds/herd.yaml", "feeds/tank.yaml")


@dataclass(frozen=True, slots=True)
class DemoWeek:
    """The week's exports by name, when each appears (in order), and the truth as plain JSON values."""

    files: dict[str, bytes]
    arrivals: tuple[tuple[str, int], ...]
    truth: dict[str, Any]


def demo_week(seed: int = SEED) -> DemoWeek:
    """The whole week of one seed; the same seed gives the same bytes."""
    p, rng = Parameters(), np.random.default_rng(seed)
    herd, roles = cast(make_herd(p, IN_MILK, DRY, len(BOXES), TODAY, rng), rng)
    script = write_script(roles)
    local, begin, until, faults = script.local, script.begin, script.until, script.faults
    first = begin - (HISTORY_DAYS + SETTLE_DAYS) * DAY_S
    routine = make_routine(p, BOXES, local, first, until, faults, rng)
    visits, dried = run_traffic(p, herd, BOXES, local, routine, ROUNDS, faults, first, until, rng)
    readings = measure(p, herd, BOXES, visits, faults, rng)
    made = [r for r in records(herd, BOXES, visits, readings) if r.start >= begin - HISTORY_DAYS * DAY_S]
    slip = slip_of_the_finger(script, made)

    days = local.days(begin, until)
    withheld = {w.cow: w.start for w in faults.withheld}
    files: list[File] = [
        *csv_files(made, frozenset(BOXES), CSV_BOXES, local, begin, until, script.silence, script.spoil_at),
        *icar_files(made, ICAR_BOXES, begin, until, [slip]),
        *box_log_files(routine.events, local, begin, until, frozenset({script.cut_at})),
        *herd_files(herd, local, [begin, *(local.at(f"{day} 05:00") for day in days)], faults, dried),
        *tank_files(p, made, withheld, local, days, rng),
    ]
    files.sort(key=lambda f: (f.arrives_at, f.name))
    truth = {
        "farm": FARM,
        "zone": ZONE,
        "seed": seed,
        "from": rfc3339(begin),
        "until": rfc3339(until),
        "boxes": list(BOXES),
        "cows_in_milk": IN_MILK,
        "cows_dry": DRY,
        "late_over_h": 14,
        "items": [i.plain() for i in tell(script, herd, made, routine.events, dried, slip, files)],
        "parameters": with_sources(p),
    }
    return DemoWeek({f.name: f.content for f in files}, tuple((f.name, f.arrives_at) for f in files), truth)


def arrivals_text(arrivals: Sequence[tuple[str, int]]) -> bytes:
    """`arrivals.csv`: which export appears when (files kept in git have no times of their own)."""
    lines = [f"{name},{rfc3339(at)}" for name, at in arrivals]
    return ("\n".join(["file,arrives_at", *lines]) + "\n").encode()


def write_demo(out: Path, seed: int = SEED) -> DemoWeek:
    """Write the week into the folder `out`: exports/, arrivals.csv, truth.json, farm.yaml and feeds/."""
    week = demo_week(seed)
    exports = out / "exports"
    exports.mkdir(parents=True, exist_ok=True)
    for name, content in week.files.items():
        (exports / name).write_bytes(content)
    (out / "arrivals.csv").write_bytes(arrivals_text(week.arrivals))
    (out / "truth.json").write_bytes(truth_text(week.truth))
    for name in FARM_FILES:
        target = out / name
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(package_files("sentinel.simulator").joinpath("farm", name).read_bytes())
    return week
