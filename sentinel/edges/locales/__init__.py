"""Everything a person reads, in the farm's language: one catalogue per language, with the English as its key.

English is what the code and the rules say. A catalogue lies where gettext looks for it, `de/LC_MESSAGES/sentinel.po`;
beside it lies what Babel makes of it (`compile.py`) and the standard library reads. Babel knows how the days, months
and figures of a language are written.
"""

from __future__ import annotations

import gettext
from datetime import date as Day
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from zoneinfo import ZoneInfo

from babel.dates import format_date, format_datetime
from babel.numbers import format_decimal

from sentinel.flow.farm import Farm
from sentinel.flow.language import Plain, Words

FOLDER = Path(__file__).parent
DOMAIN = "sentinel"

LOCALES = {("en", "."): "en_IE", ("en", ","): "en_DE", ("de", ","): "de_DE", ("de", "."): "de_CH"}
"""A language and the farm's decimal mark, as the place where both are the habit."""

DAY = {"de": "d."}
"""How a language writes the number of a day, where it is not the number alone."""

FORMS = ("0", "1")
"""A text by which a catalogue says which of a counted word's forms belongs to so many: its number."""


def catalogue(language: str) -> gettext.NullTranslations:
    """The texts of a language; of one that has no catalogue, and what a catalogue lacks, in English."""
    return gettext.translation(DOMAIN, FOLDER, [language], fallback=True)


class InLanguage:
    """How one farm says things: its language, its clock, its decimal mark."""

    def __init__(self, language: str, decimal: str, zone: str) -> None:
        self.language = language
        self.texts = catalogue(language)
        self.locale = LOCALES[(language, decimal)]
        self.zone = ZoneInfo(zone)
        self.d = DAY.get(language, "d")

    def say(self, text: str) -> str:
        """A text in this language; one that has a form for one and for more is said of one."""
        found = self.texts.gettext(text)
        return self.texts.ngettext(text, text, 1) if found == text else found

    def several(self, one: str, many: str, n: int) -> str:
        """The text for one, or for so many, in this language."""
        return self.texts.ngettext(one, many, n)

    def form(self, n: int) -> int:
        """Which form of a counted word this language uses for so many."""
        return int(self.texts.ngettext(*FORMS, n))

    def number(self, value: float, places: int = 1) -> str:
        """A figure with at most so many decimal places, in the farm's habit."""
        pattern = "#,##0" if places == 0 else "#,##0." + "#" * places
        return str(format_decimal(value, format=pattern, locale=self.locale)).replace("-", "−")

    def local(self, moment: int) -> datetime:
        """A moment on the farm's clock."""
        return datetime.fromtimestamp(moment, self.zone)

    def time(self, moment: int, at: int) -> str:
        """A moment as seen from `at`: the time of day, with the day if it is another one, with the year if need be."""
        then, now = self.local(moment), self.local(at)
        apart = abs((then.date() - now.date()).days)
        day = (
            ""
            if apart == 0
            else "EEE "
            if apart < 7
            else f"{self.d} MMM "
            if then.year == now.year
            else f"{self.d} MMM y "
        )
        return str(format_datetime(then, day + "HH:mm", locale=self.locale))

    def date(self, moment: int) -> str:
        """The day of a moment, short."""
        return str(format_datetime(self.local(moment), f"EEE {self.d} MMM", locale=self.locale))

    def calendar(self, day: Day) -> str:
        """A day with its month and year."""
        return str(format_date(day, f"{self.d} MMM y", locale=self.locale))


def words_of(farm: Farm) -> Words:
    """The words in which a farm is told things. English is said as the code has it."""
    return _words_of(farm.language, farm.decimal, farm.zone)


@lru_cache(maxsize=8)
def _words_of(language: str, decimal: str, zone: str) -> Words:
    return Plain(zone, decimal) if language == "en" else InLanguage(language, decimal, zone)
