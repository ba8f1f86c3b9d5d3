"""Runs the shipped rules and the plain baselines on simulated herds and prints what they find, side by side.

`python -m tests.scoring 1 2 3` from the top of a checkout. Seeds 1-19 are for choosing anything; the reporting seeds
(101-105, now 201-205) are run for the figures in the docs only.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from operator import add
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.table import Table as Printed

from sentinel.flow.model import HOUR_S
from sentinel.flow.replay import Coming, Raised, replay
from sentinel.flow.rules import Rule, load_rules
from sentinel.flow.tables import EXPORTED
from sentinel.simulator import HerdSpec, Simulated, simulate

from .baselines import box_baselines, udder_baselines, udder_readings
from .episodes import BOX_FAULTS, UDDER, episodes
from .figures import FOLDER, box_curves, draw, equal_false, udder_curves
from .frontier import BOUNDS, at_equal_false, frontier
from .score import (
    BoxScore,
    Share,
    UdderScore,
    late_by_an_outage,
    pushes_a_day,
    quarter_milkings,
    rings_a_day,
    score_boxes,
    score_udders,
)

RULES = Path(__file__).parents[2] / "rules"
BEFORE = Path(__file__).with_name("report_before.json")
"""The lines of the report before, on the herds of this one."""

REPORTING = {101: (180, 3), 102: (210, 4), 103: (240, 4), 104: (270, 5), 105: (300, 5)}
REPORTING |= {201: (180, 3), 202: (210, 4), 203: (240, 4), 204: (270, 5), 205: (300, 5)}
"""101-105 were reported first; then came longer windows for arms and optics, chosen on seeds 1-15, and 201-205."""

DEVELOPMENT = {
    1: (180, 3),
    2: (250, 5),
    3: (300, 5),
    4: (200, 4),
    5: (240, 4),
    6: (220, 4),
    7: (280, 5),
    8: (190, 3),
    9: (230, 4),
}
DAYS = 120
BOX_RULES = ("box-failures", "arm-offset", "slow-attach")
LATE = "late-cow"
SHIPPED = "the rules that ship"


@dataclass(frozen=True, slots=True)
class HerdResult:
    """All that was scored on one herd."""

    udder: dict[str, UdderScore]
    boxes: dict[str, BoxScore]
    rings: float
    pushes: float
    pushes_by_rule: dict[str, float]
    late_by_outage: int
    outages: int


def spec_of(seed: int) -> HerdSpec:
    """The herd of a development or reporting seed."""
    cows, boxes = (DEVELOPMENT | REPORTING).get(seed, (180, 3))
    return HerdSpec(cows, boxes, DAYS, seed)


def shipped_rules(folder: Path = RULES) -> dict[str, Rule]:
    """The rules of a folder; a broken rule ends the run."""
    found: dict[str, Rule] = {}
    for path in sorted(folder.glob("*.yaml")):
        rules, problems = load_rules(path.read_text(encoding="utf-8"), path.name)
        assert not problems, problems
        found |= {rule.name: rule for rule in rules}
    return found


def hourly(herd: Simulated, with_outages: bool = False) -> tuple[dict[str, Coming], dict[str, tuple[str, ...]]]:
    """Every table comes with an export at each full hour, visits as the herd's conditions have it.

    `with_outages` the visits do not come in the planted ones. Where no export says up to when it is complete, each is
    taken to come with its newest row. What comes in pieces is decided at the stamp of both.
    """
    exports = herd.exports
    stamps = np.arange(herd.calendar.begin, herd.calendar.until + 1, HOUR_S)
    lists = np.arange(herd.calendar.begin, herd.calendar.until + 1, exports.every_s)
    silent = np.zeros(len(lists), dtype=bool)
    for spell in (*herd.mishaps.lost, *(herd.mishaps.outages if with_outages else ())):
        silent |= (lists >= spell.start) & (lists < spell.until)
    coming: dict[str, Coming] = {}
    feeds_of: dict[str, tuple[str, ...]] = {}
    for table in EXPORTED:
        frame = getattr(herd.tables, table.name, None)
        if frame is None or table.name in exports.unsaid:
            continue
        moments = frame[table.happened].to_numpy(np.int64)
        parts = {table.name: np.ones(len(moments), bool)}
        if table.name == "visits" and exports.by_box:
            parts = {f"visits-{box}": (frame["box"] == box).to_numpy(bool) for box in herd.spec.box_names}
        for feed, own in parts.items():
            rows = np.unique(moments[own])
            mine = lists[~silent] if table.name == "visits" else stamps
            coming[feed] = Coming(mine if exports.stamped else newest_at(mine, rows), rows)
        feeds_of[table.name] = tuple(parts)
    return coming, feeds_of


def newest_at(stamps: np.ndarray, rows: np.ndarray) -> np.ndarray:
    """The newest row of each export, as far as one brings something new."""
    place = np.searchsorted(rows, stamps, side="left")
    return np.unique(rows[place[place > 0] - 1])


def raised_by(rules: dict[str, Rule], herd: Simulated, with_outages: bool = False) -> list[Raised]:
    """What rules would have raised on a herd whose exports come on time, or with its outages."""
    coming, feeds_of = hourly(herd, with_outages)
    return replay(rules, herd.tables, coming, feeds_of, herd.calendar.until)


def result_of(herd: Simulated, rules: dict[str, Rule]) -> HerdResult:
    """Everything scored on one herd."""
    truth, days = herd.items, (herd.calendar.until - herd.calendar.begin) / 86400
    shipped = raised_by(rules, herd)
    udders, faults = episodes(truth, UDDER), episodes(truth, BOX_FAULTS)
    context = episodes(truth, ("herd-disturbed", "cow-fails-everywhere"))
    milkings = quarter_milkings(herd.tables, udders)
    outages = [(spell.start, spell.until) for spell in herd.mishaps.outages]
    late = raised_by({LATE: rules[LATE]}, herd, with_outages=True) if LATE in rules else []
    sick = {SHIPPED: shipped, **udder_baselines(udder_readings(herd.tables))}
    machine = {SHIPPED: [a for a in shipped if a.rule in BOX_RULES], **box_baselines(herd.tables)}
    return HerdResult(
        {name: score_udders(herd.tables, udders, alerts, milkings) for name, alerts in sick.items()},
        {name: score_boxes(faults, context, alerts, herd.spec.boxes, days) for name, alerts in machine.items()},
        rings_a_day(shipped, days, {rule.name: rule.together_s for rule in rules.values() if rule.together_s}),
        pushes_a_day(shipped, days),
        {name: pushes_a_day([a for a in shipped if a.rule == name], days) for name in rules},
        len(late_by_an_outage(late, [a for a in shipped if a.rule == LATE], outages)),
        len(outages),
    )


def spread(hours: Sequence[float]) -> str:
    """Median and quartiles of hours."""
    return "{1:.0f} ({0:.0f}-{2:.0f})".format(*np.percentile(hours, (25, 50, 75))) if hours else "-"


def percent(share: Share) -> str:
    """A share in % with its 95 % limits and counts."""
    low, high = share.limits()
    return f"{100 * share.value:.0f} ({100 * low:.0f}-{100 * high:.0f}; {share.hits}/{share.of})" if share.of else "-"


def udder_table(scores: dict[str, UdderScore]) -> Printed:
    """The udder figures of each way of raising alerts."""
    table = Printed(
        "Udder, 48 h",
        "clinical %",
        "those that rise %",
        "subclinical %",
        "spikes %",
        "specificity %",
        "false per 1,000",
        "hours",
    )
    for name, score in scores.items():
        found = score.found
        table.add_row(
            name,
            percent(found["udder-clinical"]),
            percent(found["clinical that rise"]),
            percent(found["udder-subclinical"]),
            percent(found["udder-spike"]),
            f"{100 * score.specific.value:.2f}",
            f"{score.false_per_1000:.1f}",
            spread(score.hours),
        )
    return table


def box_table(scores: dict[str, BoxScore]) -> Printed:
    """The box figures of each way of raising alerts."""
    table = Printed("Box, 12 h", "arm %", "optics %", "both %", "right first suspect %", "false per box-year", "hours")
    for name, score in scores.items():
        table.add_row(
            name,
            percent(score.found["arm-out-of-line"]),
            percent(score.found["optics-fouled"]),
            percent(score.all_found),
            percent(score.right),
            f"{score.false / score.box_years:.1f}",
            spread(score.hours),
        )
    return table


def curve_table(herds: Sequence[Simulated], false_per_1000: float) -> Printed:
    """Each plain udder measure at many bounds, and at as many false alerts as the rules that ship."""
    table = Printed("measure", "bound", "clinical %", "specificity %", "false per 1,000")
    readings = [udder_readings(herd.tables, with_evidence=True) for herd in herds]
    truths = [episodes(herd.items, UDDER) for herd in herds]
    for name, bounds in BOUNDS.items():
        given = [(h.tables, truth, mine[name]) for h, truth, mine in zip(herds, truths, readings, strict=True)]
        points = frontier(given, bounds)
        for point in points:
            specific, false = point.score.specific.value, point.score.false_per_1000
            figures = (f"{100 * point.clinical:.0f}", f"{100 * specific:.2f}", f"{false:.1f}")
            table.add_row(name, f"{point.bound:g}", *figures)
        equal = at_equal_false(points, false_per_1000)
        table.add_row(name, "as false as those that ship", f"{100 * equal:.0f}", "", f"{false_per_1000:.1f}")
    return table


@dataclass(frozen=True, slots=True)
class Report:
    """What was found on several herds."""

    seeds: Sequence[int]
    herds: Sequence[Simulated]
    results: Sequence[HerdResult]

    @property
    def udder(self) -> dict[str, UdderScore]:
        """The udder figures of all herds together."""
        return {n: reduce(add, (r.udder[n] for r in self.results)) for n in self.results[0].udder}

    @property
    def boxes(self) -> dict[str, BoxScore]:
        """The box figures of all herds together."""
        return {n: reduce(add, (r.boxes[n] for r in self.results)) for n in self.results[0].boxes}

    @property
    def sizes(self) -> str:
        """Which herds these are."""
        named = ", ".join(f"{seed}: {spec_of(seed).cows} cows, {spec_of(seed).boxes} boxes" for seed in self.seeds)
        return f"{DAYS} days; {named}"

    @property
    def pushes(self) -> list[str]:
        """How often the phone rings on each herd, and by which rules."""
        said = []
        for seed, r in zip(self.seeds, self.results, strict=True):
            by_rule = ", ".join(f"{name} {n:.2f}" for name, n in r.pushes_by_rule.items() if n)
            said.append(f"{seed}: {r.rings:.1f} rings a day, one an incident; by alerts {r.pushes:.1f} ({by_rule})")
        return said

    @property
    def late(self) -> str:
        """What export outages led to."""
        late, outages = sum(r.late_by_outage for r in self.results), sum(r.outages for r in self.results)
        return f"late-cow alerts caused by {outages} export outages: {late}"


def markdown(table: Printed) -> str:
    """A printed table as Markdown."""
    rows = zip(*(list(column.cells) for column in table.columns), strict=True)
    head = [str(column.header) for column in table.columns]
    lines = [head, ["---"] * len(head), *[[str(cell) for cell in row] for row in rows]]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


PAGE = """\
# How well the rules find things

Made by `python -m tests.scoring {seeds} --docs`; {sizes}.

The herds are simulated (`sentinel simulate`), so the truth is known; what they are made of, with the source of each
figure, stands in each `truth.json`. They hold what makes it hard on a real farm: one clinical episode in six barely
rises, days when every quarter drifts, odd single readings, cups that come off, cows that are hard to attach, a sensor
that reads high, calibrations and forgotten wipes without a fault. Bounds and weights were chosen on other herds (seeds
1 to 19).

This is the third report. The first was of seeds 101 to 105. For the second, *the report before* in the tables, arms and
optics only slightly off were given longer windows, tried on the seeds for choosing. Since then rules and measures were
changed for harder herds (hard.md), by the seeds for choosing again: nothing was chosen on these herds, which are those
of the report before.

**A simulated herd is no farm.** What these figures show is that the computation does what it says, and how it stands
beside plain bounds on the same rows. How many empty looks there are on your farm, only your own answers tell.

## Quarters

Found: an alert on that quarter within 48 h of the onset. False: an alert on a quarter in which nothing was going on.

{udder}

{equal}

![Clinical episodes found, against healthy quarter milkings flagged](figures/roc.svg)

![Clinical episodes found, against the false alerts it costs](figures/burden.svg)

Published detection models miss the goal of 80 % found at 99 % specificity (Hogeveen et al. 2010, Sensors 10:7991).
What limits it here are the clinical episodes that barely rise: of the others nearly all are found. Subclinical ones
rise as little as healthy quarters vary; cell counts find those, conductivity does not.

## Boxes

Found: an alert on that box within 12 h of the onset, while the fault lasts. Right: its first suspect is the true one.

{boxes}

![Box faults found, against the false alerts it costs](figures/boxes.svg)

Failures alone find few of the faults at so few false alerts; the rest is found by where the teats are seen and by how
long the cups take. What is missed are faults so slight that hardly a cow fails for them.

## The phone

{pushes}

In the report before:

{pushes_before}
"""


def beside_before(table: Printed, before: Sequence[str]) -> str:
    """A table as Markdown, with the line of the report before below that of the rules that ship."""
    head, line, first, *others = markdown(table).split("\n")
    return "\n".join([head, line, first, f"| {' | '.join(before)} |", *others])


def write_docs(report: Report) -> None:
    """The page `tests/scoring/README.md` and its pictures."""
    before = json.loads(BEFORE.read_text(encoding="utf-8"))
    udders = udder_curves(report.herds)
    shipped = report.udder[SHIPPED]
    draw(udders, box_curves(report.herds), (shipped, report.boxes[SHIPPED]))
    equal = ", ".join(f"{name} {share}" for name, share in equal_false(udders, shipped))
    page = PAGE.format(
        seeds=" ".join(map(str, report.seeds)),
        sizes=report.sizes,
        udder=beside_before(udder_table(report.udder), before["udder"]),
        equal="With as many false alerts as the rules that ship, a plain bound on one sign finds of the clinical "
        f"episodes: {equal}.",
        boxes=beside_before(box_table(report.boxes), before["boxes"]),
        pushes="\n".join(f"- {line}" for line in (*report.pushes, report.late)),
        pushes_before="\n".join(f"- {line}" for line in before["phone"]),
    )
    (FOLDER.parent / "README.md").write_text(page, encoding="utf-8")


def main(arguments: Sequence[str] | None = None) -> None:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.scoring", description=__doc__)
    parser.add_argument("seeds", nargs="*", type=int, default=[1, 2, 3])
    parser.add_argument(
        "--rules", type=Path, default=RULES, help="a folder of rules to score instead of those that ship"
    )
    parser.add_argument("--curves", action="store_true", help="also try each udder measure at many bounds")
    parser.add_argument(
        "--docs", action="store_true", help="write page and pictures to tests/scoring/figures (needs matplotlib)"
    )
    given = parser.parse_args(arguments)
    rules = shipped_rules(given.rules)
    herds = [simulate(spec_of(seed)) for seed in given.seeds]
    report = Report(given.seeds, herds, [result_of(herd, rules) for herd in herds])
    console = Console(width=170)
    console.print(report.sizes)
    console.print(udder_table(report.udder))
    if given.curves:
        console.print(curve_table(herds, report.udder[SHIPPED].false_per_1000))
    console.print(box_table(report.boxes))
    for line in (*report.pushes, report.late):
        console.print(line)
    if given.docs:
        write_docs(report)
