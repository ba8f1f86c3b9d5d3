"""The same herd in files of the ICAR ADE standard alone, without a map, beside the same herd as lists with maps.

`python -m tests.scoring.ade_beside_lists 3` prints what each rule raises in both, and every alert that only one has.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from whole.whole_farm import shipped_rules

from sentinel.edges.store import Store
from sentinel.flow.feeds import ADE_FEEDS
from sentinel.flow.model import HOUR_S, Export
from sentinel.flow.replay import Raised
from sentinel.flow.setup import Setup, read_setup
from sentinel.flow.views.parts.records import rfc3339
from sentinel.runtime.engine import Engine
from sentinel.runtime.record.replay import on_time
from sentinel.runtime.ticks import batch_of
from sentinel.simulator import HerdSpec, Simulated, simulate
from sentinel.simulator.exports.farm_folder import farm_texts
from sentinel.simulator.exports.files import Dialect, export_files

from .dialects import with_drops

NEAR_S = 12 * HOUR_S
"""Two alerts of one rule and subject that are raised so near to each other are the same."""

NO_PLACE = {
    "filter-overdue": "the boxes' log has no place in the standard",
    "chore-due": "the boxes' log has no place in the standard",
    "tank-cells": "the bulk tank has no place in the standard",
    "tank-cells-near": "the bulk tank has no place in the standard",
    "tank-bacteria": "the bulk tank has no place in the standard",
    "tank-warm": "the bulk tank has no place in the standard",
}
"""Rules that rest on what the standard has no resource for."""


@dataclass(frozen=True, slots=True)
class Read:
    """A herd as a farm has it that reads one dialect."""

    setup: Setup
    store: Store
    set_aside: int
    raised: tuple[Raised, ...]


@cache
def herd_of(seed: int, days: int = 40) -> Simulated:
    """A small herd, of whose failed visits one in four gave a drop of milk."""
    return with_drops(simulate(HerdSpec(cows=90, boxes=2, days=days, seed=seed)))


def read(herd: Simulated, dialect: Dialect) -> Read:
    """The whole of a herd's exports in one dialect, and what the rules that ship would have raised on it."""
    setup, problems = read_setup({**farm_texts(herd, dialect=dialect), **shipped_rules()})
    assert setup is not None, problems
    store = Store(None)
    engine, set_aside = Engine(store, setup, tell=False), 0
    for file in sorted(export_files(herd, dialect=dialect), key=lambda one: (one.arrives_at, one.name)):
        batch = batch_of(setup, Export(file.name, file.content, file.arrives_at))
        assert batch is not None, file.name
        set_aside += sum(len(one.set_aside) for one in batch.every)
        engine.absorb(file.arrives_at, batch)
    return Read(setup, store, set_aside, tuple(on_time(store, setup)))


def side_by_side(ade: Read, lists: Read) -> Mapping[str, tuple[int, int, list[Raised], list[Raised]]]:
    """Per rule how many alerts are in both, and how many and which in one alone: ADE, then lists."""
    rules = sorted({one.rule for one in (*ade.raised, *lists.raised)})
    found = {}
    for rule in rules:
        hers, theirs = ([one for one in side.raised if one.rule == rule] for side in (ade, lists))
        only_lists, both = list(theirs), 0
        only_ade = []
        for one in hers:
            same = next((two for two in only_lists if _same(one, two)), None)
            if same is None:
                only_ade.append(one)
            else:
                only_lists.remove(same)
                both += 1
        found[rule] = (both, len(hers), only_ade, only_lists)
    return found


def _same(one: Raised, two: Raised) -> bool:
    if _feed(one) or _feed(two):
        return False
    return one.subject == two.subject and abs(one.raised_at - two.raised_at) <= NEAR_S


def _feed(one: Raised) -> bool:
    return one.subject.startswith("feed:")


def why(one: Raised, ade: bool, herd: Simulated) -> str:
    """Why an alert is in one dialect alone."""
    if one.rule in NO_PLACE:
        return NO_PLACE[one.rule]
    if _feed(one):
        name = one.subject[5:]
        return "a feed that the other dialect does not have" if (name in ADE_FEEDS) == ade else "?"
    if one.subject.startswith("cow:"):
        cows = herd.tables.cows
        hers = cows[(cows["cow"] == one.subject[4:]) & (cows["from"] <= one.raised_at)]
        if one.rule == "late-cow" and len(hers) and hers["milkings_allowed"].iloc[-1] == 1:
            return "milked once a day, which the standard does not say"
    if one.over_at is not None and one.over_at - one.raised_at <= HOUR_S:
        return "over again within the hour: lists are known hour by hour, visits of the standard one by one"
    return "how visits ended is told from the milk, attaching from the stay, no cup is said to have come off"


def main(seed: int) -> str:
    """The figures of one herd, and every difference with its reason, as text."""
    herd = herd_of(seed)
    ade, lists = read(herd, "ade"), read(herd, "lists")
    lines = [f"seed {seed}: set aside: ADE {ade.set_aside}, lists {lists.set_aside}"]
    lines.append(f"{'rule':24}{'both':>6}{'ADE':>6}{'lists':>6}   only in one, and why")
    for rule, (both, number, only_ade, only_lists) in side_by_side(ade, lists).items():
        reasons = Counter(("ADE alone", why(one, True, herd)) for one in only_ade)
        reasons += Counter(("lists alone", why(one, False, herd)) for one in only_lists)
        said = "; ".join(f"{n} {where}: {reason}" for (where, reason), n in reasons.items())
        lines.append(f"{rule:24}{both:6}{number:6}{both + len(only_lists):6}   {said}")
        for where, some in (("ADE", only_ade), ("lists", only_lists)):
            if len(some) <= 8:
                lines += [f"    {where} {one.subject} {rfc3339(one.raised_at)} {one.value}" for one in some]
    return "\n".join(lines)


if __name__ == "__main__":
    sys.stdout.write("\n".join(main(int(seed)) for seed in sys.argv[1:]) + "\n")
