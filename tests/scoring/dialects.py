"""The same herd as visit lists and as ICAR ADE: what the rules find in each. `python -m tests.scoring.dialects 3 41`.

The standard has no word for a milking that failed, no time to attach and no cup that came off. One failed visit in four
gave a drop of milk here (our choice, no source).
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.bounds import Bounds
from sentinel.flow.feeds import read_icar
from sentinel.flow.measures.milking.outcomes import outcomes
from sentinel.flow.model import DAY_S, Export
from sentinel.flow.replay import Raised
from sentinel.flow.tables import QUARTER_VALUES, VISITS, frame_types
from sentinel.simulator import HerdSpec, Simulated, simulate
from sentinel.simulator.exports.icar_collection import icar_visit
from sentinel.simulator.exports.record import visit_records

from .episodes import BOX_FAULTS, UDDER, Episode, episodes
from .report import BOX_RULES, raised_by, shipped_rules
from .score import detections, false_alerts

RULES = (*BOX_RULES, "yield-drop", "quarter-conductivity", "cow-failures")
DROPS, DROP_KG = 0.25, (0.1, 1.2)


def with_drops(herd: Simulated) -> Simulated:
    """The herd with a drop of milk at one failed visit in four."""
    chance = np.random.default_rng([herd.spec.seed, 77])
    visits = herd.tables.visits.copy()
    failed = np.flatnonzero((visits["outcome"] == "failed").to_numpy(bool))
    some = failed[chance.random(len(failed)) < DROPS]
    visits.loc[some, "milk_kg"] = chance.uniform(*DROP_KG, len(some)).round(1)
    return replace(herd, tables=replace(herd.tables, visits=visits))


def as_icar(herd: Simulated) -> Simulated:
    """The same herd with its visits as they come back from an ICAR collection of all boxes."""
    visits = herd.tables.visits
    records = visit_records(visits[(visits["outcome"] != "refused").to_numpy(bool)].reset_index(drop=True))
    items = [icar_visit(one, one.start + one.duration_s, timed=True) for one in records]
    a_season = Bounds(size=10**9, rows=10**6, cells=10**8)  # a farm gets it in many files
    batch = read_icar(Export("visits.json", json.dumps(items).encode(), 0), bounds=a_season)
    assert not batch.set_aside, batch.set_aside[:3]
    read = {part.table: pd.DataFrame(list(part.values), columns=list(part.columns)) for part in batch.rows}
    told, quarters = read["visits"], read["quarters"]
    kinds = frame_types(VISITS)
    frame = pd.DataFrame({name: told[name] if name in told else None for name in kinds}).astype(kinds)
    key = pd.MultiIndex.from_frame(told[["cow", "start"]])
    for name, of_quarter in quarters.groupby("quarter"):
        rows = of_quarter.set_index(["cow", "start"]).reindex(key)
        for value in QUARTER_VALUES:
            if value in rows:
                frame[f"{str(name).lower()}_{value}"] = rows[value].to_numpy(float)
    frame["outcome"] = frame["outcome"].where(frame["outcome"].notna(), None)
    frame = frame.sort_values(["start", "cow"], kind="stable", ignore_index=True)
    return replace(herd, tables=replace(herd.tables, visits=frame))


def called(herd: Simulated, icar: Simulated) -> Counter[tuple[str, str]]:
    """How often visits that ended in one way are told to have ended in another: (true, told)."""
    told = icar.tables.visits.assign(ended=outcomes(icar.tables.visits)).set_index(["cow", "start"])["ended"]
    true = herd.tables.visits.set_index(["cow", "start"])["outcome"]
    return Counter((str(true[key]), str(ended)) for key, ended in told.items())


def found(herd: Simulated) -> Mapping[str, Any]:
    """What the rules find in a herd, and how often for nothing."""
    alerts = raised_by({name: rule for name, rule in shipped_rules().items() if name in RULES}, herd)
    truth = herd.items
    planted, udders, faults = (episodes(truth, kinds) for kinds in (("yield-drop",), UDDER, BOX_FAULTS))
    ill = [replace(one, subject=f"cow:{one.subject[8:-3]}") for one in udders]
    drops = [one for one in alerts if one.rule == "yield-drop"]
    quarters = [one for one in alerts if one.rule == "quarter-conductivity"]
    boxes = [one for one in alerts if one.rule in BOX_RULES]
    slow = [one for one in boxes if one.rule == "slow-attach"]
    return {
        "planted drops found": _found([replace(one, find_by=one.until) for one in planted], drops),
        "yield-drop false": len(false_alerts(drops, [*planted, *ill])),
        "yield-drop raised at": dict(Counter(_raised_at(herd, one) for one in drops)),
        "clinical quarters found": _found([one for one in udders if one.kind == "udder-clinical"], quarters),
        "quarter-conductivity false": len(false_alerts(quarters, udders)),
        "optics found by slow-attach": _found([one for one in faults if one.suspect == "optics"], slow),
        "optics found": _found([one for one in faults if one.suspect == "optics"], boxes),
        "arms found": _found([one for one in faults if one.suspect == "arm"], boxes),
        "box rules false": len(false_alerts(boxes, faults)),
        "cow-failures": sum(one.rule == "cow-failures" for one in alerts),
    }


def _found(wanted: list[Episode], alerts: list[Raised]) -> str:
    """How many, and after how many hours."""
    seen = [one for one in detections(wanted, alerts) if one.hours is not None]
    hours = ", ".join(f"{one.hours:.1f}" for one in seen)
    return f"{len(seen)} of {len(wanted)}" + (f" after {hours} h" if hours else "")


def _raised_at(herd: Simulated, alert: Raised) -> str:
    """How her last try to be milked before an alert ended."""
    visits = herd.tables.visits
    hers = visits[(visits["cow"] == alert.subject[4:]) & (visits["start"] <= alert.raised_at)]
    ended = outcomes(hers[hers["start"] > alert.raised_at - 30 * DAY_S])
    return str([how for how in ended if how != "refused"][-1])


def main(seeds: list[int], days: int = 60) -> str:
    """The figures of some herds, as text."""
    lines = []
    for seed in seeds:
        herd = with_drops(simulate(HerdSpec(days=days, seed=seed)))
        icar = as_icar(herd)
        pairs = sorted(called(herd, icar).items())
        lines.append(f"seed {seed}: " + ", ".join(f"{true} told as {told} {n}" for (true, told), n in pairs))
        for name, one in (("visit lists", herd), ("ICAR ADE", icar)):
            lines += [f"  {name}: {what}: {figure}" for what, figure in found(one).items()]
    return "\n".join(lines)


if __name__ == "__main__":
    sys.stdout.write(main([int(seed) for seed in sys.argv[1:]]) + "\n")
