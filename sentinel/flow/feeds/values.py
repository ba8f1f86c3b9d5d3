"""Converters from the cells of an export to the values of a column, a whole column at a time.

A converter takes the cells of one column and a dictionary of faults; it returns the values and notes, by index,
a reason for each cell it cannot read. It never raises for a cell.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from sentinel.flow.bounds import cut, legible
from sentinel.flow.feeds.units import SPANS, Conversion
from sentinel.flow.reasons import Reason, Unreadable, reason_of
from sentinel.flow.yaml.text import hint


@dataclass(frozen=True, slots=True)
class Between:
    """Why a time cannot be read, where it is known between which moments (UTC seconds) it was."""

    why: Reason
    begin: int
    end: int


Faults = dict[int, Reason | Between]
"""Index of a row in the chunk to the first reason why it cannot be read."""

Convert = Callable[[Sequence[Any], Faults], list[Any]]

FLAG_WORDS: dict[str, bool] = dict.fromkeys(("1", "true", "yes", "y", "x", "ja", "j", "oui", "vrai", "wahr"), True) | (
    dict.fromkeys(("0", "false", "no", "n", "nein", "nee", "nej", "non", "faux", "falsch", "onwaar", "falsk"), False)
)
"""Words for yes and no, in lower case, that are understood without a word table."""

_MOST_KNOWN = 10_000
_LONGEST_NUMBER = 60
_EASY_NUMBER = 12
_LONGEST_TEXT = 1000

MOST = 10.0**12
"""No number of an export is this large in any unit; past it sums and squares lose their meaning."""


def shown(cell: Any) -> str:
    """A cell in quotes, cut to a readable length, for a reason.

    >>> print(shown("5,9x"))
    "5,9x"
    """
    return f'"{legible(as_text(cell))}"'


def titled(title: str, why: Reason) -> Reason:
    """Why a cell cannot be read, under its column's title.

    >>> print(titled("Milk", Reason("not-a-number", what='"5,9x"')))
    "Milk": "5,9x" is not a number
    """
    return Reason("at-place", place=f'"{legible(title)}"', why=why)


def why_of(fault: Reason | Between) -> Reason:
    """The reason of a fault, whatever else is known of it."""
    return fault.why if isinstance(fault, Between) else fault


def as_text(cell: Any) -> str:
    """A cell as a person would write it: no outer spaces, whole numbers without a decimal point.

    >>> as_text(" 0042 "), as_text(217.0), as_text(None)
    ('0042', '217', '')
    """
    if isinstance(cell, str):
        return cell.strip()
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e15:
        return str(int(cell))
    if isinstance(cell, datetime | date | time):
        return cell.isoformat()
    try:
        return str(cell).strip()
    except ValueError:  # Python writes no whole number of more than 4,300 digits
        return "a number of thousands of digits"


def each_cell(convert_cell: Callable[[Any], Any], title: str) -> Convert:
    """A column converter from a converter of one cell that raises ValueError (`Unreadable` with its reason)."""

    def convert(cells: Sequence[Any], faults: Faults) -> list[Any]:
        try:
            return [convert_cell(cell) for cell in cells]
        except ValueError:
            pass
        values = []
        for index, cell in enumerate(cells):
            try:
                values.append(convert_cell(cell))
            except ValueError as error:
                faults.setdefault(index, titled(title, reason_of(error)))
                values.append(None)
        return values

    return convert


def remembered(convert_cell: Callable[[Any], Any], title: str) -> Convert:
    """A column converter that reads each distinct text once; for columns that hold few of them."""
    known: dict[str, Any] = {}

    def learn(cell: Any) -> Any:
        value = convert_cell(cell)
        if isinstance(cell, str) and len(known) < _MOST_KNOWN:
            known[cell] = value
        return value

    slow = each_cell(lambda cell: known[cell] if isinstance(cell, str) and cell in known else learn(cell), title)

    def convert(cells: Sequence[Any], faults: Faults) -> list[Any]:
        try:
            return [known[cell] for cell in cells]
        except (KeyError, TypeError):
            return slow(cells, faults)

    return convert


def text_column(title: str, missing: frozenset[str]) -> Convert:
    """Names, kept as written: `0042` stays `0042`."""

    def one(cell: Any) -> str | None:
        text = as_text(cell)
        if len(text) > _LONGEST_TEXT:
            raise Unreadable(Reason("text-too-long", what=shown(text), n=f"{_LONGEST_TEXT:,}"))
        return None if text in missing else text

    slow = each_cell(one, title)

    def convert(cells: Sequence[Any], faults: Faults) -> list[Any]:
        try:
            texts = [str.strip(cell) for cell in cells]
        except TypeError:
            return slow(cells, faults)
        if max(map(len, texts), default=0) > _LONGEST_TEXT:
            return slow(cells, faults)
        return [None if text in missing else text for text in texts]

    return convert


def number_column(
    title: str, missing: frozenset[str], decimal: str, thousands: str, conversion: Conversion, *, whole: bool = False
) -> Convert:
    """Numbers in the export's own habit, in the column's unit; `whole` accepts only counts (and gives `int`)."""
    parse = number_parser(decimal, thousands)
    easy = re.compile(rf"[0-9{re.escape(decimal)}\n+-]*")

    def one(cell: Any) -> float | int | None:
        if isinstance(cell, str) or cell is None:
            text = as_text(cell)
            if text in missing:
                return None
            value = parse(text)
        else:
            value = _native_number(cell)
        if abs(value) > MOST:
            raise Unreadable(Reason("number-too-large", what=shown(cell)))
        value = conversion(value)
        if not whole:
            return value
        if not value.is_integer():
            raise Unreadable(Reason("not-a-whole-number", what=shown(cell)))
        return int(value)

    slow = each_cell(one, title)

    def convert(cells: Sequence[Any], faults: Faults) -> list[Any]:
        # Joining the cells lets one pattern see that the whole column is plain digits, which float() then reads.
        try:
            joined = "\n".join(cells)
        except TypeError:
            return slow(cells, faults)
        parts = joined.replace(decimal, ".").split("\n")
        if whole or len(parts) != len(cells) or not easy.fullmatch(joined) or max(map(len, parts)) > _EASY_NUMBER:
            return slow(cells, faults)
        try:
            values = [float(part) if part else None for part in parts]
        except ValueError:
            return slow(cells, faults)
        if conversion.same:
            return values
        return [None if value is None else conversion(value) for value in values]

    return convert


def number_parser(decimal: str, thousands: str) -> Callable[[str], float]:
    """A reader of numbers with that decimal mark, and with that thousands mark only where it parts three digits.

    >>> read = number_parser(",", ".")
    >>> read("1.234,5"), read("-0,5")
    (1234.5, -0.5)
    >>> read("1.5")
    Traceback (most recent call last):
    sentinel.flow.reasons.Unreadable: "1.5" is not a number
    """
    mark = re.escape(decimal)
    # A space that parts thousands may be any of the spaces that spreadsheets use.
    part = "[ \u00a0\u202f]" if thousands == " " else "['’]" if thousands == "'" else re.escape(thousands)
    digits = rf"(?:[0-9]{{1,3}}(?:{part}[0-9]{{3}})+|[0-9]+)" if thousands else "[0-9]+"
    pattern = re.compile(rf"([+−-]?)({digits})?(?:{mark}([0-9]*))?([eE][+-]?[0-9]{{1,3}})?")
    not_digits = re.compile("[^0-9]")

    def parse(text: str) -> float:
        match = pattern.fullmatch(text) if len(text) <= _LONGEST_NUMBER else None
        if not match or not (match[2] or match[3]):
            raise Unreadable(_no_number(text, decimal, thousands))
        sign = "-" if match[1] in ("-", "−") else ""
        value = float(f"{sign}{not_digits.sub('', match[2] or '0')}.{match[3] or '0'}{match[4] or ''}")
        if not math.isfinite(value):
            raise Unreadable(Reason("number-too-large", what=shown(text)))
        return value

    return parse


def _no_number(text: str, decimal: str, thousands: str) -> Reason:
    """Why a text is no number, with the map's decimal mark if it is written with the other one."""
    other = "." if decimal == "," else ","
    plain = rf"[+-]?[0-9]+{re.escape(other)}[0-9]+"
    if other != thousands and len(text) <= _LONGEST_NUMBER and re.fullmatch(plain, text):
        return Reason("not-a-number-with-mark", what=shown(text), mark=f'"{decimal}"')
    return Reason("not-a-number", what=shown(text))


def _native_number(cell: Any) -> float:
    """A number from a spreadsheet or JSON; yes/no, dates and infinities are none."""
    if isinstance(cell, bool) or not isinstance(cell, int | float):
        raise Unreadable(Reason("not-a-number", what=shown(cell)))
    try:
        value = float(cell)
    except OverflowError:
        value = math.inf
    if not math.isfinite(value):
        raise Unreadable(Reason("not-a-number", what=shown(cell)))
    return value


def span_column(title: str, missing: frozenset[str], span: str) -> Convert:
    """Durations written like a clock (`5:32`), in seconds.

    A spreadsheet's own duration or time of day counts as what it is: 00:05:32 is 332 s.
    """
    weights = SPANS[span]

    def one(cell: Any) -> float | None:
        if isinstance(cell, timedelta):
            return cell.total_seconds()
        if isinstance(cell, time):
            return cell.hour * 3600.0 + cell.minute * 60.0 + cell.second
        text = as_text(cell)
        if text in missing:
            return None
        parts = text.split(":")
        small = all(len(p) <= 2 and p.isdecimal() and int(p) < 60 for p in parts[1:])
        if len(parts) != len(weights) or not small or not re.fullmatch("[0-9]{1,6}", parts[0]):
            raise Unreadable(Reason("not-a-duration", what=shown(cell), form=span))
        return float(sum(weight * int(part) for weight, part in zip(weights, parts, strict=True)))

    return remembered(one, title)


def word_column(title: str, missing: frozenset[str], words: Mapping[str, Any], otherwise: object) -> Convert:
    """Words or flags by a table; capitals do not matter; an entry for `""` says what an empty cell means.

    `otherwise` is `set_aside`, `missing`, or the word that every other text stands for.
    """
    table = {key.strip().casefold(): value for key, value in words.items()}

    def one(cell: Any) -> Any:
        text = as_text(cell)
        if text.casefold() in table:
            return table[text.casefold()]
        if text in missing or otherwise == "missing":
            return None
        if otherwise != "set_aside":
            return otherwise
        nearest = hint(cut(text), listed(words))
        if nearest is None:
            raise Unreadable(Reason("word-unknown", what=shown(text)))
        raise Unreadable(Reason("word-misspelt", what=shown(text), hint=nearest))

    return remembered(one, title)


def listed(words: Iterable[str]) -> list[str]:
    """The words of a table as a person may be shown them."""
    return [word for word in words if word.strip()][:20]
