"""The samples of both parts of the corpus, and the table of figures.

Everything is drawn from seeds: the same command gives the same samples and figures.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from ruamel.yaml import YAML

from sentinel.flow.feeds.drafting import draft as drafting

from .render import sample
from .sampled import Sampled
from .score import Scored, Totals, scored
from .true_rows import KINDS, herds, rows_of

HERE = Path(__file__).parent
SEEDS = {"built_on": (1, 2), "farms": (11, 12), "held_out": (101, 102), "unlike": (201, 202), "further": (301, 302)}
BUILT_ON = ("built_on", "farms")
"""The parts of which every failure may be looked at; of the others only the totals."""


def dialects(part: str) -> Mapping[str, Mapping[str, Any]]:
    """The word lists of one part, by dialect."""
    loaded: dict[str, Mapping[str, Any]] = YAML(typ="safe").load(HERE / f"{part}.yaml")
    return loaded


def samples(part: str, seeds: Sequence[int] | None = None, strange: float = 0.0) -> Iterator[Sampled]:
    """One sample for each dialect, kind of export and seed."""
    for seed in SEEDS[part] if seeds is None else seeds:
        for n, (dialect, words) in enumerate(dialects(part).items()):
            for k, kind in enumerate(KINDS):
                chance = np.random.default_rng([seed, n, k])
                farms = herds(part)
                rows = rows_of(kind, farms[int(chance.integers(len(farms)))], chance)
                yield sample(part, dialect, words, kind, rows, seed, strange)


def drafted(one: Sampled) -> Scored:
    """A sample's draft, held against its truth."""
    draft = drafting.drafted((one.export, *one.more), "Europe/Dublin")
    return scored(draft.text, one, draft.questions)


def report(parts: Sequence[str], strange: float = 0.0, only: str = "") -> str:
    """The figures of each part; of those that are built on also by dialect and by kind of export.

    `only`: of one dialect of a part that is built on, with each field that is not right.
    """
    lines = []
    for part in parts:
        total, by = Totals(), dict[str, Totals]()
        for one in samples(part, strange=strange):
            if only and one.dialect != only:
                continue
            result = drafted(one)
            total.add(result)
            if only and part in BUILT_ON:
                wrong = {key: how for key, how in result.fields.items() if how[0] != "right"}
                lines.append(f"{one.kind}: table {'right' if result.table_right else 'wrong'} {wrong}")
            elif part in BUILT_ON:
                by.setdefault(one.dialect, Totals()).add(result)
                by.setdefault(one.kind, Totals()).add(result)
        lines += [total.line(part), *(f"  {totals.line(name)}" for name, totals in by.items())]
    return "\n".join(lines)
