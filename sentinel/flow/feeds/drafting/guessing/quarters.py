"""Four columns that are alike but for one word in their titles: the four quarters, whatever that word is."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations
from typing import Any

import numpy as np

from sentinel.flow.feeds.drafting.guessing.quarter_order import likely_order
from sentinel.flow.feeds.drafting.lexicon.quarter_names import in_order, plain_name, read_order, some_names
from sentinel.flow.feeds.drafting.lexicon.titles import read_title, unmarked
from sentinel.flow.feeds.drafting.sample.profile import Profile, Source, profiled
from sentinel.flow.feeds.drafting.sample.sniff import Sample

_WORD = re.compile(r"[^\W\d_a-z]+(?=[^\W\d_a-z][a-z])|[^\W\d_]?[a-z]+|[^\W\d_]+|\d+")
_LONGEST_LABEL = 3
MOST_COLUMNS = 400
_LONGEST_TITLE = 150
"""Of so many columns is it told what they are, and titles longer than this name no quarter: a draft takes seconds."""


def sources(sample: Sample) -> list[Source]:
    """The sample's columns, those of four quarters taken together: `{quarter}` stands for their names in the title."""
    cells = dict(list(zip(sample.titles, sample.columns, strict=True))[:MOST_COLUMNS])
    groups = dict[str, dict[str, str]]()
    for title in (t for t in cells if 0 < len(t) <= _LONGEST_TITLE):
        for stem, label in _partings(title):
            groups.setdefault(stem, {})[label] = title
    # "Yield kg" differs from "LF kg" by one word too; where four of the words are quarters, those are meant.
    groups = {stem: _named_four(by_label) for stem, by_label in groups.items()}
    grouped: list[Source] = []
    orders: dict[frozenset[str], tuple[str, ...]] = {}
    used: set[str] = set()
    ranked = sorted(groups.items(), key=lambda item: (-_known(item[1]), len(item[0])))
    for stem, by_label in ranked:
        titles = list(by_label.values())
        if len(by_label) != 4 or used & set(titles):
            continue
        ordered = in_order(list(by_label))
        read = () if ordered else read_order(list(by_label))
        if not ordered and not read and not _alike([profiled(Source(t, cells[t]), sample) for t in titles], by_label):
            continue
        # The same unknown words are one family, in whatever order the columns stand.
        labels = ordered or read or orders.setdefault(frozenset(by_label), tuple(by_label))
        together = tuple(cell for label in labels for cell in cells[by_label[label]])
        four = tuple(by_label[label] for label in labels)
        said = {sample.units.get(title, "") for title in four}
        unit = said.pop() if len(said) == 1 else ""
        grouped.append(Source(stem, together, labels, four, bool(ordered), unit, read=bool(read)))
        used |= set(titles)
    family, loose = _one_family(grouped)
    family = _likely_ordered(family, cells, sample)
    single = (t for t in cells if t and (t not in used or t in loose))
    return [Source(t, cells[t], unit=sample.units.get(t, "")) for t in single] + family


def _likely_ordered(family: list[Source], cells: Mapping[str, tuple[Any, ...]], sample: Sample) -> list[Source]:
    """Groups whose words nobody knows, in the order that what is measured makes likely."""
    if not family or family[0].sure or family[0].read:
        return family
    titles = [dict(zip(one.family, one.titles, strict=True)) for one in family]
    profiles = [{label: profiled(Source(t, cells[t]), sample) for label, t in by_label.items()} for by_label in titles]
    figures = [
        {n: p.values for n, p in one.items()} for one in profiles if all(p.shape == "number" for p in one.values())
    ]
    order = likely_order(family[0].family, figures)
    if not order:
        return family
    return [
        replace(
            one,
            family=order,
            titles=tuple(by_label[label] for label in order),
            cells=tuple(cell for label in order for cell in cells[by_label[label]]),
        )
        for one, by_label in zip(family, titles, strict=True)
    ]


def _named_four(by_label: dict[str, str]) -> dict[str, str]:
    named = {label: title for label, title in by_label.items() if plain_name(label) in some_names()}
    return named if len(by_label) > 4 and len(named) == 4 else by_label


def _one_family(grouped: list[Source]) -> tuple[list[Source], set[str]]:
    """The groups whose quarters are called alike, and the columns of the others, which are single again."""
    families = [source.family for source in grouped]
    if not families:
        return [], set()
    most = max(families, key=lambda f: (families.count(f), -families.index(f)))
    kept = [source for source in grouped if source.family == most]
    return kept, {t for source in grouped if source.family != most for t in source.titles}


def _known(by_label: dict[str, str]) -> int:
    if len(by_label) != 4:
        return 0
    return 2 if in_order(list(by_label)) else 1 if read_order(list(by_label)) else 0


def _partings(title: str) -> Iterator[tuple[str, str]]:
    """Each way of taking a title for one with a quarter's name in it: the title with `{quarter}`, and the name."""
    words = list(_WORD.finditer(unmarked(title)))
    for first in range(len(words)):
        for last in range(first, min(first + _LONGEST_LABEL, len(words))):
            begin, end = words[first].start(), words[last].end()
            if (begin, end) != (0, len(title)) or len(title) <= _LONGEST_LABEL:
                yield f"{title[:begin]}{{quarter}}{title[end:]}", title[begin:end]
        # Codes that are written in one piece with the word beside them: lfmilk, milklf, LFmilk.
        begin, end = words[first].span()
        run = title[begin:]
        for size in (2, 3):
            if run[:size].lower() in some_names() and len(run) > size + 1 and run[size].isalpha():
                yield f"{title[:begin]}{{quarter}}{title[begin + size :]}", title[begin : begin + size]
            if title[end - size : end].lower() in some_names() and end - size - begin > 1:
                yield f"{title[: end - size]}{{quarter}}{title[end:]}", title[end - size : end]


def _alike(profiles: Sequence[Profile], labels: Iterable[str]) -> bool:
    """Whether four columns hold the same kind of thing, in the same rows, and their labels mean nothing else."""
    # A code of two letters means something in one language or another.
    if any(len(label) > 2 and read_title(label).concepts for label in labels) or len({p.shape for p in profiles}) != 1:
        return False
    if profiles[0].shape != "number":
        return profiles[0].shape == "text" and all(p.is_flag for p in profiles)
    if any(len(p.known) == 0 for p in profiles):
        return False
    gaps = [np.isnan(p.values) for p in profiles]
    sizes = [float(np.median(np.abs(p.known))) for p in profiles]
    spreads = [float(np.std(p.known)) for p in profiles]
    return (
        all(float(np.mean(a != b)) < 0.05 for a, b in combinations(gaps, 2))
        and max(sizes) <= 4.0 * max(min(sizes), 1e-9)
        and max(spreads) <= 2.5 * max(min(spreads), 1e-9)
    )
