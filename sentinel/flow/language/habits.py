"""How days and figures are written, by Babel's data of a place where language and decimal mark are the habit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date as Day
from datetime import datetime
from decimal import Decimal

from babel.dates import format_date, format_datetime
from babel.numbers import format_decimal


@dataclass(frozen=True, slots=True)
class Habit:
    """A place's habit, as Babel knows it, and where a text is written otherwise than there.

    `days` and `figures` are Babel's names of the places whose months and decimal mark are meant; `day` is the pattern
    of the number of a day, `whole` that of a whole number; `minus` stands before what is less than nothing. A figure is
    rounded as it reads (14.075 to 14.08), or with `as_held` as the computer holds it, a little less (to 14.07).
    """

    days: str
    figures: str
    day: str = "d"
    whole: str = "#,##0"
    minus: str = "−"
    as_held: bool = False

    @property
    def language(self) -> str:
        """The code of the language."""
        return self.days.partition("_")[0]

    def figure(self, value: float, most: int, least: int = 0) -> str:
        """A figure with at most, and at least, the given number of decimal places."""
        part = "." + "0" * least + "#" * (most - least) if most else ""
        held = Decimal(float(value)) if self.as_held else value
        written = str(format_decimal(held, format=self.whole + part, locale=self.figures))
        if not any("1" <= digit <= "9" for digit in written):
            written = written.lstrip("-")  # what is rounded to nothing is nothing, from whichever side
        return written.replace("-", self.minus)

    def moment(self, local: datetime, pattern: str) -> str:
        """A moment by a pattern of Babel's, in which `d` is the number of the day as the language writes it."""
        return str(format_datetime(local, pattern.replace("d", self.day), locale=self.days))

    def calendar(self, day: Day) -> str:
        """A day with its month and year."""
        return str(format_date(day, f"{self.day} MMM y", locale=self.days))


HABITS: Mapping[tuple[str, str], Habit] = {
    ("en", "."): Habit("en_IE", "en_IE"),
    ("en", ","): Habit("en_DE", "en_DE"),
    ("de", ","): Habit("de_DE", "de_DE", day="d."),
    ("de", "."): Habit("de_CH", "de_CH", day="d."),  # the Swiss habit
}
"""By a language and the farm's decimal mark."""

PLAIN: Mapping[str, Habit] = {
    ".": Habit("en", "en", whole="0", minus="-", as_held=True),
    ",": Habit("en", "en_DE", whole="0", minus="-", as_held=True),
}
"""English as notices, the log and the terminal have it, by the decimal mark: what any program reads as well."""
