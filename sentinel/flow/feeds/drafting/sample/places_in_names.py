"""What names and folders of files of one kind say of a box or a tank: `box2/visits_0510.csv`, `robot-3_0510.csv`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from sentinel.flow.feeds.drafting.lexicon.titles import read_title
from sentinel.flow.feeds.origins.file_names import taken

_NUMBERED = re.compile(r"(?<![^\W\d_])([^\W\d_]{2,20})([ _-]?)([0-9]{1,3}|[A-Z])(?![0-9A-Za-z])")
_FEW = 24
"""A farm has no more boxes, and names that differ more count files."""

PLACES = ("box", "tank")
"""The fields that are looked for."""

_ALSO: dict[str, tuple[str, ...]] = {"box": ("robot", "ams", "mp"), "tank": ()}
"""Words that name a box in files' names, and are no titles of columns."""


@dataclass(frozen=True, slots=True)
class PlaceInName:
    """The pattern by which files' names say a field, and what they say."""

    pattern: str
    values: tuple[str, ...]


def place_in_names(field: str, names: Sequence[str]) -> PlaceInName | None:
    """How the paths of files say which `box` or `tank` they are of; None if they do not all say so.

    >>> place_in_names("box", ["box1/visits_0510.csv", "box2/visits_0510.csv"])
    PlaceInName(pattern='box{box}/*', values=('1', '2'))
    >>> place_in_names("box", ["visits_robot-3_0510.csv"])
    PlaceInName(pattern='visits_robot-{box}_*', values=('3',))
    """
    names = list(dict.fromkeys(names))
    for match in _places(field, names[0]):
        value, pattern = match[3], _pattern(field, names, match)
        found = [taken(pattern, name) for name in names]
        values = tuple(sorted({one for one in found if one}, key=lambda one: (len(one), one)))
        if all(found) and found[0] == value and len(values) <= _FEW:
            return PlaceInName(pattern, values)
    return None


def _places(field: str, name: str) -> list[re.Match[str]]:
    """Where a word for the field stands with a number behind it; in folders first."""
    return [
        match
        for match in _NUMBERED.finditer(name)
        if match[1].casefold() in _ALSO[field] or field in read_title(match[1]).concepts
    ]


def _pattern(field: str, names: Sequence[str], match: re.Match[str]) -> str:
    """A pattern of the path around a place: what comes before it in its part of the path, and the mark behind it."""
    path = names[0]
    begin = path.rfind("/", 0, match.start()) + 1
    before = path[begin : match.start(3)]
    if not all(before.casefold() in name.casefold() for name in names) or re.search("[0-9*?\\[{}]", before):
        before = "*" + match[1] + match[2]
    after = path[match.end() : match.end() + 1]
    folders = "*/" if begin and "/" in path[match.end() :] else ""
    rest = after + "*" if after else ""
    if after and after != "/" and "/" in path[match.end() :]:
        rest = after + "*/*"
    return f"{folders}{before}{{{field}}}{rest}"
