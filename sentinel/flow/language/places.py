"""The places of a text that are filled in: `{name}`, and nothing else that Python's formats know.

One for a figure may hold the word that is counted, `{n|alert|alerts}`, with as many forms as the language has.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

PLACE = re.compile(r"\{([a-z][a-z0-9_]*)((?:\|[^{}|]+)*)\}")
"""A place in a text that is filled in: `{cow}`, or a figure with its word for one and for more, `{n|cow|cows}`."""


def english_form(n: int) -> int:
    """Which form of a counted word English uses for a number."""
    return int(n != 1)


class Figure(str):
    """A figure as it is written in the farm's habit, which remembers how many it says."""

    __slots__ = ("n",)
    n: float

    def __new__(cls, text: str, n: float) -> Figure:
        """The text of a figure of `n`."""
        figure = super().__new__(cls, text)
        figure.n = n
        return figure


def fill(
    text: str,
    values: Mapping[str, object],
    missing: str = "not known",
    form: Callable[[int], int] = english_form,
) -> str:
    """The text with each `{name}` replaced by its word; one that is missing reads `missing`.

    A place with forms gives the figure and, by the language's `form`, the word for so many.

    >>> fill("Cow {cow} not milked for {value}", {"cow": "217", "value": "14 h 30 min"})
    'Cow 217 not milked for 14 h 30 min'
    >>> [fill("{n|visit|visits}", {"n": n}) for n in (0, 1, 2)]
    ['0 visits', '1 visit', '2 visits']
    """

    def place(match: re.Match[str]) -> str:
        value = values.get(match[1], missing)
        forms = match[2].split("|")[1:]
        return f"{value} {forms[min(form(_how_many(value)), len(forms) - 1)]}" if forms else str(value)

    return PLACE.sub(place, text)


def _how_many(value: object) -> int:
    """How many a value says, for the form of the counted word; what is no whole number reads as several do."""
    n = getattr(value, "n", value)
    if isinstance(n, str) and n.isdecimal():
        return int(n)
    return int(n) if isinstance(n, int | float) and float(n).is_integer() else 2
