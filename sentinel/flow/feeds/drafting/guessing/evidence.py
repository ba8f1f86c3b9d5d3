"""How much a column speaks for being a field: its title and its values, as natural log odds."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.feeds.drafting.guessing.expected import UNITS, figures_score
from sentinel.flow.feeds.drafting.lexicon.cell_words import words_known
from sentinel.flow.feeds.drafting.lexicon.quarter_names import quarters_in_cells
from sentinel.flow.feeds.drafting.lexicon.titles import plain, read_title, title_score
from sentinel.flow.feeds.drafting.sample.profile import Profile
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import Column, Table

NEVER = -99.0

_DECLARED = 4.0
"""What a title counts for that is declared with its column, letter for letter."""

_TELLING = {"mS/cm": 4.0, "uS/cm": 4.0, "mS/m": 4.0}
"""Units in which an export has hardly anything else."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """For a column as a field: log odds by title and by values, and per unit what its figures say."""

    title: float
    values: float
    units: Mapping[str, float] = field(default_factory=dict)

    @property
    def total(self) -> float:
        """All of it."""
        return self.title + self.values


def evidence(table: Table, column: Column, profile: Profile) -> Evidence:
    """How much a column of the sample speaks for a field of a table."""
    key = f"{table.name}.{column.name}"
    said = title_score(table.name, column.name, profile.title, no_cow=bool(profile.source.family))
    if plain(profile.title) in _declared(column):
        said = max(said, _DECLARED)
    if profile.shape == "empty":
        return Evidence(said, -3.0)
    if column.kind in ("number", "count"):
        return _figures(key, column, profile, said)
    if column.kind in ("time", "date"):
        return Evidence(said, _moments(key, profile) if column.kind == "time" else _days(profile))
    if column.kind == "flag":
        return Evidence(said, 0.3 if profile.is_flag and profile.shape in ("text", "number") else NEVER)
    if column.kind == "word":
        return Evidence(said, _words(column, profile))
    return Evidence(said, _NAMES[column.name](table, profile) if column.name in _NAMES else _free_text(profile))


@cache
def _declared(column: Column) -> frozenset[str]:
    """What exports call a field as its table declares it, in the plain writing of titles."""
    return frozenset(plain(title) for title in column.titles.split(";"))


def _figures(key: str, column: Column, profile: Profile, said: float) -> Evidence:
    unit = profile.unit_said
    if unit and unit not in _units_of(column.unit):
        if column.unit != "1/d" or unit:
            said -= 6.0
        unit = ""
    title = read_title(profile.title)
    if "%" in profile.title:
        said -= 6.0  # no field is a share
    if unit and not (title.concepts or title.shaky or title.strange) and column.unit == "kg":
        said += 3.0  # a title that says nothing but kg or lb
    units = figures_score(key, column.unit, profile, unit)
    if not units:
        return Evidence(said, NEVER)
    if key == "visits.attempts" and _share_of_least(profile) < _AT_ONCE:
        units = {name: score - 3.0 for name, score in units.items()}
    if column.kind == "count" and profile.distinct == 1 and len(profile.known) > 20:
        units = {name: score - 2.0 for name, score in units.items()}
    return Evidence(said + (_TELLING.get(unit, 0.7) if unit else 0.0), max(units.values()), units)


_AT_ONCE = 0.6
"""Of a herd's visits more than so many need one try (common practice, no source)."""


def _share_of_least(profile: Profile) -> float:
    """How often a column's least figure over 0 stands among those over 0."""
    above = profile.known[profile.known > 0]
    return float(np.mean(above == above.min())) if len(above) else 0.0


def _units_of(own: str) -> set[str]:
    spans = {"min:sec", "h:min:sec", "h:min"} if own == "s" else set()
    return {*UNITS.get(own, ())} | spans


def _moments(key: str, profile: Profile) -> float:
    if profile.shape not in ("moment", "day"):
        return NEVER
    known = profile.known
    steps = np.diff(np.sort(known))
    forwards = float(np.mean(np.diff(known) >= 0)) if len(known) > 1 else 1.0
    ordered = max(forwards, 1 - forwards) > 0.97 if len(known) > 5 else True
    days = max(1.0, (float(known[-1:].max(initial=known.max())) - float(known.min())) / DAY_S)
    a_day = len(known) / max(days, (known.max() - known.min()) / DAY_S, 1.0)
    score = 1.0 if ordered else -0.7
    if key.startswith(("visits", "quarters")):
        score += -3.0 if profile.shape == "day" else 0.7
        score += 0.7 if a_day > 20 else -0.7
    elif key == "box_log.at":
        score += -2.0 if profile.shape == "day" else 0.3
    elif key == "cow_tests.at":
        alike = len(known) / max(len(np.unique(known)), 1)
        score = 1.5 if alike >= 8 else (0.5 if profile.shape == "day" else -1.5)
    elif key == "tank.at" and len(steps):
        score += 0.8 if float(np.median(steps)) >= HOUR_S / 2 else -0.8
    elif key == "cows.from":
        score = 0.5 if profile.shape == "moment" else -0.3
    return score


def _days(profile: Profile) -> float:
    if profile.shape not in ("moment", "day"):
        return NEVER
    reach = float(profile.known.max() - profile.known.min()) / DAY_S
    likely = 60 < reach < 900 or len(profile.known) < 10
    return (0.8 if profile.shape == "day" else -1.2) + (0.5 if likely else -1.0)


def _words(column: Column, profile: Profile) -> float:
    if profile.shape not in ("text", "number") or profile.distinct > 40:
        return NEVER
    most = 20 if column.name == "event" else 9
    if profile.shape == "number" and not (profile.whole and profile.distinct <= most):
        return NEVER
    share = words_known(column.name, set(profile.filled))
    if column.name == "quarter":
        names = sorted(set(profile.filled))
        four = bool(quarters_in_cells(names))
        counts = [profile.filled.count(word) for word in set(profile.filled)]
        even = profile.distinct == 4 and max(counts) <= 1.3 * min(counts) and max(map(len, names)) <= _LONGEST_NAME
        return 4.0 * four + (2.5 if even else -2.0)
    if column.name == "event" and share == 0 and 3 <= profile.distinct:
        codes = profile.shape == "number" and float(profile.known.min()) >= _TWO_FIGURES
        if codes or profile.shape == "text":
            return 0.8  # boxes have words and codes of their own for what happens
    score = 4.0 * share - (1.0 if share == 0 else 0.0)
    if share == 0 and (profile.shape == "number" or profile.distinct in (1, *range(9, 41))):
        score -= 1.0
    return score


_TWO_FIGURES = 10
"""Codes of what happened have more figures than boxes have."""

_LONGEST_NAME = 20
"""Letters of a quarter's name in any language."""


def _cow(table: Table, profile: Profile) -> float:
    if profile.shape not in ("text", "number") or not profile.filled:
        return NEVER
    filled = profile.filled
    if profile.shape == "number" and not (profile.whole and profile.known.min() >= 0):
        return NEVER
    longest = max(map(len, filled))
    digits = sum(any(c.isdigit() for c in text) for text in filled) / len(filled)
    score = 1.0 if digits > 0.9 and longest <= 6 else (-0.8 if digits > 0.5 and longest <= 20 else -2.5)
    each = profile.each_in_a_file
    if profile.shape == "number" and len(filled) > 4:
        known = profile.known
        if is_counter(profile) or (len(known) > 9 and np.all(known % 1000 == 0)):
            return -4.0
        if table.name not in ("cows", "cow_tests") and len(known) > 20 and _steady(known):
            score -= 2.5
    if table.name == "cows":
        return score + (1.2 if each < 1.1 else -1.0)
    if table.name == "cow_tests" and each < 1.02 and len(filled) > 20:
        score += 1.0
    few = profile.distinct < min(6, len(filled))
    return score + (-3.0 if few else 0.8) + (0.3 if each > 1.2 else 0.0)


def _place(table: Table, profile: Profile) -> float:
    """A box or a tank: few names, short ones, each of them often."""
    if profile.shape not in ("text", "number"):
        return NEVER
    if profile.shape == "number" and not (profile.whole and profile.known.min() >= 0 and profile.known.max() < 1000):
        return NEVER
    most = 3 if table.name == "tank" else 24
    if profile.distinct > most or max(map(len, profile.filled)) > 14:
        return -4.0
    counts = sorted(profile.filled.count(word) for word in set(profile.filled))
    score = 0.6 if profile.shape == "number" and profile.known.min() >= 1 else -0.3
    if len(profile.filled) < len(profile.texts):
        score -= 1.0
    if profile.distinct > 1 and _is_a_row_of_names(set(profile.filled)):
        score += 1.0
    return score + (0.9 if len(counts) == 1 or counts[0] * 4 > counts[-1] else -1.0)


def _is_a_row_of_names(names: set[str]) -> bool:
    """Whether names are one word numbered through: MP1, MP2, MP3."""
    parts = [re.fullmatch(r"(.*?\D)0*([0-9]{1,2})", name) for name in names]
    stems = {part[1] for part in parts if part}
    return all(parts) and len(stems) == 1 and {int(part[2]) for part in parts if part} == set(range(1, len(names) + 1))


def _group(table: Table, profile: Profile) -> float:
    del table
    if profile.shape not in ("text", "number") or (profile.shape == "number" and not profile.whole):
        return NEVER
    rows = len(profile.filled)
    return 0.3 if 1 <= profile.distinct <= max(2, min(15, rows // 2)) else -3.0


def _free_text(profile: Profile) -> float:
    if profile.shape != "text":
        return -3.0
    spaced = sum(bool(re.search(r"\w \w", text)) for text in profile.filled) / len(profile.filled)
    return 1.8 if spaced > 0.5 else -0.5


_NAMES = {"cow": _cow, "box": _place, "tank": _place, "group": _group}


def _steady(known: NDArray[np.float64]) -> bool:
    """Whether figures go on from row to row, as a level does and cows that come in any order do not."""
    known = known[np.append(True, np.diff(known) != 0)]  # a row for each quarter names its cow four times
    if len(known) < 6 or np.all(np.diff(known) >= 0):
        return False
    ranks = np.argsort(np.argsort(known)).astype(float)
    return bool(np.std(ranks) > 0 and np.corrcoef(ranks[:-1], ranks[1:])[0, 1] > 0.6)


def is_counter(profile: Profile) -> bool:
    """Whether a column only counts the rows, through all files or in each anew."""
    known = profile.known
    if profile.shape != "number" or len(known) <= 4:
        return False
    others = [n for n, step in enumerate(np.diff(known), 1) if step != 1]
    whole = len(known) == len(profile.values) == sum(profile.files)
    return set(others) <= (set(np.cumsum(profile.files).tolist()) if whole else set())
