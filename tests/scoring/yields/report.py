"""Drops of milk that are found, before and now, on records of several kinds. `python -m tests.scoring.yields 301 302`.

Bounds were chosen on seeds 1 to 3 and are reported on 301 to 305.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
from rich.console import Console
from rich.table import Table as Printed

from sentinel.flow.rules import Rule
from sentinel.simulator import Simulated, simulate

from ..report import markdown, shipped_rules, spec_of
from .records import come_seldom, twice_a_day, unevenly, with_gaps
from .score import BEFORE, NAME, NOW, WAYS, YieldScore, score
from .truth import healthy_days, spells_of, true_shares

REPORTING = (301, 302, 303, 304, 305)
PAGE = Path(__file__).with_name("README.md")


def records_of(herd: Simulated, shares: Mapping[str, np.ndarray]) -> Iterator[tuple[str, pd.DataFrame]]:
    """What the herd's milkings look like in each kind of record."""
    visits = herd.tables.visits
    twice = twice_a_day(herd, visits)
    uneven = unevenly(herd, twice)
    seldom = come_seldom(herd, visits, shares)
    whole = {
        "boxes": visits,
        "boxes, ill cows come seldom": seldom,
        "twice a day": twice,
        "twice a day, uneven": uneven,
    }
    for name, frame in whole.items():
        yield name, frame
        yield f"{name}, with gaps", with_gaps(herd, frame)


def scores_of(herd: Simulated, rule: Rule) -> dict[tuple[str, str], YieldScore]:
    """Per record and way (`before`, `now`) what the rule finds."""
    shares = true_shares(herd)
    spells = spells_of(herd, shares)
    healthy, begin = healthy_days(herd, shares, spells), herd.calendar.begin
    found = {}
    for name, visits in records_of(herd, shares):
        tables = replace(herd.tables, visits=visits)
        for way, measure in WAYS.items():
            found[name, way] = score(rule, measure, tables, spells, healthy, begin)
    return found


def both(scores: Mapping[tuple[str, str], YieldScore]) -> Printed:
    """One line for each kind of record and way."""
    table = Printed(
        "record",
        "",
        "false per 1,000",
        "true drops found",
        "hours",
        "same drops, hours",
        "20 to 25 % found",
        "judged %",
    )
    for (name, way), one in scores.items():
        hours, slight = np.array(one.hours), np.array(one.slight)
        seen = ~np.isnan(hours)
        in_both = ~np.isnan(np.array(scores[name, BEFORE].hours)) & ~np.isnan(np.array(scores[name, NOW].hours))
        table.add_row(
            name,
            way,
            f"{one.false_per_1000:.2f}",
            f"{int(seen.sum())} of {len(hours)}",
            f"{np.median(hours[seen]):.0f}" if seen.any() else "-",
            f"{np.median(hours[in_both]):.0f}" if in_both.any() else "-",
            f"{int((~np.isnan(slight)).sum())} of {len(slight)}",
            f"{100 * one.told / max(one.milkings, 1):.1f}",
        )
    return table


TEXT = """\
# Drops of milk: how many are found, and how often for nothing

Made by `python -m tests.scoring.yields {seeds} --docs`; {herds}.

*Before* takes every interval as it stands in the record and asks for 25 %. *Now* leaves out intervals in which a
milking may be missing, and asks besides that a drop be beyond so many of the cow's own spreads and rest on more than
one milking. Both are decided by the same rule on the same rows; hours are of the data's own time. Bounds were chosen on
seeds 1 to 3; these herds are others.

A *true drop*: over two days together the cow truly gave 25 % less than she should have, or lower still, by what was
planted (udder episodes with what they take from her, and cows that go off their milk). It is found by an alert from the
first day on which she gave less than 90 % to the last; hours count from the beginning of that day. *False*: an alert on
a cow that gave 90 % or more and had for two days, per 1,000 such cow-days. *Same drops*: the median of those found both
ways. *Judged*: the milkings at which a drop could be told; at the others it is unknown.

{table}

*Gaps*: 5 to 10 % of the milkings are missing at random, and twice a month half a day of all cows. *Twice a day*: the
same cows milked at about 06:00 and 17:00. *Uneven*: their milk and the meters vary as much more as it takes for the
rule before to raise about as many alerts on a complete record as it did on a real herd that was milked twice a day (8.4
per 1,000 cow-days; 29 with its gaps). *Ill cows come seldom*: a cow that gives less than 85 % does not come for two
milkings in five, and gives that milk at the next. **A simulated herd is no farm**: how uneven yours is, only its record
tells.

What did not get better: where ill cows come seldom fewer of them are found than before, as their long intervals look
like those in which a milking is missing and count only where her others show nearly the same drop. On a whole record
of boxes there are a few more false alerts than before, as leaving out long poor intervals raises what is expected a
little. Of the drops of 20 to 25 % fewer are found where milk is uneven. And where milkings are missing less is judged
at all.
"""


def main(arguments: Sequence[str] | None = None) -> None:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m tests.scoring.yields", description=__doc__)
    parser.add_argument("seeds", nargs="*", type=int, default=[1, 2, 3])
    parser.add_argument("--docs", action="store_true", help="write the page tests/scoring/yields/README.md")
    given = parser.parse_args(arguments)
    rule = shipped_rules()[NAME]
    total: dict[tuple[str, str], YieldScore] = {}
    for seed in given.seeds:
        for key, one in scores_of(simulate(spec_of(seed)), rule).items():
            total[key] = total[key] + one if key in total else one
    Console(width=150).print(both(total))
    if given.docs:
        sizes = {f"{spec_of(seed).cows} cows, {spec_of(seed).days} days" for seed in given.seeds}
        herds = f"{len(given.seeds)} herds of {'; '.join(sorted(sizes))}"
        page = TEXT.format(seeds=" ".join(map(str, given.seeds)), herds=herds, table=markdown(both(total)))
        PAGE.write_text(page, encoding="utf-8")
