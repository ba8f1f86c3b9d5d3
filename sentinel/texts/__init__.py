"""Everything a person reads, in the farm's language: one catalogue per language, `de.po`, with the English as its key.

English is what the code and the rules say. Babel reads the catalogue as it is and knows how the days, months and
figures of a language are written.
"""

from __future__ import annotations

import gettext
from collections.abc import Callable
from datetime import date as Day
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from babel.dates import format_date, format_datetime
from babel.messages.pofile import read_po
from babel.numbers import format_decimal

from sentinel.flow.farm import Farm
from sentinel.flow.words import Plain, Words, english_form

TEXTS = Path(__file__).parent

LOCALES = {("en", "."): "en_IE", ("en", ","): "en_DE", ("de", ","): "de_DE", ("de", "."): "de_CH"}
"""A language and the farm's decimal mark, as the place where both are the habit."""

DAY = {"de": "d."}
"""How a language writes the number of a day, where it is not the number alone."""

_OF = "\4"  # as compiled catalogues join a context and its text


class Catalogue(gettext.NullTranslations):
    """A language's texts, as its .po file has them; what it lacks is said in English."""

    def __init__(self, language: str) -> None:
        super().__init__()
        self._texts: dict[str, Any] = {}
        self.form: Callable[[int], int] = english_form
        path = TEXTS / f"{language}.po"
        if path.is_file():
            with path.open("rb") as file:
                found = read_po(file, locale=language)
            self.form = gettext.c2py(found.plural_expr)
            for message in found:
                key = message.id if isinstance(message.id, str) else message.id[0]
                if key and message.string and not message.fuzzy:
                    self._texts[f"{message.context}{_OF}{key}" if message.context else key] = message.string

    def gettext(self, message: str) -> str:
        """A text in this language."""
        found = self._texts.get(message)
        return message if found is None else found if isinstance(found, str) else found[0]

    def pgettext(self, context: str, message: str) -> str:
        """A word that means several things in English, as it is said of one of them."""
        found = self._texts.get(f"{context}{_OF}{message}")
        return message if found is None else str(found)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        """The text for one, or for so many, in this language."""
        found = self._texts.get(msgid1)
        if not found or isinstance(found, str):
            return msgid1 if n == 1 else msgid2
        return str(found[self.form(n)])


@lru_cache(maxsize=8)
def catalogue(language: str) -> Catalogue:
    """The texts of a language, read once."""
    return Catalogue(language)


class InLanguage:
    """How one farm says things: its language, its clock, its decimal mark."""

    def __init__(self, language: str, decimal: str, zone: str) -> None:
        self.language = language
        self.texts = catalogue(language)
        self.locale = LOCALES[(language, decimal)]
        self.zone = ZoneInfo(zone)
        self.d = DAY.get(language, "d")

    def say(self, text: str) -> str:
        """A text in this language."""
        return self.texts.gettext(text)

    def several(self, one: str, many: str, n: int) -> str:
        """The text for one, or for so many, in this language."""
        return self.texts.ngettext(one, many, n)

    def form(self, n: int) -> int:
        """Which form of a counted word this language uses for so many."""
        return self.texts.form(n)

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
