"""The page's texts in the farm's language, and times and figures in its habit."""

from __future__ import annotations

from sentinel.edges.locales import catalogue
from sentinel.edges.web.code_labels import LABELS
from sentinel.flow import language
from sentinel.flow.language import fill
from sentinel.flow.reasons import Reason, in_words
from sentinel.flow.rules.quantities import COUNTED
from sentinel.flow.subjects import subject_words


class PageLanguage(language.Words):
    """How one farm's page says things: as everything is said, with the words for its codes."""

    def __init__(self, code: str, decimal: str, zone: str) -> None:
        super().__init__(zone, language.HABITS[code, decimal], catalogue(code))

    def label(self, group: str, code: str) -> str:
        """A code of the views in words (`place`, `boxes`); a code that is not known is shown as it is."""
        english = LABELS.get(group, {}).get(code)
        return self.say(english) if english else code.replace("_", " ").replace("-", " ")

    def attribute_value(self, name: str, value: str) -> str:
        """What a rule asks an attribute to be: a word of ours in words, a name of the farm's as it is."""
        return self.label(name, value) if value in LABELS.get(name, {}) else value

    def day(self, moment: int) -> str:
        """The day of a moment, with its weekday."""
        return self.habit.moment(self.local(moment), "EEEE d MMMM")

    def near(self, moment: int) -> str:
        """The day of a moment in the last weeks, as short as it can be: `Mon 4`."""
        return self.habit.moment(self.local(moment), "EEE d")

    def month_day(self, moment: int) -> str:
        """The day of a moment in the last year, without its weekday: `4 May`."""
        return self.habit.moment(self.local(moment), "d MMM")

    def whole(self, moment: int) -> str:
        """A moment with its day, for what is read later, on paper."""
        return self.habit.moment(self.local(moment), "EEE d MMM y HH:mm")

    def title(self, subject: str) -> str:
        """A cow, a quarter, a box or a tank by its number, as its page calls it."""
        return subject_words(subject, self, "title")

    def whom(self, subject: str) -> str:
        """Any subject as a person says it."""
        return subject_words(subject, self)

    def why(self, reason: Reason | None) -> str:
        """Why a row was set aside, or an alert ended."""
        return in_words(reason, self)

    def chore(self, name: str, place: str) -> str:
        """A chore and where it is done."""
        return f"{self.label('chore', name)} {place}".strip()

    def unit(self, unit: str, value: float = 2) -> str:
        """A unit as it is written after a figure, which may be one; a ratio has none."""
        if unit in COUNTED:
            return self.several(COUNTED[unit], unit, 1 if value == 1 else 2)
        if unit == "points":
            return self.several("point", "points", 1 if value == 1 else 2)
        return "" if unit == "ratio" else self.say(unit) if unit else ""

    def fixed(self, value: float, places: int) -> str:
        """A figure with exactly the given decimal places, for a column of figures under one another."""
        return self.habit.figure(value, places, least=places)

    def stamp(self, moment: int) -> str:
        """A moment for programs: RFC 3339 in the farm's zone."""
        return self.local(moment).isoformat()

    def ago(self, seconds: float) -> str:
        """A span of time in words: minutes under two hours, hours under two days, else days."""
        minutes = max(0, round(seconds / 60))
        say = self.say
        if minutes < 120:
            return fill(say("{n} min"), {"n": minutes})
        if minutes < 48 * 60:
            return fill(say("{n} h"), {"n": self.number(minutes / 60)})
        return fill(say("{n} days"), {"n": self.number(minutes / 1440, 0)})
