"""What a file's name or folder says of all its rows: `box{box}/visits_*.csv` reads which box from the folder."""

from __future__ import annotations

import re
from fnmatch import fnmatchcase

from sentinel.flow.bounds import legible
from sentinel.flow.feeds.field_map import FieldMap
from sentinel.flow.reasons import LISTED, Reason, as_said, several

_MOST_NAMED = 20
_PLACE = re.compile(r"\{([^{}]*)\}")


def place_of(pattern: str) -> str:
    """What the pattern's place is called; "" if it has not exactly one.

    >>> place_of("robot-{box}_*"), place_of("robot-*")
    ('box', '')
    """
    places = _PLACE.findall(pattern)
    return places[0] if len(places) == 1 else ""


def taken(pattern: str, file_name: str) -> str | None:
    """What stands at the pattern's place in a file's path under the inbox; None if the path does not fit.

    A pattern without a slash is compared with the last part of the path; capitals do not matter. What is taken lies
    within one part of the path, begins as early and is as short as can be.

    >>> taken("box{box}/*", "box2/visits_20260510.csv"), taken("robot-{box}_*", "2026/robot-3_0510.csv")
    ('2', '3')
    """
    before, after = _PLACE.split(pattern.strip().casefold())[::2]
    path = file_name if "/" in pattern else file_name.rpartition("/")[2]
    plain = path.casefold() if len(path.casefold()) == len(path) else path.lower()
    plain = plain if len(plain) == len(path) else path  # a letter that becomes two would move all behind it
    ends = [n for n in range(len(path) + 1) if fnmatchcase(plain[n:], after)]
    for begin in range(len(path)):
        if fnmatchcase(plain[:begin], before):
            found = next((path[begin:end] for end in ends if end > begin), None)
            if found is not None and "/" not in found:
                return found
    return None


def of_name(field: FieldMap, file_name: str) -> str | Reason:
    """What a file's name says of a field of its rows, or why it does not say it."""
    pattern = field.file_name or ""
    found = taken(pattern, file_name)
    if found is None:
        return Reason("name-unlike-pattern", pattern=legible(pattern))
    if field.is_ and found not in field.is_:
        known = several([as_said(legible(one)) for one in field.is_[:_MOST_NAMED]], LISTED)
        return Reason("name-with-another", found=f'"{legible(found)}"', words=known)
    return found
