"""Which table a sample fills and which column is which field: titles, values and how columns go together."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from sentinel.flow.feeds.drafting.evidence import NEVER, Evidence, evidence, is_counter
from sentinel.flow.feeds.drafting.expected import rarer
from sentinel.flow.feeds.drafting.lexicon.titles import read_title
from sentinel.flow.feeds.drafting.matching import best_matching
from sentinel.flow.feeds.drafting.profile import Profile, Source, profiled
from sentinel.flow.feeds.drafting.quarters import sources
from sentinel.flow.feeds.drafting.relations import Relation, relations
from sentinel.flow.feeds.drafting.sniff import Sample
from sentinel.flow.tables import Table

NO_COLUMN = "-"
"""What a person says where none of the file's columns is a field."""

NOTHING_SAID: Mapping[str, str] = MappingProxyType({})
_SAID = 90.0

LEAST_PERCENT = 50
"""Guesses below this are not written into a draft, but asked for beside it."""

SURE_PERCENT = 97
"""Guesses below this are asked."""

_NEEDED, _NEEDED_OF_KEYS = 1.2, 0.4
"""So many log odds must speak for a column before it is thought of at all; nearly every export has its table's key."""


_HARDLY, _CLEARLY, _AHEAD = -5.0, 4.0, 4.0
"""A table is no thought below the first; it is asked for below the second, or less than the third ahead of the next."""


@dataclass(frozen=True, slots=True)
class Guess:
    """One field's likely source with the certainty in percent, its unit, and what else it could be.

    `unit`: as a map writes it; "" is the column's own. `units`: all that fit, the likeliest first; more than one, or a
    question of `unit_doubt`, is asked. `others`: the columns that come next, the likeliest first.
    """

    field: str
    source: Source
    percent: int
    clock: Source | None = None
    unit: str = ""
    units: tuple[str, ...] = ()
    others: tuple[Source, ...] = ()

    @property
    def asked(self) -> bool:
        """Whether a person should look at which column it is."""
        return self.percent < SURE_PERCENT


@dataclass(frozen=True, slots=True)
class Guesses:
    """The tables a sample seems to fill, and the columns nothing was found for.

    `sure`: whether the table is; `tables_too`: those that come next. `open`: fields of which the likeliest columns are
    too unlikely to be written. `profiles`: what each column holds, by title.
    """

    tables: dict[str, dict[str, Guess]] = field(default_factory=dict)
    family: tuple[str, ...] = ()
    family_sure: bool = True
    left: tuple[str, ...] = ()
    sure: bool = True
    tables_too: tuple[str, ...] = ()
    open: dict[str, dict[str, Guess]] = field(default_factory=dict)
    profiles: Mapping[str, Profile] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, eq=False)
class _Fit:
    """How a table fits: its guesses, those too unlikely to be written, and how much speaks for it."""

    table: Table
    score: float
    fields: dict[str, Guess]
    open: dict[str, Guess]


def guess(
    sample: Sample, tables: Sequence[Table], table: str = "", columns: Mapping[str, str] = NOTHING_SAID
) -> Guesses:
    """The most likely tables and fields of a sample.

    `table` if a person has said which; `columns` if they have said which column is which field: by `visits.cow` its
    title, or NO_COLUMN.
    """
    profiles = [profiled(one, sample) for one in sources(sample)]
    found = relations(profiles)
    single = [p for p in profiles if not p.source.family]
    grouped = [p for p in profiles if p.source.family]
    fits = sorted((_fit(one, single, found, bool(grouped), columns) for one in tables), key=lambda fit: -fit.score)
    if table:
        fits.sort(key=lambda fit: fit.table.name != table)
    fits = [fit for fit in fits if fit.fields and (fit.score > _HARDLY or fit.table.name == table)]
    result: dict[str, dict[str, Guess]] = {}
    still: dict[str, dict[str, Guess]] = {}
    if fits:
        result[fits[0].table.name], still[fits[0].table.name] = fits[0].fields, fits[0].open
    family: tuple[str, ...] = ()
    family_sure = True
    if grouped and (not fits or fits[0].table.name in ("visits", "quarters")):
        quarters = next(one for one in tables if one.name == "quarters")
        family, family_sure = grouped[0].source.family, grouped[0].source.sure
        result.setdefault("visits", {})
        four = _fit(quarters, grouped, found, True, columns)
        result["quarters"], still["quarters"] = four.fields, four.open
    taken = {
        title
        for fields in result.values()
        for one in fields.values()
        for title in (one.source.title, one.clock.title if one.clock else "")
    }
    sure = bool(table) or (
        bool(fits and fits[0].score > _CLEARLY) and (len(fits) < 2 or fits[0].score - fits[1].score > _AHEAD)
    )
    return Guesses(
        result,
        family,
        family_sure,
        tuple(p.title for p in profiles if p.title not in taken),
        sure,
        tuple(fit.table.name for fit in fits[1:3]),
        still,
        {p.title: p for p in profiles},
    )


def _fit(
    table: Table, profiles: Sequence[Profile], found: Sequence[Relation], four: bool, said: Mapping[str, str]
) -> _Fit:
    """A table's best columns, and how well it fits."""
    columns = [c for c in table.columns if not (four and table.name == "quarters" and c.name in table.key)]
    proofs = [[_with_relations(table, c.name, evidence(table, c, p), p, found) for p in profiles] for c in columns]
    scores = [
        [proof.total - (_NEEDED if c.name not in (*table.key, "box") else _NEEDED_OF_KEYS) for proof in row]
        for c, row in zip(columns, proofs, strict=True)
    ]
    for row, column in enumerate(columns):
        title = said.get(f"{table.name}.{column.name}")
        if title is not None:
            scores[row] = [_SAID if p.title == title else NEVER for p in profiles]
    matched = best_matching(scores)
    chosen: dict[str, Guess] = {}
    still: dict[str, Guess] = {}
    total = 0.0
    for row, place in enumerate(matched):
        if place < 0:
            continue
        column, proof = columns[row], proofs[row][place]
        margin = _margin(scores, matched, row, place)
        others = sorted(
            (p for p in range(len(profiles)) if p != place and scores[row][p] > -3), key=lambda p: -scores[row][p]
        )
        unit, units = _unit(proof, read_title(profiles[place].title).unit, column.unit)
        one = Guess(
            column.name,
            profiles[place].source,
            certainty(margin, proof.title),
            None,
            unit,
            units,
            tuple(profiles[p].source for p in others[:2]),
        )
        total += min(scores[row][place], 9.0)
        if one.percent >= LEAST_PERCENT or column.name in table.key:
            chosen[column.name] = one
        else:
            still[column.name] = one
    chosen = _with_clock(table, chosen, profiles)
    if table.name == "quarters" and not four and "quarter" not in chosen:
        total -= 8.0
    return _Fit(table, total + _structure(table, chosen, profiles, four), chosen, still)


def _with_relations(table: Table, name: str, proof: Evidence, profile: Profile, found: Sequence[Relation]) -> Evidence:
    for one in found:
        if (one.table, one.field, one.title) == (table.name, name, profile.title):
            units = {one.unit: 9.0} if one.unit in proof.units else proof.units
            values = max(proof.values, -1.0) if one.unit in proof.units else proof.values
            proof = Evidence(proof.title, values + one.weight, units)
    return proof


def _margin(scores: Sequence[Sequence[float]], matched: Sequence[int], row: int, place: int) -> float:
    """By how much a column is likelier than the next one for its field, and than the next field for the column.

    A column or a field that is better off elsewhere counts for what it would lose by the change.
    """
    mine = scores[row][place]
    best = 0.0
    for other in range(len(scores[row])):
        if other != place:
            holder = matched.index(other) if other in matched else -1
            loss = 0.0 if holder < 0 else scores[holder][other] - max(scores[holder][place], 0.0)
            best = max(best, scores[row][other] - max(loss, 0.0))
    for other in range(len(scores)):
        if other != row:
            held = matched[other]
            loss = 0.0 if held < 0 else scores[other][held]
            best = max(best, scores[other][place] - loss)
    return mine - best


def certainty(margin: float, title: float) -> int:
    """The certainty of a guess in percent, from its margin and what its title says; fitted to the corpus
    built on. Never 100: a person looks at every line."""
    x = 0.3 + 0.62 * min(margin, 9.0) + 0.25 * max(-4.0, min(title, 6.0))
    return min(99, round(100 / (1 + math.exp(-x))))


def _unit(proof: Evidence, said: str, own: str) -> tuple[str, tuple[str, ...]]:
    """The likeliest unit ("" for the column's own), and all that stay possible if a person must say."""
    if not proof.units:
        return "", ()
    ranked = sorted(proof.units, key=lambda unit: -proof.units[unit])
    best = ranked[0]
    if said == best or (said and said in proof.units):
        return (said if said != own else ""), ()
    close = tuple(u for u in ranked if proof.units[best] - proof.units[u] < _APART + rarer(own, u))
    return (best if best != own else ""), close if len(close) > 1 else ()


_APART = 4.0
"""Units are told apart by the figures where they are so many log odds apart: some fifty to one."""


def _with_clock(table: Table, chosen: dict[str, Guess], profiles: Sequence[Profile]) -> dict[str, Guess]:
    """The time of day beside a day, and the fields in the table's order."""
    moment = chosen.get(table.happened)
    used = {one.source.title for one in chosen.values()}
    clock = next((p for p in profiles if p.title not in used and p.shape == "clock"), None)
    by_title = {p.title: p for p in profiles}
    if moment and clock and by_title[moment.source.title].shape == "day":
        chosen[table.happened] = Guess(
            moment.field, moment.source, max(moment.percent, 80), clock.source, others=moment.others
        )
    return {c.name: chosen[c.name] for c in table.columns if c.name in chosen}


def _structure(table: Table, chosen: Mapping[str, Guess], profiles: Sequence[Profile], four: bool) -> float:
    """What the rows as a whole say for a table: how often a cow comes, whether a row is a cow, a visit or a quarter."""
    by_title = {p.title: p for p in profiles}
    score = -4.0 * sum(key not in chosen for key in table.key if not (four and table.name == "quarters"))
    if table.name == "cows" and "from" not in chosen:
        score += 3.0  # a list of today needs none
    cow = by_title[chosen["cow"].source.title] if "cow" in chosen else None
    moment = by_title[chosen[table.happened].source.title] if table.happened in chosen else None
    if four:
        return score + (4.0 if table.name == "visits" else -4.0)
    if cow is not None and len(cow.filled) > 5:
        each = len(cow.filled) / cow.distinct
        if table.name == "cows":
            score += 2.0 if each < 1.2 else -3.0
        if table.name == "cow_tests" and moment is not None and len(moment.known):
            alike = len(moment.known) / len(np.unique(moment.known))
            score += 2.5 if alike > 5 else -3.0
        if table.name == "visits" and moment is not None and len(moment.known):
            alike = len(moment.known) / len(np.unique(moment.known))
            score += -3.0 if alike > 2.5 else 1.0
    taken = {one.source.title for one in chosen.values()}
    texts = [p for p in profiles if p.shape == "text" and p.distinct > 1 and p.title not in taken and not p.is_flag]
    if table.name == "tank":
        score -= 1.5 * len(texts)
    if table.name == "box_log":
        figures = [p for p in profiles if p.shape in ("number", "span") and not is_counter(p) and p.distinct > 12]
        entries = [p for p in profiles if p.shape == "text" and 3 <= p.distinct <= 20]
        score += (1.5 if entries else -1.0) - 1.5 * len(figures)
    if moment is not None and len(moment.known) > 5 and moment.shape == "moment":
        on_the_hour = float(np.mean(moment.known % 3600 == 0)) > 0.9
        if table.name in ("visits", "quarters", "box_log"):
            score -= 4.0 * on_the_hour
        elif table.name == "tank":
            score += 1.0 * on_the_hour
    return score
