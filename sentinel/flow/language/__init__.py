"""How things are said: what a language must be able to do, plain English, and sentences that measures put together.

The pure middle knows no language. It says everything in English, through `Words`: whoever calls it hands over those
of the farm (`edges/locales`), as it hands over the time. A text's places to fill in are written `{name}`; one for a
figure may hold the word that is counted, `{n|alert|alerts}`, with as many forms as the language has.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date as Day
from datetime import datetime
from functools import lru_cache
from typing import Any, Protocol
from zoneinfo import ZoneInfo

PLACE = re.compile(r"\{([a-z][a-z0-9_]*)((?:\|[^{}|]+)*)\}")
"""A place in a text that is filled in: `{cow}`, or a figure with its word for one and for more, `{n|cow|cows}`."""

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


class Words(Protocol):
    """How a farm says things: its texts (English in, its own language out), figures, times and days."""

    def say(self, text: str) -> str:
        """A text in the farm's language; its places are filled in after."""

    def several(self, one: str, many: str, n: int) -> str:
        """The text for one, or for so many, in the farm's language."""

    def form(self, n: int) -> int:
        """Which form of a counted word belongs to so many: in English 0 for one, 1 for others."""

    def number(self, value: float, places: int = 1) -> str:
        """A figure with at most so many decimals."""

    def time(self, moment: int, at: int) -> str:
        """A moment on the farm's clock, as short as it can be said at `at`."""

    def date(self, moment: int) -> str:
        """The day of a moment, short."""

    def calendar(self, day: Day) -> str:
        """A day with its month and year."""


def english_form(n: int) -> int:
    """Which form of a counted word English uses for so many."""
    return int(n != 1)


@dataclass(frozen=True, slots=True)
class Plain:
    """English words for one farm: what the code says is said as it is."""

    zone: str = "UTC"
    decimal: str = "."

    def say(self, text: str) -> str:
        """The text as it is."""
        return text

    def several(self, one: str, many: str, n: int) -> str:
        """The one text or the other."""
        return one if n == 1 else many

    def form(self, n: int) -> int:
        """The first form for one, the second for others."""
        return english_form(n)

    def number(self, value: float, places: int = 1) -> str:
        """A figure with at most so many decimals and the farm's decimal mark."""
        return format_number(value, places, self.decimal)

    def time(self, moment: int, at: int) -> str:
        """A moment on the farm's clock: the time, with the day if it is not today."""
        return shown_time(moment, at, self.zone)

    def date(self, moment: int) -> str:
        """The day of a moment: `Mon 4 May`."""
        day = datetime.fromtimestamp(moment, ZoneInfo(self.zone))
        return f"{_DAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]}"

    def calendar(self, day: Day) -> str:
        """A day as a person writes it: `12 May 2026`."""
        return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


ENGLISH = Plain()
"""For what is no farm's own: the terminal, examples, problems in settings."""


def shown_time(moment: int, at: int, zone: str) -> str:
    """A moment on the farm's clock as told at `at`: the time, with the day if it is not today.

    >>> [shown_time(1_772_000_000 - 3600 * h, 1_772_000_000, "Europe/Berlin") for h in (1, 24, 24 * 9)]
    ['06:13', 'Tue 07:13', '16 Feb 07:13']
    """
    then, now = (datetime.fromtimestamp(t, ZoneInfo(zone)) for t in (moment, at))
    clock = f"{then.hour:02d}:{then.minute:02d}"
    apart = abs((then.date() - now.date()).days)
    if apart == 0:
        return clock
    if apart < 7:
        return f"{_DAYS[then.weekday()]} {clock}"
    year = f" {then.year}" if then.year != now.year else ""
    return f"{then.day} {_MONTHS[then.month - 1]}{year} {clock}"


def format_number(value: float, decimals: int = 2, decimal: str = ".") -> str:
    """A number with at most so many decimals, without trailing zeros.

    >>> format_number(6.50), format_number(5.874, 2, ","), format_number(-0.001)
    ('6.5', '5,87', '0')
    """
    text = f"{value:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return ("0" if text == "-0" else text).replace(".", decimal)


class Figure(str):
    """A figure as it is written in the farm's habit, which remembers how many it says."""

    __slots__ = ("n",)
    n: float

    def __new__(cls, text: str, n: float) -> Figure:
        """The text of a figure of `n`."""
        said = super().__new__(cls, text)
        said.n = n
        return said


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

    def place(found: re.Match[str]) -> str:
        value = values.get(found[1], missing)
        forms = found[2].split("|")[1:]
        return f"{value} {forms[min(form(_how_many(value)), len(forms) - 1)]}" if forms else str(value)

    return PLACE.sub(place, text)


def _how_many(value: object) -> int:
    """How many a value says, for the form of the counted word; what is no whole number reads as several do."""
    n = getattr(value, "n", value)
    if isinstance(n, str) and n.isdecimal():
        return int(n)
    return int(n) if isinstance(n, int | float) and float(n).is_integer() else 2


def told(words: Words, text: str, **values: object) -> str:
    """A text in the farm's language with its places filled in."""
    return fill(words.say(text), values, form=words.form)


class Said(str):
    """A sentence in English that remembers what it was put together from, so that it can be said in any language.

    A measure says its facts so: it knows no language, and most of what it says nobody asks for. The places are filled
    with figures as text, names, further sentences and, in the place `day`, a day. It is an ordinary text until
    `rendered` says it anew.

    >>> Said("cow {cow} failed {n} times", cow="217", n=3)
    'cow 217 failed 3 times'
    """

    __slots__ = ("template", "values")
    template: str
    values: Mapping[str, object]

    def __new__(cls, template: str, **values: object) -> Said:
        """The English of a text with its places filled in."""
        if values and ("day" in values or "|" in template):
            text = _filled(template, values, ENGLISH)
        else:  # a year has many thousands of these
            text = template.format_map(values) if values else template
        said = super().__new__(cls, text)
        said.template, said.values = template, values
        return said


class Later:
    """Something to say that is put together only when it is asked for: of a year's readings nobody asks for most.

    It is equal to what it turns out to be. Whoever takes a reading's facts takes what it is `now`.

    >>> Later(lambda: Said("cow {cow} failed", cow="217")).now()
    'cow 217 failed'
    """

    __slots__ = ("_made", "_make")
    __hash__ = None  # type: ignore[assignment]

    def __init__(self, make: Callable[[], Any]) -> None:
        self._make: Callable[[], Any] | None = make
        self._made: Any = None

    def now(self) -> Any:
        """What there is to say, put together at the first time of asking."""
        if self._make is not None:
            self._made, self._make = self._make(), None
        return self._made

    def __eq__(self, other: object) -> bool:
        return bool(self.now() == (other.now() if isinstance(other, Later) else other))

    def __str__(self) -> str:
        return str(self.now())

    __repr__ = __str__


def joined(between: str, parts: Iterable[str]) -> Said:
    """Sentences one after the other, as one."""
    told = list(parts)
    template, names = _in_a_row(between, len(told))
    return Said(template, **dict(zip(names, told, strict=True)))


@lru_cache(maxsize=32)
def _in_a_row(between: str, n: int) -> tuple[str, tuple[str, ...]]:
    """A text of so many places, and their names."""
    names = tuple(f"part{place}" for place in range(n))
    return between.join(f"{{{name}}}" for name in names), names


def rendered(value: Any, words: Words) -> Any:
    """A value with everything in it that was put together by a measure said in the farm's language, as plain text."""
    if isinstance(value, Said):
        return _filled(words.say(value.template), value.values, words)
    if isinstance(value, Day):
        return words.calendar(value)
    if isinstance(value, Mapping):
        return {key: rendered(one, words) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return type(value)(rendered(one, words) for one in value)
    return value


def _filled(template: str, values: Mapping[str, object], words: Words) -> str:
    return fill(template, {name: rendered(one, words) for name, one in values.items()}, form=words.form)
