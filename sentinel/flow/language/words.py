"""How a farm says things: its texts, figures, times and days, all of them through one object that is handed down.

The pure middle knows no language. It says everything in English, through `Words`: the caller hands over those
of the farm (`edges/locales`), as it hands over the time.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date as Day
from datetime import datetime
from gettext import NullTranslations
from zoneinfo import ZoneInfo

from sentinel.flow.language.habits import PLAIN, Habit
from sentinel.flow.language.places import fill

FORMS = ("0", "1")
"""A text by which a catalogue says which of a counted word's forms belongs to so many: its number."""


@dataclass(frozen=True)
class Words:
    """How a farm says things: its texts (English in, its own language out), figures, times and days.

    `texts` is the language's catalogue; without one everything is said in English.
    """

    zone: str = "UTC"
    habit: Habit = PLAIN["."]
    texts: NullTranslations = field(default_factory=NullTranslations)

    def say(self, text: str) -> str:
        """A text in the farm's language; its places are filled in after. With several forms, the singular is used."""
        if not text:
            return ""  # gettext keeps the catalogue's own head under it
        translation = self.texts.gettext(text)
        return self.texts.ngettext(text, text, 1) if translation == text else translation

    def several(self, one: str, many: str, n: int) -> str:
        """The text for one, or for several, in the farm's language."""
        return self.texts.ngettext(one, many, n)

    def form(self, n: int) -> int:
        """Which form of a counted word goes with a number: in English 0 for one, 1 for others."""
        return int(self.texts.ngettext(*FORMS, n))

    def number(self, value: float, places: int = 1) -> str:
        """A figure with at most the given number of decimals."""
        return self.habit.figure(value, places)

    def local(self, moment: int) -> datetime:
        """A moment on the farm's clock."""
        return datetime.fromtimestamp(moment, ZoneInfo(self.zone))

    def time(self, moment: int, at: int) -> str:
        """A moment on the farm's clock as told at `at`: the time, with the day if it is another, the year if need be.

        >>> [Words("Europe/Berlin").time(1_772_000_000 - 3600 * h, 1_772_000_000) for h in (1, 24, 24 * 9)]
        ['06:13', 'Tue 07:13', '16 Feb 07:13']
        """
        then, now = self.local(moment), self.local(at)
        apart = abs((then.date() - now.date()).days)
        if apart == 0:
            return self.habit.moment(then, "HH:mm")
        if apart < 7:
            return self.habit.moment(then, "EEE HH:mm")
        return self.habit.moment(then, "d MMM HH:mm" if then.year == now.year else "d MMM y HH:mm")

    def date(self, moment: int) -> str:
        """The day of a moment: `Mon 4 May`."""
        return self.habit.moment(self.local(moment), "EEE d MMM")

    def calendar(self, day: Day) -> str:
        """A day as a person writes it: `12 May 2026`."""
        return self.habit.calendar(day)


def english(zone: str = "UTC", decimal: str = ".") -> Words:
    """The words of a farm that is told things in English: what the code says is said as it is.

    >>> english(decimal=",").number(5.874, 2), english().number(6.50), english().number(-1200.25, 2)
    ('5,87', '6.5', '-1200.25')
    """
    return Words(zone, PLAIN[decimal])


ENGLISH = english()
"""For what is no farm's own: the terminal, examples, problems in settings."""


def shown_time(moment: int, at: int, zone: str) -> str:
    """A moment on the farm's clock as the terminal shows it at `at`."""
    return english(zone).time(moment, at)


def told(words: Words, text: str, **values: object) -> str:
    """A text in the farm's language with its places filled in."""
    return fill(words.say(text), values, form=words.form)
