"""What the rules find under hard conditions, case by case, beside plain bounds: `python -m tests.scoring.hard`.

Without more it runs the seeds for choosing; `--reporting` those of the report. `--case` and `--seeds` take some only.
`--json FILE` keeps the counts and goes on where it ended, `--before FILE` sets those kept before beside them, `--docs`
writes hard.md.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.table import Table as Printed

from sentinel.simulator import simulate
from sentinel.simulator.conditions import CONDITIONS

from .hard_cases import CASES, CHOOSING, COWS, DAYS, ONLY_IN_FILES, REPORTING, spec_of
from .hard_counts import PLAIN, Counts, added, counts_of
from .report import RULES, markdown, shipped_rules
from .score import Share

HERE = Path(__file__).parent
BEFORE = HERE / "hard_before.json"
PAGE = HERE / "hard.md"

Ways = Mapping[str, Counts]
"""By way (`rules`, `plain`) the counts."""


@dataclass(frozen=True, slots=True)
class Line:
    """A figure of the report: what it is called, the number of which it is made, and how it is written.

    A share is written in % with its counts, a rate with `digits`.
    """

    key: str
    title: str
    share: bool = True
    digits: int = 1


TABLES: Mapping[str, tuple[Line, ...]] = {
    "Quarters": (
        Line("clinical", "clinical in 48 h, %"),
        Line("subclinical", "subclinical in 48 h, %"),
        Line("specific", "specificity, %", digits=2),
        Line("udder false", "false per 1,000 cow milkings", share=False),
    ),
    "Udder alerts": (
        Line("newly ill", "of a quarter newly ill, %"),
        Line("newly ill now", "of those that ring, %"),
        Line("newly ill round", "of those for the round, %"),
    ),
    "Boxes": (
        Line("arm", "arm in 12 h, %"),
        Line("optics", "optics in 12 h, %"),
        Line("right", "right first suspect, %"),
        Line("box false", "false per box-year", share=False),
        Line("covered", "found, held back as the herd's, %"),
    ),
    "Herd, standstills, phone": (
        Line("herd", "bad days of the herd in 12 h, %"),
        Line("herd false", "false per herd-year", share=False),
        Line("quiet", "standstills, %"),
        Line("quiet false", "false per box-year", share=False),
        Line("rings", "rings a day", share=False, digits=2),
    ),
    "Yield": (
        Line("yield", "drops, %"),
        Line("yield false", "false per 1,000 days of healthy cows", share=False, digits=2),
    ),
}


def job(case: str, seed: int, rules: Path = RULES) -> tuple[str, int, dict[str, Any], float]:
    """One herd, simulated and scored: its counts by way, and the seconds that it took."""
    begun = time.process_time()
    counts = counts_of(simulate(spec_of(case, seed)), shipped_rules(rules))
    return case, seed, counts, time.process_time() - begun


@dataclass(frozen=True, slots=True)
class Results:
    """Counts by case, over some seeds; `seconds` of processor time by case."""

    seeds: tuple[int, ...]
    cases: Mapping[str, Ways]
    seconds: Mapping[str, float]

    def plain(self) -> dict[str, Any]:
        """As JSON."""
        return {"days": DAYS, "seeds": list(self.seeds), "cases": self.cases, "seconds": self.seconds}


def read_results(path: Path) -> Results:
    """Counts that were kept."""
    kept = json.loads(path.read_text(encoding="utf-8"))
    assert kept["days"] == DAYS, "counted on herds of other days"
    cases = {
        case: {way: {line: (n, per) for line, (n, per) in counts.items()} for way, counts in ways.items()}
        for case, ways in kept["cases"].items()
    }
    return Results(tuple(kept["seeds"]), cases, kept["seconds"])


def write_results(path: Path, results: Results) -> None:
    """One case and way a line."""
    cases = [
        f"    {json.dumps(case)}: {{\n"
        + ",\n".join(f"      {json.dumps(way)}: {json.dumps(counts)}" for way, counts in ways.items())
        + "\n    }"
        for case, ways in results.plain()["cases"].items()
    ]
    seconds = json.dumps({case: round(one, 1) for case, one in results.seconds.items()})
    text = (
        f'{{\n  "days": {DAYS},\n  "seeds": {json.dumps(list(results.seeds))},\n  "seconds": {seconds},\n'
        '  "cases": {\n' + ",\n".join(cases) + "\n  }\n}\n"
    )
    path.write_text(text, encoding="utf-8")


def run(
    cases: Sequence[str], seeds: Sequence[int], rules: Path = RULES, jobs: int = 2, keep: Path | None = None
) -> Results:
    """All herds, some at a time and seed by seed, with a line as each is done.

    `keep`: the counts are written there after each seed, and the seeds that it has already are not run again.
    """
    console = Console(stderr=True, width=110)
    results = read_results(keep) if keep and keep.exists() else Results((), {}, {})
    assert not results.seeds or set(results.cases) == set(cases), f"{keep} has other cases"
    begun, left = time.perf_counter(), [seed for seed in seeds if seed not in results.seeds]
    number, wanted = 0, len(cases) * len(left)
    for seed in left:
        ways: dict[str, Ways] = {}
        seconds: dict[str, float] = {}
        for case, _, counts, took in _each(cases, seed, rules, jobs):
            ways[case], seconds[case], number = counts, took, number + 1
            minutes = (time.perf_counter() - begun) / number * (wanted - number) / 60
            console.print(f"{number}/{wanted} {case}, seed {seed}: {took:.0f} s; about {minutes:.0f} min left")
        results = with_seed(results, seed, {case: ways[case] for case in cases}, seconds)
        if keep:
            write_results(keep, results)
    return results


def with_seed(results: Results, seed: int, ways: Mapping[str, Ways], seconds: Mapping[str, float]) -> Results:
    """The results with another seed; seconds are the mean of the seeds."""
    n = len(results.seeds)
    return Results(
        (*results.seeds, seed),
        {
            case: {way: added((results.cases.get(case, {}).get(way, {}), counts)) for way, counts in of_case.items()}
            for case, of_case in ways.items()
        },
        {case: (n * results.seconds.get(case, 0.0) + took) / (n + 1) for case, took in seconds.items()},
    )


def _each(cases: Sequence[str], seed: int, rules: Path, jobs: int) -> Iterator[tuple[str, int, dict[str, Any], float]]:
    """The herds of a seed as they are done; with one at a time in this process."""
    if jobs == 1:
        yield from (job(case, seed, rules) for case in cases)
        return
    with ProcessPoolExecutor(jobs) as pool:  # anew for each seed, so that no process grows
        running = [pool.submit(job, case, seed, rules) for case in cases]
        for one in as_completed(running):
            yield one.result()


def written(line: Line, counts: Counts) -> str:
    """A figure as text; `-` where there was nothing to count."""
    number, per = counts.get(line.key, (0, 0))
    if not per:
        return "-"
    if not line.share:
        return f"{number / per:.{line.digits}f}"
    if line.key == "specific":
        return f"{100 * number / per:.2f}"
    return f"{100 * Share(int(number), int(per)).value:.0f} ({int(number)}/{int(per)})"


def cell(line: Line, now: Ways, before: Ways | None) -> str:
    """`before → now; plain`: what is not there is left out."""
    text = written(line, now["rules"])
    if before is not None:
        text = f"{written(line, before['rules'])} → {text}"
    if line.key in now["plain"] and line.key not in ("covered",):
        text += f"; {written(line, now['plain'])}"
    return text


def table(name: str, results: Results, before: Results | None) -> Printed:
    """One subject, a line a case."""
    printed = Printed(name, *(line.title for line in TABLES[name]))
    for case, ways in results.cases.items():
        kept = before.cases.get(case) if before else None
        printed.add_row(case, *(cell(line, ways, kept) for line in TABLES[name]))
    return printed


def page(results: Results, before: Results | None) -> str:
    """The page."""
    parts = "\n\n".join(f"## {name}\n\n{markdown(table(name, results, before))}" for name in TABLES)
    means = "\n".join(f"- `{one.name}`: {one.means}" for one in CONDITIONS.values())
    seconds = results.seconds.values()
    beside = "before → now" if before else "the rules that ship"
    return f"""\
# What the rules find under hard conditions

Made by `python -m tests.scoring.hard --reporting --docs`: {DAYS} days, {COWS} cows and three boxes where the conditions
do not say otherwise; in all cases but the first with more faults than usual. {len(results.seeds)} herds a case (seeds
{results.seeds[0]} to {results.seeds[-1]}), on which nothing was chosen; that is for seeds {CHOOSING[0]} to
{CHOOSING[-1]}. A herd takes {min(seconds, default=0):.0f} to {max(seconds, default=0):.0f} s of one processor.

In each cell: {beside}; and behind the semicolon plain bounds on the same rows ({PLAIN}).
`-`: there was nothing to count. With so few herds a share of twenty has limits of some 20 % either way: read rows
together, not one figure. Lines that the code before was not counted by from the first seed on have fewer there.

A quarter's alert within 48 h of the onset finds it. Newly ill is a quarter in a clinical or subclinical episode that
began while the herd was watched; the others had flared up, were infected long before, or healthy. A box's alert finds
it within 12 h of its onset, while the fault lasts. With two faults at one box an alert that stands as the second begins
has found both, and either suspect is right. A box alert that names the herd, or a cow, as first suspect is not false
while that is so. A standstill of more than 90 min is to be told by the first export after its end; a drop of milk while
it lasts.

{parts}

## The conditions

{means}

{", ".join(f"`{name}`" for name in ONLY_IN_FILES)} change nothing in the end, so these tables have no line of
them: their exports are read file by file in `tests/whole/replay/test_hard_exports.py`.
"""


def _whole(path: Path | None) -> Path | None:
    return path and path.resolve()


def main(arguments: Sequence[str] | None = None) -> None:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.scoring.hard", description=__doc__)
    parser.add_argument("--case", action="append", choices=list(CASES), help="this case only; may be given often")
    parser.add_argument("--seeds", nargs="*", type=int, help="these seeds instead of those for choosing")
    parser.add_argument("--reporting", action="store_true", help="the seeds of the report")
    parser.add_argument("--rules", type=Path, default=RULES, help="a folder of rules instead of those that ship")
    parser.add_argument("--jobs", type=int, default=2, help="herds at a time")
    parser.add_argument(
        "--json", type=Path, help="keep the counts in this file, seed by seed; those it has are not run"
    )
    parser.add_argument("--from", dest="kept", type=Path, help="take the counts from such a file, and run nothing")
    parser.add_argument("--before", type=Path, help="counts to set beside them")
    parser.add_argument("--docs", action="store_true", help=f"write {PAGE.name}, beside {BEFORE.name} if that is there")
    given = parser.parse_args(arguments)
    seeds = tuple(given.seeds or (REPORTING if given.reporting else CHOOSING))
    cases = given.case or list(CASES)
    results = read_results(given.kept) if given.kept else run(cases, seeds, given.rules, given.jobs, given.json)
    of_before = BEFORE in (_whole(given.json), _whole(given.kept)) or not BEFORE.exists()
    kept = given.before or (None if of_before or not given.docs else BEFORE)
    before = read_results(kept) if kept else None
    if before is not None and before.seeds != results.seeds:
        sys.exit(f"{kept} counts other seeds: {before.seeds}")
    console = Console(width=190)
    for name in TABLES:
        console.print(table(name, results, before))
    if given.docs:
        PAGE.write_text(page(results, before), encoding="utf-8")


if __name__ == "__main__":
    main()
