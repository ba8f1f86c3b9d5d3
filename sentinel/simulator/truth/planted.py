"""The ground truth as plain values: everything that was planted, with what a good operator would do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.model import HOUR_S, QUARTERS
from sentinel.simulator.boxes.upkeep import AXES, Upkeep
from sentinel.simulator.conditions import conditions_named, hardness_in
from sentinel.simulator.exports.arrivals import DELAY_S, box_log_name, csv_name
from sentinel.simulator.exports.mistyped import Mistyped
from sentinel.simulator.figures import Figures, listed
from sentinel.simulator.herd.lactations import Lives
from sentinel.simulator.local_time import rfc3339
from sentinel.simulator.plans.exports import ExportPlan
from sentinel.simulator.plans.happenings import ARM, CHRONIC, Plan
from sentinel.simulator.spec import Calendar, HerdSpec
from sentinel.simulator.truth.items import Item

LOOK = "Look at the quarter and its first milk at the next round; ask the vet what to do, keep withdrawal times."
BOX = "Go to the box: take it out of operation, follow its manual to "
CHORE_RULES = {"filter": "filter-overdue", "wash": "chore-due", "optics": "chore-due", "arm": "chore-due"}
CHORE_EVENTS = {"filter": "filter_changed", "wash": "washed", "optics": "optics_cleaned", "arm": "arm_calibrated"}


def tell(
    spec: HerdSpec,
    calendar: Calendar,
    lives: Lives,
    plan: Plan,
    exports: ExportPlan,
    upkeep: Upkeep,
    tank: pd.DataFrame,
    slips: Sequence[Mistyped],
) -> list[Item]:
    """Everything planted, in order of its beginning."""
    items = [
        *_udders(lives, plan),
        *_boxes(spec, plan),
        *_cows(lives, plan),
        *_never_late(calendar, lives, plan, exports),
        *_herd(plan),
        *_chores(spec, calendar, upkeep),
        *_tank(plan, tank),
        *_exports(plan, slips),
        *_never(plan, exports),
        *_files(calendar, exports),
    ]
    return sorted(items, key=lambda item: (item.start, item.kind, item.subject))


def truth_of(
    spec: HerdSpec, calendar: Calendar, exports: ExportPlan, items: list[Item], cows: int, figures: Figures
) -> dict[str, Any]:
    """`truth.json` as plain values."""
    conditions = [{"name": one.name, "means": one.means} for one in conditions_named(spec.conditions)]
    hardness = listed(hardness_in(spec.conditions)) if conditions else []
    return {
        "farm": f"Simulated herd {spec.seed}",
        "zone": spec.zone,
        "seed": spec.seed,
        **({"conditions": conditions} if conditions else {}),
        "from": rfc3339(exports.first),
        "until": rfc3339(calendar.until),
        "boxes": list(spec.box_names),
        "cows_in_milk": spec.cows,
        "cows_ever": cows,
        "items": [item.plain() for item in items],
        "parameters": [*figures.listed(), *hardness],
    }


def _udders(lives: Lives, plan: Plan) -> Iterator[Item]:
    for one in plan.udder:
        figures: dict[str, Any] = {
            "shape": one.shape,
            "rise_pct": round(100 * one.rise, 1),
            "full_at": rfc3339(one.start + one.grow_s),
            "cells_k_ml": round(one.cells_k_ml),
            "days_in_milk": round((one.start - int(lives.lactations.calved[one.lactation])) / (24 * HOUR_S)),
            "severe": one.severe,
        }
        if one.withheld[1]:
            figures |= {"withheld_from": rfc3339(one.withheld[0]), "withheld_until": rfc3339(one.withheld[1])}
        rises = one.kind != CHRONIC and one.shape != "flat"
        rules = ("quarter-conductivity",) if rises else ()
        subject = f"quarter:{lives.cows.numbers[one.cow]}/{QUARTERS[one.quarter]}"
        yield Item(one.kind, subject, one.start, one.until, rules, LOOK, figures)


def _boxes(spec: HerdSpec, plan: Plan) -> Iterator[Item]:
    for fault in plan.faults:
        subject = f"box:{spec.box_names[fault.box]}"
        figures: dict[str, Any] = {
            "failed": round(fault.failed, 3),
            "attach_factor": round(1 + fault.attach, 2),
            "full_at": rfc3339(fault.start + fault.grow_s),
            "counts_from": rfc3339(fault.start + fault.grow_s // 2),
        }
        if fault.kind == ARM:
            figures |= {"suspect": "arm", "axis": AXES[fault.axis], "shift_mm": round(fault.shift_mm, 1)}
            rules: tuple[str, ...] = ("box-failures", "arm-offset", "slow-attach")
            expect = BOX + "check where the arm rests, and note it."
        else:
            figures |= {"suspect": "optics", "hasty_wipes": fault.hasty}
            rules, expect = ("box-failures", "slow-attach"), BOX + "clean the optics, and note it."
        yield Item(fault.kind, subject, fault.start, fault.until, rules, expect, figures)
    for stop in plan.stops:
        minutes = round((stop.until - stop.start) / 60)
        rules = ("box-quiet",) if minutes > 90 else ()
        expect = BOX + "see why it stands still."
        yield Item(
            "box-stopped",
            f"box:{spec.box_names[stop.box]}",
            stop.start,
            stop.until,
            rules,
            expect,
            {"minutes": minutes},
        )
    for sensor in plan.sensors:
        kind = "sensor-stuck" if sensor.stuck else "sensor-drifts" if sensor.a_day else "sensor-high"
        figures = {"quarter": QUARTERS[sensor.quarter], "rise_pct": round(100 * sensor.rise, 1)}
        if sensor.a_day:
            figures = {"quarter": QUARTERS[sensor.quarter], "pct_a_day": round(100 * sensor.a_day, 2)}
        expect = BOX + "check the sensor; no cow is ill because of it."
        yield Item(kind, f"box:{spec.box_names[sensor.box]}", sensor.start, sensor.until, (), expect, figures)


def _cows(lives: Lives, plan: Plan) -> Iterator[Item]:
    for one in plan.fails:
        expect = "Look at her udder and how she stands in the box; no box is at fault."
        subject = f"cow:{lives.cows.numbers[one.cow]}"
        figures = {"chance": round(one.chance, 2), "suspect": "cow"}
        yield Item("cow-fails-everywhere", subject, one.start, one.until, ("cow-failures",), expect, figures)
    for off in plan.off:
        expect = "See whether she eats and walks as usual; ask the vet if not."
        subject, size = f"cow:{lives.cows.numbers[off.cow]}", {"drop_pct": round(100 * off.size)}
        yield Item("yield-drop", subject, off.start, off.until, ("yield-drop",), expect, size)

    for kicks in plan.kicks:
        expect = "Look at the quarter: it is sore, and its cup is kicked off."
        subject = f"quarter:{lives.cows.numbers[kicks.cow]}/{QUARTERS[kicks.quarter]}"
        yield Item("cup-kicked-off", subject, kicks.start, kicks.until, (), expect, {"chance": kicks.chance})

    for day in plan.off_days:
        expect = "Nothing at the udder: her four quarters read high together and come down by themselves."
        subject, rise = f"cow:{lives.cows.numbers[day.cow]}", {"rise_pct": round(100 * day.rise, 1)}
        yield Item("cow-off-day", subject, day.start, day.until, (), expect, rise)


def _never_late(calendar: Calendar, lives: Lives, plan: Plan, exports: ExportPlan) -> Iterator[Item]:
    """Cows that look late and are not."""
    for cow in sorted(lives.cows.once_a_day):
        expect = "Nothing: she is allowed one milking a day."
        yield Item("once-a-day", f"cow:{lives.cows.numbers[cow]}", exports.first, calendar.until, (), expect)
    for one in plan.dried:
        expect = "Nothing: she is dry, and the herd list says so before she could be late."
        yield Item("dried-off", f"cow:{lives.cows.numbers[one.cow]}", one.at, None, (), expect)


def _herd(plan: Plan) -> Iterator[Item]:
    for one in plan.disturbed:
        expect = "See what upsets the herd: flies, heat, strangers, air or vacuum. No box is at fault."
        yield Item(
            "herd-disturbed",
            "herd",
            one.start,
            one.until,
            (),
            expect,
            {"failed": round(one.failed, 3), "suspect": "herd"},
        )
    for hot in plan.hot_spells:
        expect = "Nothing at the udders: all quarters of all cows drift together."
        yield Item("heat", "herd", hot.start, hot.until, (), expect, {"rise_pct": round(100 * hot.size, 1)})


def _chores(spec: HerdSpec, calendar: Calendar, upkeep: Upkeep) -> Iterator[Item]:
    """Each forgotten chore with the times it was done before and after."""
    done: dict[tuple[str, str], list[int]] = {}
    for event in upkeep.events:
        done.setdefault((event.box, event.event), []).append(event.at)
    for left in upkeep.forgotten:
        box = spec.box_names[left.box]
        times = np.array(done[box, CHORE_EVENTS[left.chore]])
        place = int(np.searchsorted(times, left.at))
        if left.at < calendar.begin or place in (0, len(times)):
            continue
        before, after = int(times[place - 1]), int(times[place])
        kind, subject = "chore-forgotten", f"chore:{left.chore}/{box}"
        if left.chore == "filter":
            kind, subject = "filter-forgotten", f"box:{box}"
        expect = "Do it at the next round and note it."
        figures = {"last_done": rfc3339(before), "hours": round((after - before) / HOUR_S, 2)}
        yield Item(kind, subject, left.at, after, (CHORE_RULES[left.chore],), expect, figures)


def _tank(plan: Plan, tank: pd.DataFrame) -> Iterator[Item]:
    results = tank[tank["cells_k_ml"].notna()]
    for spell in plan.tank:
        seen = tank[(tank["at"] >= spell.start) & (tank["at"] < spell.until)]["temperature_C"].max()
        expect = "See to the cooling of the tank; ask the milk buyer what to do with the milk."
        yield Item("tank-warm", "tank:1", spell.start, spell.until, ("tank-warm",), expect, {"highest_C": float(seen)})
    for spell in plan.dirty:
        seen = results[(results["at"] >= spell.start) & (results["at"] < spell.until)]["bacteria_k_ml"].max()
        expect = "See to washes, water temperature, seals and filters."
        if not np.isnan(seen):
            yield Item(
                "tank-bacteria-high",
                "tank:1",
                spell.start,
                spell.until,
                ("tank-bacteria",),
                expect,
                {"highest": float(seen)},
            )
    mean = np.exp(np.log(results["cells_k_ml"]).rolling(45, min_periods=3).mean())  # about three months of results
    over = results["at"][mean > 400]
    if len(over):
        expect = "Find the cows whose milk carries the most cells; ask the vet and the milk buyer."
        highest = {"highest_mean": round(float(mean.max()))}
        yield Item("tank-cells-over", "tank:1", int(over.iloc[0]), None, ("tank-cells",), expect, highest)


def _exports(plan: Plan, slips: Sequence[Mistyped]) -> Iterator[Item]:
    for outage in plan.outages:
        hours = {"hours": round((outage.until - outage.start) / HOUR_S, 1)}
        expect = "See why the herd computer writes no export; no cow is late because of it."
        yield Item(
            "export-stopped", "feed:milkings", outage.start, outage.until + DELAY_S, ("feed-quiet",), expect, hours
        )
    for slip in slips:
        figures = {
            "start": rfc3339(slip.start),
            "first_kg": slip.wrong_kg,
            "corrected_kg": round(slip.wrong_kg / 10, 1),
        }
        expect = "Nothing: the correction replaces the first figure and is kept in the log."
        yield Item("row-corrected", f"cow:{slip.cow}", slip.start, slip.corrected_at, (), expect, figures)


def _never(plan: Plan, exports: ExportPlan) -> Iterator[Item]:
    """Visit lists that never come, from the last one before them to the first after."""
    for spell in plan.lost:
        count = {"exports": (spell.until - spell.start) // exports.every_s}
        expect = "See why some exports never come; what happened in those hours is not known."
        start, until = spell.start - exports.every_s + DELAY_S, spell.until + DELAY_S
        yield Item("exports-lost", "feed:milkings", start, until, (), expect, count)


def _files(calendar: Calendar, exports: ExportPlan) -> Iterator[Item]:
    for stamp in exports.cut_at:
        subject = f"file:boxlog/{box_log_name(stamp, calendar.local)}"
        expect = "Nothing at the boxes: the next file holds the same entries. If it comes again, see to the export."
        figures = {"feed": "feed:boxlog", "feed_known_until": rfc3339(stamp - HOUR_S)}
        rules = ("rows-set-aside", "feed-quiet")
        yield Item("file-cut", subject, stamp + DELAY_S, stamp + DELAY_S + HOUR_S, rules, expect, figures)
    for stamp in exports.unreadable_at:
        subject = f"file:milkings/{csv_name(stamp, calendar.local)}"
        expect = "Nothing at the boxes: the next file holds the rows whole."
        span = stamp + DELAY_S, stamp + DELAY_S + HOUR_S
        yield Item("rows-unreadable", subject, *span, ("rows-set-aside",), expect)
