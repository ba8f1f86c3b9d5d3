"""Find a cow, a box or a tank by number."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sentinel.flow.ordering import natural_key
from sentinel.flow.subjects import KINDS
from sentinel.flow.tables import Tables
from sentinel.flow.views.parts.links import Link, link_to

MOST = 30
FOUND = tuple(kind for kind in KINDS if kind.page == kind.name)
"""The kinds of subject that are found by their number."""


@dataclass(frozen=True, slots=True)
class FindPage:
    """What a search gave: `exact` if one cow has just this number, `links` in order, `more` that are not listed."""

    asked: str
    exact: Link | None
    links: tuple[Link, ...]
    more: int


def find_page(asked: str, tables: Tables, most: int = MOST, words: Sequence[tuple[str, str]] = ()) -> FindPage:
    """Cows, boxes and tanks whose number is or begins with what was asked; `box 2` and `tank 1` name the kind.

    `words` are further words for a kind, as (word, kind), for a page in another language. A cow that has just this
    number comes first, then the boxes and tanks of that number, then cows whose numbers begin with it.
    """
    kinds = {**{kind.word: kind.name for kind in FOUND}, **{word.lower(): kind for word, kind in words}}
    parts = asked.split()
    kind = kinds.get(parts[0].lower()) if len(parts) > 1 else None
    number = " ".join(parts[1:] if kind else parts).lower()
    if not number:
        return FindPage(asked, None, (), 0)
    cows = {str(cow) for frame in (tables.visits, tables.cows, tables.cow_tests) for cow in frame["cow"].unique()}
    boxes = {*tables.farm.boxes, *(box for box in tables.visits["box"].unique() if isinstance(box, str))}
    tanks = {str(tank) for tank in tables.tank["tank"].unique()}
    exact, begins = [], []
    for one, names in (("cow", cows), ("box", boxes), ("tank", tanks)):
        if kind in (None, one):
            exact += [f"{one}:{name}" for name in sorted(names, key=natural_key) if name.lower() == number]
            begins += [
                f"{one}:{name}"
                for name in sorted(names, key=natural_key)
                if name.lower().startswith(number) and name.lower() != number
            ]
    links = tuple(link_to(subject) for subject in (*exact, *begins))
    hers = links[0] if exact and (kind or links[0].page == "cow") else None
    return FindPage(asked, hers, links[:most], max(0, len(links) - most))
