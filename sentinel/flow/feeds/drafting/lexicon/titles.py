"""What a column's title says: concepts and a unit, told by the dictionary's stems in whatever way it is written."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import cache, lru_cache

from sentinel.flow.feeds.drafting.lexicon.dictionary import ABBREVIATED, CONCEPTS, MEANS, UNITS

SAYS = 5.0
"""What a title that says just what a field is counts for it, in natural log odds; chosen on the corpus built on."""
_AGAINST = 5.0
_STRANGE = 0.35
_LONG = 5
"""So many letters must a stem have to be believed at the beginning of a long word."""
_LONGEST = 200
"""So many letters of a title are read."""
_WHOLE = ("temp", "time", "date", "data", "hora", "zeit", "test", "pose", "prov", "prob", "part", "test", "hold")
"""Stems of four letters that begin words of another meaning."""


@dataclass(frozen=True, slots=True)
class Title:
    """A title taken apart: the concepts it names, how much of it no concept explains (0 to 1), and its unit."""

    concepts: frozenset[str]
    strange: float
    unit: str
    shaky: frozenset[str] = frozenset()


def plain(text: str) -> str:
    """A title in lower case without accents, its words parted by spaces, also those parted by capitals only.

    >>> plain("MlkYld_kg"), plain("Kælvningsdato"), plain("SCC")
    ('mlk yld kg', 'kaelvningsdato', 'scc')
    """
    text = re.sub(r"(?<=[a-zß-ÿ0-9])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-z])", " ", text)
    text = text.lower()
    for letter, ours in (("æ", "ae"), ("ø", "o"), ("ß", "ss"), ("ł", "l"), ("œ", "oe"), ("å", "a"), ("№", "no")):
        text = text.replace(letter, ours)
    text = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c)).lower()
    return " ".join(re.sub(r"[^\w]|_", " ", text).split())


@cache
def _stems() -> tuple[tuple[str, str, re.Pattern[str]], ...]:
    """Each stem with its concept and how it is found, the longest first."""
    found: list[tuple[str, str, re.Pattern[str]]] = []
    for concept, stems in CONCEPTS.items():
        for marked in stems.split(";"):
            stem = plain(marked)
            if not stem:
                continue
            if "~" in marked and len(stem) >= 4:
                pattern = re.escape(stem)
            elif len(stem) >= _LONG:
                pattern = rf"\b{re.escape(stem)}(?:\w{{0,3}}\b)?"
            elif len(stem) == 4 and stem not in _WHOLE:
                pattern = rf"\b{re.escape(stem)}\w{{0,4}}\b"
            else:
                pattern = rf"\b{re.escape(stem)}s?\b"
            found.append((stem, concept, re.compile(pattern)))
    return tuple(sorted(found, key=lambda one: (-len(one[0]), one[1])))


_FILLERS = re.compile(
    r"\b(no|nr|num|number|numero|numer|n|id|ref|of|the|for|de|du|la|le|el|del|di|do|na|in|i|at|last|letzte|laatste|"
    r"dernier|derniere|ultimo|ultima|ostatni|ostatnie|seneste|senaste|kg|pr|pro|per|anz|aantal|antal|nombre|nb|liczba|count|position|pos|mm|cm|ms|us|min|s|\d+)\b"
)
"""Words that say nothing of what a column is."""


@lru_cache(maxsize=4096)
def read_title(title: str) -> Title:
    """What a title says.

    >>> sorted(read_title("Milchmenge (kg)").concepts), read_title("Milchmenge (kg)").unit
    (['amount', 'milk'], 'kg')
    """
    title = title[:_LONGEST]
    unit = unit_in(title)
    bare = re.sub(r"\{quarter\}", " ", title)
    bare = re.sub(r"\(.*?\)|\[.*?\]", " ", bare) if unit else bare
    text = plain(bare)
    whole = len(text.replace(" ", ""))
    concepts = set()
    for stem, concept, pattern in _stems():
        if stem[0] not in text or stem not in text:
            continue
        if match := pattern.search(text):
            concepts.add(concept)
            # What was explained is taken out, but keeps its place: the rest of a compound word is no word of its own.
            text = text[: match.start()] + "0" * (match.end() - match.start()) + text[match.end() :]
    rest = _FILLERS.sub(" ", text.replace("0", " "))
    shaky = {meant for word in rest.split() if (meant := _abbreviation(word))}
    left = sum(len(word) for word in rest.split() if not _abbreviation(word))
    return Title(frozenset(concepts), min(1.0, left / max(whole, 1)), unit, frozenset(shaky - concepts))


@lru_cache(maxsize=4096)
def _abbreviation(word: str) -> str:
    """The concept of which an English word is shortened to this one, by some of its letters in their order; or ""."""
    if not 3 <= len(word) <= 6:
        return ""
    for long in ABBREVIATED:
        letters = iter(long)
        if long[0] == word[0] and len(word) < len(long) and all(letter in letters for letter in word):
            meant = next((c for c, stems in CONCEPTS.items() if long in stems.split(";")), "")
            if meant:
                return meant
    return ""


@lru_cache(maxsize=4096)
def unit_in(title: str) -> str:
    """The unit that a title names, as a map writes it, or "".

    >>> unit_in("Cond [µS/cm]"), unit_in("Milk_lbs"), unit_in("Stay min:s"), unit_in("Line")
    ('uS/cm', 'lb', 'min:sec', '')
    """
    text = unicodedata.normalize("NFKC", title).lower().replace("μ", "µ")
    for unit, ways in _unit_ways():
        for way in ways:
            # A letter alone is a unit only at the end or in brackets: "Milk l", "(s)".
            head = r"(?:^|[\s_(\[,.\-])" if len(way) > 1 else r"(?:[\s_(\[,]|\d)"
            if re.search(rf"{head}{re.escape(way)}\s*(?:$|[)\]]|(?=\s*(?:$|@|bei|at|25)))", text):
                return unit
    return ""


@cache
def _unit_ways() -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Units with how they are written, longer ways first over all units."""
    pairs = [(unit, way) for unit, ways in UNITS.items() for way in ways.split(";") if way]
    ordered = sorted(pairs, key=lambda pair: -len(pair[1]))
    return tuple((unit, (way,)) for unit, way in ordered)


def title_score(table: str, field: str, title: str) -> float:
    """Natural log odds by which a title speaks for a field, against it where it is below 0.

    A title of which nothing is understood says nothing (0).
    """
    said = read_title(title)
    first, says, fits = _means(f"{table}.{field}")
    if not said.concepts:
        if said.shaky:
            return 0.6 * SAYS if said.shaky & says else (0.0 if said.shaky & fits else -0.5 * _AGAINST)
        return -_STRANGE * said.strange
    hits = said.concepts & says
    shaky = said.shaky & says
    against = len(said.concepts - says - fits)
    score = 0.0
    if hits:
        score = SAYS * (1.0 if first in hits else 0.75) + 0.8 * (len(hits) - 1)
        score *= 1.0 - 0.4 * said.strange
    elif shaky:
        score = 0.6 * SAYS
    elif not against:
        score = -0.8
    return score - _AGAINST * against


@cache
def _means(key: str) -> tuple[str, frozenset[str], frozenset[str]]:
    """The concept that says most of a field, all that say it, and those that fit it."""
    says, fits = MEANS[key]
    return says.split()[0], frozenset(says.split()), frozenset(fits.split())
