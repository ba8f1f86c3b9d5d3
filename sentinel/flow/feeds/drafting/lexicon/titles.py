"""What a column's title says: concepts and a unit, told by the dictionary's stems in whatever way it is written."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from itertools import pairwise

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


def unmarked(text: str) -> str:
    """A text of the same length with plain letters in place of those with marks.

    >>> unmarked("PříčněLP ß")
    'PricneLP s'
    """
    return "".join(_LETTERS.get(c) or unicodedata.normalize("NFKD", c)[0] for c in text)


_LETTERS = {"ß": "s", "æ": "a", "Æ": "A", "ø": "o", "Ø": "O", "ł": "l", "Ł": "L", "œ": "o", "đ": "d", "ı": "i"}


def plain(text: str) -> str:
    """A title in lower case without accents, its words parted by spaces, also those parted by capitals only.

    >>> plain("MlkYld_kg"), plain("Kælvningsdato"), plain("SCC")
    ('mlk yld kg', 'kaelvningsdato', 'scc')
    """
    places = [m.start() for m in re.finditer(r"(?<=[a-z0-9])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-z])", unmarked(text))]
    text = " ".join(text[a:b] for a, b in pairwise([0, *places, len(text)]))
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


@cache
def _same_stems() -> dict[str, frozenset[str]]:
    """Each stem with all the concepts that have it: what is another word in two languages says neither clearly."""
    found: dict[str, set[str]] = {}
    for stem, concept, _ in _stems():
        found.setdefault(stem, set()).add(concept)
    return {stem: frozenset(concepts) for stem, concepts in found.items()}


_FILLERS = re.compile(
    r"\b(no|nr|num|number|numero|numer|n|id|ref|of|the|for|de|du|la|le|el|del|di|do|na|in|i|at|last|letzte|laatste|"
    r"dernier|derniere|ultimo|ultima|ostatni|ostatnie|seneste|senaste|kg|pr|pro|per|anz|aantal|antal|nombre|nb|liczba|count|position|pos|lb|lbs|mm|cm|ms|us|min|s|\d+)\b"
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
    text = re.sub(r"\b(lbs?|kg|ltrs?)(\d+)", r"\1 \2", plain(bare))
    whole = len(text.replace(" ", ""))
    cut = [word for one in re.findall(r"[^\W\d_]+(?=\.)", bare) for word in plain(one).split()[-1:]]
    concepts: set[str] = set()
    said_once: set[str] = set()
    shaky: set[str] = set()
    for stem, concept, pattern in _stems():
        if stem[0] not in text or stem not in text:
            continue
        if match := pattern.search(text):
            if len(also := _same_stems()[stem]) > 1:
                shaky |= also
            else:
                (said_once.discard if concept in concepts else said_once.add)(concept)
                concepts.add(concept)
            # What was explained is taken out, but keeps its place: the rest of a compound word is no word of its own.
            text = text[: match.start()] + "0" * (match.end() - match.start()) + text[match.end() :]
    rest = _FILLERS.sub(" ", text.replace("0", " "))
    left = 0
    for word in rest.split():
        meant = _abbreviations(word, cut=word in cut)
        shaky |= meant
        left += 0 if meant else len(word)
    for word in cut:
        # "Vers." may be short for more than what it is as a word: then it is no clear word.
        own = read_word(word)
        also = _cut_from(word) if own and len(word) <= _SHORT else frozenset()
        if own and also - own:
            shaky |= own | also
            concepts -= own if own <= said_once else frozenset()
    return Title(frozenset(concepts), min(1.0, left / max(whole, 1)), unit, frozenset(shaky - concepts))


_SHORT = 4
_MOST_MEANINGS = 4


@lru_cache(maxsize=4096)
def read_word(word: str) -> frozenset[str]:
    """The concepts that have a word as it stands among their stems."""
    return frozenset(concept for stem, concept, _ in _stems() if stem == word)


def _cut_from(word: str) -> frozenset[str]:
    return frozenset(concept for stem, concept, _ in _stems() if " " not in stem and stem.startswith(word))


@lru_cache(maxsize=4096)
def _abbreviations(word: str, *, cut: bool) -> frozenset[str]:
    """The concepts that a word may be cut or drawn together from; none if there are too many. `cut`: a point says so.

    >>> sorted(_abbreviations("ank", cut=True)), sorted(_abbreviations("halsb", cut=True))
    (['start', 'text'], ['transponder'])
    """
    if (meant := _abbreviation(word)) and not cut:
        return frozenset({meant})
    bare = _without_vowels(word)
    squeezed = _squeezed().get(bare, frozenset()) if len(bare) > 2 and len(word) - len(bare) <= 1 else frozenset()
    if not cut and 0 < len(squeezed) <= 2:
        return squeezed
    if len(word) < (2 if cut else _SHORT):
        return frozenset()
    found = {meant} if meant else set()
    for stem, concept, _ in _stems():
        if len(stem) <= len(word) or stem[0] != word[0] or " " in stem:
            continue
        letters = iter(stem)
        together = cut and len(word) > 2 and stem[-1] == word[-1] and all(letter in letters for letter in word)
        if stem.startswith(word) or together:
            found.add(concept)
    return frozenset(found) if len(found) <= (_MOST_MEANINGS if cut else 2) else frozenset()


def _without_vowels(word: str) -> str:
    return word[:1] + re.sub(r"[aeiouy]", "", word[1:])


@cache
def _squeezed() -> dict[str, frozenset[str]]:
    """The stems of more than four letters without their vowels, each with its concepts: grp, cndctv."""
    found: dict[str, set[str]] = {}
    for stem, concept, _ in _stems():
        if len(stem) > _SHORT and " " not in stem:
            found.setdefault(_without_vowels(stem), set()).add(concept)
    return {bare: frozenset(concepts) for bare, concepts in found.items()}


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
            if re.search(rf"{head}{re.escape(way)}\s*(?:$|[)\]]|(?=\s*(?:$|@|25)|\s+(?:bei|at)\b))", text):
                return unit
    return _unit_word(title)


def _unit_word(title: str) -> str:
    """The unit that is a word of a title at its beginning or end: LbGvn, CakeLb, Lb24, "F milk"."""
    words = re.sub(r"\b([a-z]+)\d+\b", r"\1 0", plain(title)).split()
    words = [word for word in words if word != "0"] if len(words) > 2 else words
    if re.match(r"F [^%\W]|.*\w F$", title):
        return "degF"
    named = {way: unit for unit, ways in UNITS.items() for way in ways.split(";") if len(way) > 1 and way != "min"}
    return next((named[word] for word in (*words[-1:], *words[:1]) if word in named and len(words) > 1), "")


@cache
def _unit_ways() -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Units with how they are written, longer ways first over all units."""
    pairs = [(unit, way) for unit, ways in UNITS.items() for way in ways.split(";") if way]
    ordered = sorted(pairs, key=lambda pair: -len(pair[1]))
    return tuple((unit, (way,)) for unit, way in ordered)


_SHORT_OF = 0.3
"""So much of what a word says against a field counts where it is only short for that word."""


def title_score(table: str, field: str, title: str, *, no_cow: bool = False) -> float:
    """Natural log odds by which a title speaks for a field, against it where it is below 0.

    A title of which nothing is understood says nothing (0). `no_cow`: it is of a column for each quarter, so that what
    is short for a cow somewhere is none here (KO).
    """
    said = read_title(title)
    if no_cow:
        said = replace(said, concepts=said.concepts - {"cow"}, shaky=said.shaky - {"cow"})
    first, says, fits = _means(f"{table}.{field}")
    likely = 1.0 if len(said.shaky) <= 2 else 0.6
    if not said.concepts:
        if said.shaky:
            return likely * (0.6 * SAYS if said.shaky & says else (0.0 if said.shaky & fits else -_SHORT_OF * _AGAINST))
        return -_STRANGE * said.strange
    hits = said.concepts & says
    shaky = said.shaky & says
    against = len(said.concepts - says - fits)
    score = 0.0
    if hits:
        score = SAYS * (1.0 if first in hits else 0.75) + 0.8 * (len(hits) - 1)
        score *= 1.0 - 0.4 * said.strange
    elif shaky:
        score = likely * 0.6 * SAYS
    elif not against:
        score = -0.8
    if said.shaky and not said.shaky & (says | fits):
        score -= likely * 0.8 * _AGAINST
    return score - _AGAINST * against


_NOT_UNDERSTOOD = 0.2
"""Of a title of which more than such a share is not understood a person is asked."""


def leaves_doubt(key: str, title: str) -> bool:
    """Whether a part of a title may say that it is not the field `key`, as `esp.` in `Prod. esp.` does."""
    said = read_title(title)
    _, says, fits = _means(key)
    return said.strange > _NOT_UNDERSTOOD or bool(said.shaky - says - fits)


@cache
def _means(key: str) -> tuple[str, frozenset[str], frozenset[str]]:
    """The concept that says most of a field, all that say it, and those that fit it."""
    says, fits = MEANS[key]
    return says.split()[0], frozenset(says.split()), frozenset(fits.split())
