"""The demo's week, worked out: the herd by its plan, with the truth counted in what was written."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from sentinel.simulator.exports.farm_folder import shipped_text, write_farm
from sentinel.simulator.plans.demo_week import FAILS, FARM, SEED, SETTINGS, STAYS_OUT, DemoWeek, demo_spec
from sentinel.simulator.simulated import Simulated
from sentinel.simulator.simulation import simulate
from sentinel.simulator.truth.counted import counted
from sentinel.simulator.truth.late_cows import LATE_OVER_H, late_items, late_spells


def demo_week(seed: int = SEED) -> Simulated:
    """The whole week of one seed; the same seed gives the same bytes."""
    herd = simulate(demo_spec(seed), DemoWeek())
    items = counted(herd)
    cows = {kind: [i["subject"][4:] for i in items if i["kind"] == kind] for kind in ("once-a-day", "dried-off")}
    spells = late_spells(
        herd.tables.visits, cows["once-a-day"], cows["dried-off"], herd.exports.first, herd.calendar.until
    )
    items += [item.plain() for item in late_items(spells, [name for name, _, _ in STAYS_OUT], [FAILS])]
    items.sort(key=lambda item: (item["from"], item["kind"], item["subject"]))
    return replace(herd, truth={**herd.truth, "farm": FARM, "late_over_h": LATE_OVER_H, "items": items})


def write_demo(out: Path, seed: int = SEED) -> tuple[Simulated, int, int]:
    """Write the week into the folder `out`; the herd, how many exports were written, and their bytes."""
    herd = demo_week(seed)
    count, size = write_farm(out, herd, texts={name: shipped_text(name) for name in SETTINGS})
    return herd, count, size
