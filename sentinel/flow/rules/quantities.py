"""Thresholds as people write them (`14 h`, `1 d 6 h`, `15 %`, `6,5 mS/cm`, `3 failures`) and as they read them.

The table of units is written out here instead of asking a unit library: a rule needs some thirty words, pint
takes 0.16 s to import, reads `90m` as ninety metres and `1,5 h` as fifteen hours, and knows neither failures
nor milkings. Whatever is not in the table is refused with a sentence that says what would be right.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Any

from sentinel.flow.language import ENGLISH, Words


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit word: what kind of quantity it is, and how it becomes that kind's base unit.

    base value = written value x `factor` + `offset`.
    """

    kind: str
    factor: float = 1.0
    offset: float = 0.0


COUNTED = {
    "failures": "failure",
    "milkings": "milking",
    "visits": "visit",
    "cows": "cow",
    "rows": "row",
    "notices": "notice",
    "times": "time",
    "months": "month",
    "tests": "test",
    "readings": "reading",
}
"""Words for things that are counted, with the word for one of them."""

_WORDS: dict[Unit, tuple[str, ...]] = {
    Unit("duration", 1): ("s", "sec", "second", "seconds"),
    Unit("duration", 60): ("min", "mins", "minute", "minutes"),
    Unit("duration", 3600): ("h", "hour", "hours"),
    Unit("duration", 86400): ("d", "day", "days"),
    Unit("duration", 604800): ("week", "weeks"),
    Unit("share"): ("%", "percent"),
    Unit("conductivity"): ("mS/cm",),
    Unit("conductivity", 0.001): ("µS/cm", "μS/cm", "uS/cm"),  # both micro signs that keyboards make
    Unit("ratio"): ("ratio", "x", "×"),
    Unit("score"): ("points", "point"),  # how much speaks for something, by the measure's own scale
    Unit("mass"): ("kg",),
    Unit("mass", 0.001): ("g",),
    Unit("mass", 0.45359237): ("lb", "lbs"),  # exact by the international agreement of 1959 (from memory)
    Unit("volume"): ("l", "litre", "litres"),
    Unit("length"): ("mm",),
    Unit("length", 10): ("cm",),
    Unit("concentration"): ("k/ml",),  # thousands a millilitre, as laboratories print cells and bacteria
    Unit("concentration", 0.001): ("/ml", "cells/ml", "cfu/ml"),
    Unit("temperature"): ("°C", "degC"),
    Unit("temperature", 5 / 9, -160 / 9): ("°F", "degF"),  # C = (F - 32) x 5/9, the definition of the scale
    **{Unit(f"count of {many}"): (many, one) for many, one in COUNTED.items()},
}

UNITS: dict[str, Unit] = {word: unit for unit, words in _WORDS.items() for word in words}
"""Every unit word a rule may use."""

USUAL = {
    "duration": "14 h",
    "share": "15 %",
    "conductivity": "6.5 mS/cm",
    "ratio": "1.3 ratio",
    "score": "4 points",
    "mass": "12 kg",
    "volume": "500 l",
    "length": "8 mm",
    "concentration": "400 k/ml",
    "temperature": "6 °C",
    **{f"count of {many}": f"3 {many}" for many in COUNTED},
}
"""An example of each kind of quantity."""

NUMBER = r"[+−-]?\d+(?:[.,]\d+)?"
_PART = re.compile(r"\s*(\d+(?:[.,]\d+)?)\s*([^\d\s,.;+−-][^\d\s]*)?")
_SIGNED_PART = re.compile(rf"\s*({NUMBER})\s*([^\d\s,.;+−-][^\d\s]*)?")
_LONGEST = 200
_THOUSANDS = re.compile(r"[1-9]\d{0,2},\d{3}(?!\d)")


LONGEST_S = 100 * 365 * 86400
"""No duration is longer than a hundred years, so that moments in seconds, and in nanoseconds, can hold it."""

LARGEST = 1e12
"""No other quantity is larger, in its kind's base unit: what is computed with it stays exact."""


def kind_of_unit(unit: str) -> str:
    """What kind of quantity a unit measures: `duration`, `share`, `count of failures`, ...

    >>> kind_of_unit("h"), kind_of_unit("failures")
    ('duration', 'count of failures')
    """
    return UNITS[unit].kind


def words_of_kind(kind: str) -> list[str]:
    """The unit words of one kind of quantity, in the order of the table."""
    return [word for word, unit in UNITS.items() if unit.kind == kind]


def parse_quantity(text: Any, unit: str) -> float:
    """The value of a written quantity in the asked unit; ValueError with a sentence if it is not one.

    >>> parse_quantity("1 d 6 h", "h"), parse_quantity("6,5 mS/cm", "mS/cm"), parse_quantity("90 min", "s")
    (30.0, 6.5, 5400.0)
    >>> parse_quantity(14, "s")
    Traceback (most recent call last):
    ValueError: 14: a duration needs its unit, for example "14 h"
    """
    kind = kind_of_unit(unit)
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise ValueError(f'this should be {_a(kind)} written as text, for example "{USUAL[kind]}"')
    written = str(text).strip() if len(str(text)) <= _LONGEST else ""
    if str(text) and not written and not str(text).isspace():
        raise ValueError(f'this is too long for {_a(kind)}; write it like "{USUAL[kind]}"')
    total = 0.0
    for number, word in _parts(written, kind):
        if not word:
            raise ValueError(f'{written}: {_a(kind)} needs its {_noun(kind)}, for example "{_with_unit(number, unit)}"')
        if word not in UNITS:
            raise ValueError(_unknown_word(written, number, word, kind, unit))
        given = UNITS[word]
        if given.kind != kind:
            raise ValueError(
                f'{written}: this is {_a(given.kind)}, but {_a(kind)} is needed, for example "{USUAL[kind]}"'
            )
        total += _number(number) * given.factor + given.offset
    _check(written, total, kind)
    asked = UNITS[unit]
    return (total - asked.offset) / asked.factor


def format_quantity(value: float, unit: str, words: Words = ENGLISH) -> str:
    """A value in its unit as people read it; durations in the largest sensible units.

    >>> [format_quantity(v, "h") for v in (0.5, 1, 14.5, 26, 54.2)]
    ['30 min', '1 h', '14 h 30 min', '26 h', '2 d 6 h']
    >>> from sentinel.flow.language import english
    >>> format_quantity(95, "min"), format_quantity(125, "min"), format_quantity(15.25, "%", english(decimal=","))
    ('95 min', '2 h 5 min', '15,2 %')
    """
    if math.isnan(value):
        return words.say("not known")
    if math.isinf(value):
        return words.say("never")
    kind = kind_of_unit(unit)
    if kind == "duration":
        return _duration(value * UNITS[unit].factor, words)
    if kind.startswith("count of "):
        count = round(value)
        return f"{words.number(count, 0)} {words.several(COUNTED[unit], unit, count)}"
    figure = words.number(value, DECIMALS.get(kind, 1))
    if kind == "score":
        return f"{figure} {words.several('point', 'points', 1 if figure == '1' else 2)}"
    return f"{figure} {'×' if kind == 'ratio' else words.say(unit)}"


def unit_words(unit: str, words: Words = ENGLISH) -> str:
    """A unit by itself, as it stands above a scale.

    >>> unit_words("months"), unit_words("mS/cm")
    ('months', 'mS/cm')
    """
    return words.several(COUNTED[unit], unit, 2) if unit in COUNTED else words.say(unit)


DECIMALS = {"conductivity": 2, "ratio": 2}
"""Decimals printed of each kind of quantity; the others have one."""


def quantity_pattern(kind: str) -> str:
    """A regular expression of what `parse_quantity` takes for one kind of quantity, for editors."""
    words = "|".join(re.escape(word) for word in sorted(words_of_kind(kind), key=len, reverse=True))
    number = r"\d+" if kind.startswith("count of ") else NUMBER
    more = r"\d+([.,]\d+)?"
    return rf"^{more}\s*({words})(\s*{more}\s*({words}))*$" if kind == "duration" else rf"^{number}\s*({words})$"


def _parts(text: str, kind: str) -> list[tuple[str, str]]:
    """The numbers and unit words of a quantity, in order; only a duration may have several."""
    parts: list[tuple[str, str]] = []
    at = 0
    while at < len(text):
        match = (_PART if parts else _SIGNED_PART).match(text, at)
        if not match:
            break
        parts.append((match[1], match[2] or ""))
        at = match.end()
    several = len(parts) > 1 and kind != "duration"
    if not parts or text[at:].strip() or several:
        raise ValueError(f'{text or "nothing"}: this is not {_a(kind)}; write it like "{USUAL[kind]}"')
    if _THOUSANDS.fullmatch(parts[0][0].lstrip("+−-")):
        plain = parts[0][0].replace(",", "")
        raise ValueError(f'{text}: this could mean two numbers; write thousands without a mark, like "{plain}"')
    return parts


def _number(text: str) -> float:
    return float(text.replace(",", ".").replace("−", "-"))


def _check(text: str, base: float, kind: str) -> None:
    """Refuse a value that no quantity of this kind can have."""
    if kind == "duration" and not base <= LONGEST_S:
        raise ValueError(f'{text}: a duration is at most 100 years; write it like "{USUAL[kind]}"')
    if not abs(base) <= LARGEST:
        raise ValueError(f'{text}: this is more than {_a(kind)} can be; write it like "{USUAL[kind]}"')
    if kind == "duration" and base < 0:
        raise ValueError(f'{text}: a duration cannot be less than nothing; write it like "{USUAL[kind]}"')
    if kind.startswith("count of ") and (base < 0 or base != int(base)):
        raise ValueError(f'{text}: a count is a whole number, for example "{USUAL[kind]}"')


def _unknown_word(text: str, number: str, word: str, kind: str, unit: str) -> str:
    shown = [words[0] for of, words in _WORDS.items() if of.kind == kind]
    choices = f"{', '.join(shown[:-1])} or {shown[-1]}" if len(shown) > 1 else shown[0]
    hint = "min" if word == "m" and kind == "duration" else unit
    return f'{text}: "{word}" is not a unit known here; write {choices}, for example "{_with_unit(number, hint)}"'


def _with_unit(number: str, unit: str) -> str:
    """The written number with the unit that was probably meant; seconds are how rules keep time, not how people do."""
    return f"{number} {'h' if unit == 's' else unit}"


def _a(kind: str) -> str:
    return kind.replace("count of ", "a number of ") if kind.startswith("count of ") else f"a {kind}"


def _noun(kind: str) -> str:
    return "word" if kind.startswith("count of ") else "unit"


def _duration(seconds: float, words: Words) -> str:
    """Seconds under two minutes, minutes under two hours, hours under two days, then days and hours."""
    sign = "-" if seconds < 0 else ""
    whole = round(abs(seconds))
    if whole < 120:
        return f"{sign}{whole} {words.say('s')}" if whole else f"0 {words.say('min')}"
    minutes = round(whole / 60)
    if minutes < 120 and minutes != 60:
        return f"{sign}{minutes} {words.say('min')}"
    if minutes < 48 * 60:
        return sign + _two(minutes // 60, words.say("h"), minutes % 60, words.say("min"))
    hours = round(whole / 3600)
    return sign + _two(hours // 24, words.say("d"), hours % 24, words.say("h"))


def _two(large: int, large_unit: str, small: int, small_unit: str) -> str:
    return f"{large} {large_unit} {small} {small_unit}" if small else f"{large} {large_unit}"
