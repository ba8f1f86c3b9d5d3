"""Which table a sample fills and which column is which field: titles, values and how columns go together."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from sentinel.flow.feeds.drafting.guessing.ends import by_its_end, ends
from sentinel.flow.feeds.drafting.guessing.evidence import NEVER, Evidence, evidence
from sentinel.flow.feeds.drafting.guessing.expected import rarer
from sentinel.flow.feeds.drafting.guessing.field_guess import SURE_PERCENT, Guess
from sentinel.flow.feeds.drafting.guessing.flag_columns import FlagGuess, adds, flag_columns
from sentinel.flow.feeds.drafting.guessing.matching import best_matching
from sentinel.flow.feeds.drafting.guessing.quarters import sources
from sentinel.flow.feeds.drafting.guessing.relation import Relation
from sentinel.flow.feeds.drafting.guessing.relations import relations
from sentinel.flow.feeds.drafting.guessing.rows import structure, with_clock
from sentinel.flow.feeds.drafting.lexicon.cell_words import SURE, our_words
from sentinel.flow.feeds.drafting.lexicon.titles import leaves_doubt
from sentinel.flow.feeds.drafting.sample.profile import Profile, profiled
from sentinel.flow.feeds.drafting.sample.sniff import Sample
from sentinel.flow.feeds.values import as_text
from sentinel.flow.tables import Column, Table

NO_COLUMN = "-"
"""What a person says where none of the file's columns is a field."""

NOTHING_SAID: Mapping[str, str] = MappingProxyType({})
_SAID = 90.0

LEAST_PERCENT = 50
"""Guesses below this are not written into a draft, but asked for beside it."""

_NEEDED, _NEEDED_OF_KEYS = 1.2, 0.4
"""So many log odds must speak for a column before it is thought of at all; nearly every export has its table's key."""


_HARDLY, _CLEARLY, _AHEAD = -5.0, 4.0, 8.0
"""A table is no thought below the first; it is asked for below the second, or less than the third ahead of the next."""


@dataclass(frozen=True, slots=True)
class Guesses:
    """The tables a sample seems to fill, and the columns nothing was found for.

    `sure`: whether the table is; `tables_too`: those that come next. `open`: fields of which the likeliest columns are
    too unlikely to be written. `profiles`: what each column holds, by title. `flags`: columns of yes and no that tell
    how visits ended.
    """

    tables: dict[str, dict[str, Guess]] = field(default_factory=dict)
    family: tuple[str, ...] = ()
    family_sure: bool = True
    left: tuple[str, ...] = ()
    sure: bool = True
    tables_too: tuple[str, ...] = ()
    open: dict[str, dict[str, Guess]] = field(default_factory=dict)
    profiles: Mapping[str, Profile] = field(default_factory=dict)
    flags: tuple[FlagGuess, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class _Fit:
    """How a table fits: its guesses, those too unlikely to be written, and how much speaks for it.

    `whole`: each column that its rows need was found, and none is only the likeliest left.
    """

    table: Table
    score: float
    fields: dict[str, Guess]
    open: dict[str, Guess]
    whole: bool = True


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
    flags: tuple[FlagGuess, ...] = ()
    if "visits" in result:
        _add_end(result["visits"], still.get("visits", {}), single, columns)
        flags = _flags(result, single)
    taken = _titles_of(result) | {flag.source.title for flag in flags}
    sure = bool(table) or (
        bool(fits and fits[0].whole and fits[0].score > _CLEARLY)
        and (len(fits) < 2 or fits[0].score - fits[1].score > _AHEAD)
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
        flags,
    )


def _titles_of(tables: Mapping[str, Mapping[str, Guess]]) -> set[str]:
    """The columns that guesses take."""
    return {title for fields in tables.values() for one in fields.values() for title in _titles(one)}


def _titles(one: Guess) -> tuple[str, ...]:
    return (one.source.title, one.clock.title) if one.clock else (one.source.title,)


def _add_end(
    visits: dict[str, Guess], still: dict[str, Guess], profiles: Sequence[Profile], said: Mapping[str, str]
) -> None:
    """How long visits were, told by when they ended, where no column says how long."""
    title, start = said.get("visits.duration_s"), visits.get("start")
    if start is None or title == NO_COLUMN:
        return
    if title is None:
        one = None if "duration_s" in visits else by_its_end(start, profiles, _titles_of({"visits": visits}))
        if one is not None:
            visits["duration_s"] = one
            still.pop("duration_s", None)
    elif "duration_s" in visits and title in {one.title for one in ends(start, profiles)}:
        visits["duration_s"] = replace(visits["duration_s"], unit="", units=(), ends=True)


def _flags(tables: dict[str, dict[str, Guess]], profiles: Sequence[Profile]) -> tuple[FlagGuess, ...]:
    """The flags of visits. A column that is one by its title is no other field that would have to be asked for."""
    guesses = [(fields, name, one) for fields in tables.values() for name, one in fields.items()]
    sure = {title for _, name, one in guesses if name != "outcome" and not one.asked for title in _titles(one)}
    held = {title for _, name, one in guesses if name != "outcome" for title in _titles(one)}
    flags = [one for one in flag_columns(profiles) if one.source.title not in (sure if one.percent >= SURE else held)]
    for fields, name, one in guesses:
        if one.source.title in {flag.source.title for flag in flags}:
            del fields[name]
    outcome = tables["visits"].get("outcome")
    if outcome is not None and flags:
        meant = our_words("outcome", sorted({as_text(cell) for cell in outcome.source.cells}))
        flags = flags if adds(flags, [meant[as_text(cell)][0] for cell in outcome.source.cells]) else []
    return tuple(flags)


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
        unit, units = _unit(proof, profiles[place].unit_said, column.unit)
        percent = certainty(margin, proof.title)
        key, title = f"{table.name}.{column.name}", profiles[place].title
        if leaves_doubt(key, title) and not _told(table, column.name, profiles[place], found):
            percent = min(percent, SURE_PERCENT - 1)  # what is not understood may say that it is something else
        one = Guess(
            column.name,
            profiles[place].source,
            percent,
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
    if table.name == "quarters" and not four and "quarter" not in chosen:
        total -= 8.0
    total += structure(table, chosen, profiles, four=four)
    needed = [c.name for c in columns if c.name in table.key and (table.name, c.name) != ("cows", "from")]
    whole = all(name in chosen and chosen[name].percent >= LEAST_PERCENT for name in needed)
    if chosen:
        _possible(table, columns, proofs, scores, profiles, chosen, still, said)
    return _Fit(table, total, with_clock(table, chosen, profiles), still, whole)


_PLAUSIBLE, _PLAUSIBLE_WORDS = -1.5, -3.0
_POSSIBLE = -25.0
_WORTH_ASKING = frozenset(
    "box duration_s attach_s attempts outcome milk_kg kicked_off conductivity_mS_cm x_mm y_mm z_mm temperature_C "
    "litres cells_k_ml bacteria_k_ml status calved_on lactation".split()
)
"""Fields that alerts rest on: a column that may be one of them is asked for where none is likely."""


def _possible(
    table: Table,
    columns: Sequence[Column],
    proofs: Sequence[Sequence[Evidence]],
    scores: Sequence[Sequence[float]],
    profiles: Sequence[Profile],
    chosen: dict[str, Guess],
    still: dict[str, Guess],
    said: Mapping[str, str],
) -> None:
    """Fields that no column is likely for, with those that are possible at all: a person is asked.

    Of a field that every row needs, the first is written into the draft with its question.
    """
    held = {one.source.title for one in chosen.values() if one.percent >= _HELD_PERCENT}
    for row, column in enumerate(columns):
        key = column.name in table.key
        if (table.name, column.name) == ("cows", "from"):
            continue  # a list of today is true since its file's stamp
        if column.name in chosen or column.name in still or said.get(f"{table.name}.{column.name}") is not None:
            continue
        if not key and column.name not in _WORTH_ASKING:
            continue
        least = _POSSIBLE if key else _PLAUSIBLE_WORDS if column.kind not in ("number", "count") else _PLAUSIBLE
        able = [n for n, p in enumerate(profiles) if scores[row][n] > least and p.title not in held]
        able.sort(key=lambda n, mine=scores[row]: -mine[n])  # type: ignore[misc]
        if key and column.kind == "time":
            able = [n for n in able if profiles[n].shape in ("moment", "day")]
        if able:
            first, *others = (profiles[n].source for n in able[:3])
            unit, units = _unit(proofs[row][able[0]], profiles[able[0]].unit_said, column.unit)
            one = Guess(column.name, first, _HARDLY_LIKELY, None, unit, units, tuple(others))
            (chosen if key else still)[column.name] = one


_HARDLY_LIKELY = 5
_HELD_PERCENT = 90
"""A column so likely one field is offered for no other that has none."""


def _told(table: Table, name: str, profile: Profile, found: Sequence[Relation]) -> bool:
    """Whether other columns tell what a column is."""
    weight = sum(one.weight for one in found if (one.table, one.field, one.title) == (table.name, name, profile.title))
    return weight >= _TELLS


_TELLS = 5.0


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
    best = ranked[0] if said not in GALLONS else said
    if said not in GALLONS and (said == best or (said and said in proof.units)):
        return (said if said != own else ""), ()
    if best in GALLONS and set(GALLONS) <= set(proof.units) and said in ("", "gallon"):
        return best, tuple(
            u for u in ranked if u in GALLONS or (not said and proof.units[best] - proof.units[u] < _APART)
        )
    close = tuple(u for u in ranked if proof.units[best] - proof.units[u] < _APART + rarer(own, u))
    return (best if best != own else ""), close if len(close) > 1 else ()


GALLONS = ("gallon", "imperial_gallon")
"""American ones and imperial ones: no figures tell them apart, and no title does."""

_APART = 4.0
"""Units are told apart by the figures where they are so many log odds apart: some fifty to one."""


_IMPERIAL = re.compile(r"Europe/(London|Dublin|Belfast|Jersey|Guernsey|Isle_of_Man)|GB|Eire|America/(Toronto|Halifax)")
"""Zones of farms whose gallons are rather imperial ones (common knowledge, from memory); a person is asked anyway."""


def whose_gallons(guesses: Guesses, zone: str) -> Guesses:
    """The guesses with the gallons first that the farm's zone speaks for."""
    first = GALLONS[1] if _IMPERIAL.match(zone) else GALLONS[0]

    def ranked(one: Guess) -> Guess:
        if not set(GALLONS) <= set(one.units):
            return one
        units = sorted(one.units, key=lambda unit: unit != first)
        return replace(one, unit=first if one.unit in GALLONS else one.unit, units=tuple(units))

    def all_of(tables: dict[str, dict[str, Guess]]) -> dict[str, dict[str, Guess]]:
        return {table: {name: ranked(one) for name, one in fields.items()} for table, fields in tables.items()}

    return replace(guesses, tables=all_of(guesses.tables), open=all_of(guesses.open))
