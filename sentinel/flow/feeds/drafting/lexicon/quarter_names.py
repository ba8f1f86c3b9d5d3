"""What the four quarters are called: words for front, rear, left and right in several languages, and codes of these."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from functools import cache
from itertools import permutations, product

from sentinel.flow.feeds.drafting.lexicon.titles import plain
from sentinel.flow.model import QUARTERS

_PLACES: tuple[tuple[str, str, str, str], ...] = (
    # front, rear, left, right; other words for the same parted by commas
    ("front,fore", "rear,back,hind", "left", "right"),
    ("vorne,vorn,vorder", "hinten,hinter", "links,linkes", "rechts,rechtes"),
    ("voor,voren", "achter", "links", "rechts"),
    ("for,forre,foran", "bag,bagre,bak", "venstre", "hojre"),
    ("fram,framme,frams", "bak,baks", "vanster", "hoger"),
    ("avant,av,ant", "arriere,ar,post", "gauche", "droit,droite"),
    ("anterior,delantero,delantera", "posterior,trasero,trasera", "izquierdo,izquierda", "derecho,derecha"),
    ("anteriore,davanti", "posteriore,dietro", "sinistro,sinistra,sx", "destro,destra,dx"),
    ("przod,przedni,przednia", "tyl,tylny,tylna", "lewy,lewa", "prawy,prawa"),
    ("anterior,dianteiro", "posterior,traseiro", "esquerdo,esquerda", "direito,direita"),
    ("etu,eteen", "taka,taakse", "vasen,vas", "oikea,oik"),
    ("predni,predna", "zadni,zadna", "levy,leva", "pravy,prava"),
    ("eesmine,ees", "tagumine,taga", "vasak", "parem"),
)
"""From memory, without accents; Swedish writes vanster and hoger for what Danish writes venstre and hojre."""


@cache
def _families() -> tuple[tuple[str, ...], ...]:
    """Every family of four names in the order of the quarters, in the plain writing of titles: words, then codes."""
    families: dict[tuple[str, ...], None] = {}
    for places in _PLACES:
        for front, rear, left, right in product(*(words.split(",") for words in places)):
            grid = ((front, left), (front, right), (rear, left), (rear, right))
            for join in (" ", ""):
                families[tuple(f"{row}{join}{side}" for row, side in grid)] = None
                families[tuple(f"{side}{join}{row}" for row, side in grid)] = None
            families[tuple(row[0] + side[0] for row, side in grid)] = None
            families[tuple(side[0] + row[0] for row, side in grid)] = None
            families[tuple(row[:2] + side[0] for row, side in grid)] = None
    return tuple(family for family in families if len(set(family)) == 4)


def plain_name(name: str) -> str:
    """A quarter's name as families have it: lower case, without accents, codes in one piece.

    >>> plain_name("AvG"), plain_name("Left_Front"), plain_name("L.F.")
    ('avg', 'left front', 'lf')
    """
    words = plain(name).split()
    if max(map(len, words), default=0) <= 2:
        return "".join(words)
    return " ".join(words)


def quarters_of(names: Iterable[str]) -> dict[str, str]:
    """Four names to the quarters they are, or {} if no language calls the four so, or two differ on which is which.

    >>> quarters_of(["HL", "HR", "VL", "VR"])
    {'HL': 'LR', 'HR': 'RR', 'VL': 'LF', 'VR': 'RF'}
    """
    given = {plain_name(name): name for name in names}
    if len(given) != 4:
        return {}
    squeezed = {name.replace(" ", ""): name for name in given}
    readings = set()
    for family in _families():
        of_family = [name.replace(" ", "") for name in family]
        if set(of_family) == set(squeezed):
            readings.add(tuple(of_family))
    if len(readings) != 1:
        return {}
    (family,) = readings
    quarter = dict(zip(family, QUARTERS, strict=True))
    return {given[squeezed[name]]: quarter[name] for name in squeezed}


def quarters_in_cells(texts: Collection[str]) -> dict[str, str]:
    """Four words of a column to the quarters they are; they may have a letter or a word in common.

    >>> quarters_in_cells(["QLF", "QRF", "QLR", "QRR"])
    {'QLF': 'LF', 'QLR': 'LR', 'QRF': 'RF', 'QRR': 'RR'}
    """
    words = sorted(set(texts))
    if len(words) != 4:
        return {}
    for way in (words, _without_what_all_have(words)):
        if order := in_order(way) or read_order(way):
            return {word: QUARTERS[order.index(bare)] for word, bare in zip(words, way, strict=True)}
    return {}


def _without_what_all_have(names: list[str]) -> list[str]:
    """Names without what all of them begin or end with, where two letters at least are left of each."""
    shortest = min(map(len, names))
    begin = next((n for n in range(shortest) if len({name[n] for name in names}) > 1), 0)
    end = next((n for n in range(shortest) if len({name[-1 - n] for name in names}) > 1), 0)
    bare = [name[begin : len(name) - end].strip() for name in names]
    return bare if min(map(len, bare)) > 1 else names


def in_order(names: Sequence[str]) -> tuple[str, ...]:
    """Four names in the order LF, RF, LR, RR; empty if they are not known."""
    known = quarters_of(names)
    called = {quarter: name for name, quarter in known.items()}
    return tuple(called[quarter] for quarter in QUARTERS) if called else ()


def read_order(names: Sequence[str]) -> tuple[str, ...]:
    """Four names that are short for front or rear and left or right, in the order LF, RF, LR, RR; empty if none.

    >>> read_order(["BkL", "BkR", "FrL", "FrR"])
    ('FrL', 'FrR', 'BkL', 'BkR')
    """
    readings: set[tuple[str, ...]] = set()
    for parts in partings([plain(name) for name in names]):
        for first, second in ((0, 1), (1, 0)):
            readings |= _readings(names, [(one[first], one[second]) for one in parts])
    return readings.pop() if len(readings) == 1 else ()


def partings(names: Sequence[str]) -> Iterable[list[tuple[str, str]]]:
    """Each way of taking all the names apart into two parts, where two of each make up the four."""
    ways = [[name.split() for name in names]]
    squeezed = [name.replace(" ", "") for name in names]
    ways += [[[name[:at], name[at:]] for name in squeezed] for at in range(1, min(map(len, squeezed), default=0))]
    for way in ways:
        if all(len(one) == 2 and one[0] and one[1] for one in way):
            pairs = [(one[0], one[1]) for one in way]
            if len(set(pairs)) == 4 and len({a for a, _ in pairs}) == 2 == len({b for _, b in pairs}):
                yield pairs


def _readings(names: Sequence[str], parts: Sequence[tuple[str, str]]) -> set[tuple[str, ...]]:
    """The orders in which names can be meant, each in two parts: front or rear, left or right."""
    found = set()
    for front, rear, left, right in _PLACES:
        for one, other in permutations({row for row, _ in parts}):
            for side, opposite in permutations({where for _, where in parts}):
                if all(map(_short_for, (one, other, side, opposite), (front, rear, left, right))):
                    by_parts = dict(zip(parts, names, strict=True))
                    found.add(tuple(by_parts[row, where] for row in (one, other) for where in (side, opposite)))
    return found


def _short_for(part: str, words: str) -> bool:
    """Whether a part is short for one of some words: its letters in their order, the first one first."""
    for word in words.split(","):
        letters = iter(word)
        if part[0] == word[0] and all(letter in letters for letter in part):
            return True
    return False


@cache
def some_names() -> frozenset[str]:
    """Every name of a quarter in any language, as `plain_name` gives it."""
    return frozenset(name for family in _families() for name in family)
